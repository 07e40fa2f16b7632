import { printableText } from "./printable-text.ts";
import type { EvidenceRecord, RecordRequirement, RecordResult } from "./record-document.ts";

const ESCAPES: Readonly<Record<string, string>> = {
  "&": "&amp;",
  "<": "&lt;",
  ">": "&gt;",
  '"': "&quot;",
  "'": "&apos;",
};

/** Text for an attribute or between tags: on one line, visible characters only, escaped. */
function xmlText(text: string): string {
  return printableText(text).replaceAll(/[&<>"']/g, (character) => ESCAPES[character] ?? "");
}

/** A case before it is written. */
interface Case {
  readonly name: string;
  readonly verdict: RecordRequirement["verdict"];
  readonly words: string;
}

/**
 * A verdict that was reached and is not "holds" is a failure; one that could not be reached, or a
 * requirement that nothing covers, is skipped and so never counts as passed.
 */
function outcome({ verdict, words }: Case): string {
  const message = `message="${xmlText(words)}"`;
  if (verdict === "holds") return "";
  if (verdict === "noVerdict" || verdict === "notCovered") return `<skipped ${message}/>`;
  return `<failure type="${verdict}" ${message}/>`;
}

function suite(name: string, cases: readonly Case[]): string {
  const failures = cases.filter(({ verdict }) => verdict === "doesNotHold").length;
  const open = cases.filter(({ verdict }) => verdict === "notProven").length;
  const skipped = cases.filter(
    ({ verdict }) => verdict === "noVerdict" || verdict === "notCovered",
  ).length;
  const counts = `tests="${cases.length}" failures="${failures + open}" errors="0" skipped="${skipped}"`;
  const lines = cases.map((one) => {
    const inner = outcome(one);
    const open = `    <testcase classname="${xmlText(name)}" name="${xmlText(one.name)}"`;
    return inner === "" ? `${open}/>` : `${open}>${inner}</testcase>`;
  });
  return [`  <testsuite name="${xmlText(name)}" ${counts}>`, ...lines, "  </testsuite>"].join("\n");
}

const SUITE_OF: Readonly<Record<RecordResult["kind"], string>> = {
  accuracy: "results: accuracy",
  statement: "results: accuracy statement",
  decision: "results: limit lines",
  checkPoints: "results: check points",
  claim: "results: claims",
  fault: "results: seeded faults",
};

/**
 * The verdicts in the JUnit format: one suite of the requirements, one of each kind of result. It
 * names no computer, no time and no duration. A requirement or result counts as passed only where
 * its verdict is "holds".
 */
export function verdictsXml({ design, requirements, results }: EvidenceRecord): string {
  const asked = requirements.map(({ id, text, verdict, coveredBy, absent }) => ({
    name: `${id}: ${text}`,
    verdict,
    words:
      coveredBy.length + absent.length === 0
        ? "covered by nothing in this record"
        : `covered by ${[...coveredBy, ...absent.map((one) => `${one} (absent)`)].join(", ")}`,
  }));
  const kinds = [...new Set(results.map(({ kind }) => kind))];
  const suites = [
    suite("requirements", asked),
    ...kinds.map((kind) =>
      suite(
        SUITE_OF[kind],
        results
          .filter((result) => result.kind === kind)
          .map(({ id, says, verdict, found }) => ({
            name: `${id}: ${says}`,
            verdict,
            words: found,
          })),
      ),
    ),
  ];
  return [
    '<?xml version="1.0" encoding="UTF-8"?>',
    `<testsuites name="${xmlText(`plumbvolt: ${design.name} ${design.revision}`)}">`,
    ...suites,
    "</testsuites>",
    "",
  ].join("\n");
}
