import { InvariantBrokenError } from "../errors.ts";
import type { EvidenceRecord } from "./record-document.ts";

/** SHA-256 of a text in UTF-8 as hexadecimal digits, supplied by the surroundings. */
export type TextDigest = (text: string) => string;

function sortedEntries(value: object): readonly (readonly [string, unknown])[] {
  return Object.entries(value)
    .filter(([, inner]) => inner !== undefined)
    .sort(([one], [other]) => (one < other ? -1 : 1));
}

/**
 * The canonical text of a JSON value: names in the order of their UTF-16 code units, numbers as
 * ECMAScript prints them, no white space. Throws InvariantBrokenError for what JSON cannot hold.
 * Source: RFC 8785, 3.2.
 */
export function canonicalText(value: unknown): string {
  switch (typeof value) {
    case "string":
    case "boolean":
      return JSON.stringify(value);
    case "number":
      if (!Number.isFinite(value)) throw new InvariantBrokenError("a record holds finite numbers");
      return JSON.stringify(value);
    case "object": {
      if (value === null) return "null";
      if (Array.isArray(value)) return `[${value.map(canonicalText).join(",")}]`;
      const members = sortedEntries(value).map(
        ([name, inner]) => `${JSON.stringify(name)}:${canonicalText(inner)}`,
      );
      return `{${members.join(",")}}`;
    }
    default:
      throw new InvariantBrokenError(`a record holds no ${typeof value}`);
  }
}

/** The two digests of a record; one that it already has does not count. */
export function recordDigest(
  record: Omit<EvidenceRecord, "digest">,
  digest: TextDigest,
): EvidenceRecord["digest"] {
  const { digest: _, ...whole } = record as EvidenceRecord;
  const { date: _date, ...content } = whole;
  const contentDigest = digest(canonicalText(content));
  return {
    content: contentDigest,
    record: digest(canonicalText({ ...whole, digest: { content: contentDigest } })),
  };
}
