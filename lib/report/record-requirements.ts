import type { BudgetDocument } from "./budget-document.ts";
import type { DecisionDocument } from "./decision-document.ts";
import type { UserRequirement } from "./read-record-requirements.ts";
import type { RecordRequirement, RecordResult } from "./record-document.ts";
import { statementPart, statementText } from "./statement-text.ts";

/** Weakest first: an uncovered requirement stands on top of the matrix. */
const ORDER: readonly RecordRequirement["verdict"][] = [
  "notCovered",
  "doesNotHold",
  "notProven",
  "noVerdict",
  "holds",
];

/** A requirement before it is held against the results. */
interface Asked extends Pick<RecordRequirement, "id" | "text" | "source" | "origin"> {
  readonly results: readonly string[];
}

function fromDesign({ requirements }: BudgetDocument): readonly Asked[] {
  return requirements.map(({ id, text, source }) => ({
    id,
    text,
    source,
    origin: "design",
    results: [`accuracy/${id}`],
  }));
}

function fromStatement({ statement }: BudgetDocument): Asked {
  return {
    id: "accuracy-statement",
    text: `${statementText(statement)} for ${statementPart(statement)}`,
    source: "accuracy statement of this record",
    origin: "statement",
    results: ["statement"],
  };
}

function fromLimits(decisions: readonly DecisionDocument[]): readonly Asked[] {
  return decisions.map(({ line }) => {
    const source = [line.standard, line.clause].filter((text) => text !== "").join(", ");
    return {
      id: line.id,
      text: `${source}: a reading can show that a product keeps ${line.text}, ${line.place}`,
      source,
      origin: "limit",
      results: [`decision/${line.id}`],
    };
  });
}

/** Results a user named, and those whose name is the requirement's own identifier. */
function fromUser(
  { id, text, source, coveredBy }: UserRequirement,
  results: readonly RecordResult[],
): Asked {
  const own = results.filter((result) => result.id.slice(result.id.indexOf("/") + 1) === id);
  const named = [...coveredBy, ...own.map((result) => result.id)];
  return { id, text, source, origin: "user", results: [...new Set(named)] };
}

function judged(asked: Asked, results: ReadonlyMap<string, RecordResult>): RecordRequirement {
  const { results: named, ...rest } = asked;
  const coveredBy = named.filter((id) => results.has(id));
  const absent = named.filter((id) => !results.has(id));
  const verdicts: readonly RecordRequirement["verdict"][] = [
    ...coveredBy.map((id) => results.get(id)?.verdict ?? "noVerdict"),
    // Whoever names two results asks for both.
    ...(absent.length > 0 ? ["notCovered" as const] : []),
  ];
  const weakest = ORDER.find((verdict) => verdicts.includes(verdict)) ?? "notCovered";
  return { ...rest, coveredBy, absent, verdict: weakest };
}

/**
 * The requirements of users, of the design, of the limit lines and of the accuracy statement, each
 * with the results that cover it; those that nothing covers come first. A user's requirement takes
 * the place of one that has the same identifier.
 */
export function recordRequirements(
  facts: {
    readonly budget: BudgetDocument;
    readonly decisions: readonly DecisionDocument[];
    readonly users: readonly UserRequirement[];
  },
  results: readonly RecordResult[],
): readonly RecordRequirement[] {
  const users = facts.users.map((one) => fromUser(one, results));
  const known = new Set(users.map(({ id }) => id));
  const found = [
    ...fromDesign(facts.budget),
    fromStatement(facts.budget),
    ...fromLimits(facts.decisions),
  ].filter(({ id }) => !known.has(id));
  const byId = new Map(results.map((result) => [result.id, result]));
  return [...users, ...found]
    .map((asked) => judged(asked, byId))
    .sort((one, other) => ORDER.indexOf(one.verdict) - ORDER.indexOf(other.verdict));
}
