import {
  array,
  exactOptional,
  getDotPath,
  nonEmpty,
  pipe,
  safeParse,
  strictObject,
  string,
  trim,
} from "valibot";
import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";

/** A requirement as a user states it. */
export interface UserRequirement {
  readonly id: string;
  readonly text: string;
  readonly source: string;
  /** Ids of results, as "accuracy/R-34" or "claim/no-stale-reading"; all of them are needed. */
  readonly coveredBy: readonly string[];
}

const words = (permitted: string) => pipe(string(permitted), trim(), nonEmpty(permitted));

const document = strictObject({
  requirements: array(
    strictObject({
      id: words("a text that is not empty"),
      text: words("a text that is not empty"),
      source: words("the document and clause that ask for it"),
      coveredBy: exactOptional(array(words("the id of a result, as accuracy/R-34"))),
    }),
    "a list",
  ),
});

function receivedText(value: unknown): string {
  return value === undefined ? "nothing" : (JSON.stringify(value) ?? typeof value).slice(0, 80);
}

function repeatedIds(requirements: readonly { readonly id: string }[]): Fault[] {
  return requirements.flatMap(({ id }, place): Fault[] => {
    const first = requirements.findIndex((one) => one.id === id);
    if (first === place) return [];
    return [
      {
        path: `requirements[${place}].id`,
        quantity: "identifier",
        permitted: "one that no other requirement has",
        received: JSON.stringify(id),
        hint: `requirements[${first}] has it`,
      },
    ];
  });
}

/** Reads a list of requirements. Throws InvalidInputError with every fault. */
export function readRecordRequirements(value: unknown): readonly UserRequirement[] {
  const parsed = safeParse(document, value);
  if (!parsed.success) {
    throw new InvalidInputError(
      "requirements",
      parsed.issues.map((issue) => ({
        path: getDotPath(issue) ?? "",
        quantity: "field",
        permitted: issue.message,
        received: receivedText(issue.input),
      })),
    );
  }
  const { requirements } = parsed.output;
  const faults = repeatedIds(requirements);
  if (faults.length > 0) throw new InvalidInputError("requirements", faults);
  return requirements.map(({ coveredBy = [], ...rest }) => ({ ...rest, coveredBy }));
}
