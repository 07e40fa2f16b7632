import { EDITION_ADVICE } from "../design/published-limit.ts";
import type { BudgetDocument } from "./budget-document.ts";
import type { RecordPart, RecordRequirement, RecordResult } from "./record-document.ts";
import type { CertificateOutcome } from "./record-results.ts";
import { statementPart, statementText } from "./statement-text.ts";
import { percentText } from "./uncertainty-notes.ts";

/** What the sentences are made from. */
export interface RecordFacts {
  readonly budget: BudgetDocument;
  readonly outcome: CertificateOutcome;
  readonly requirements: readonly RecordRequirement[];
  readonly results: readonly RecordResult[];
  readonly parts: readonly RecordPart[];
  readonly fromMemory: readonly string[];
  /** Sentences of the parts that ran: what they show and what they do not. */
  readonly told: { readonly shown: readonly string[]; readonly notShown: readonly string[] };
}

/** "1 requirement", "3 requirements". */
function counted(count: number, one: string, many: string): string {
  return `${count} ${count === 1 ? one : many}`;
}

function requirementSentence(requirements: readonly RecordRequirement[]): string {
  const count = (verdict: RecordRequirement["verdict"]): number =>
    requirements.filter((one) => one.verdict === verdict).length;
  const parts = [
    `${count("holds")} ${count("holds") === 1 ? "holds" : "hold"}`,
    `${count("doesNotHold")} ${count("doesNotHold") === 1 ? "does" : "do"} not hold`,
    `${count("notProven")} not proven`,
    `${count("noVerdict")} without a verdict`,
    `${count("notCovered")} covered by nothing in this record`,
  ];
  const whole = counted(requirements.length, "requirement", "requirements");
  return `Of ${whole}: ${parts.join(", ")}.`;
}

function probabilitySentence({ rows }: BudgetDocument): readonly string[] {
  const row = rows.find(({ trials }) => trials !== undefined);
  if (row?.trials === undefined || row.coverageProbability === undefined) return [];
  return [
    "Where the declared distributions describe the parts, the intervals given hold " +
      `${percentText(row.coverageProbability)} of the errors (${row.trials} trials at each ` +
      "voltage). That is a statement about the model's distributions, not about units that were built.",
  ];
}

/** What the record shows, one careful sentence after the other. */
export function shownSentences(facts: RecordFacts): readonly string[] {
  const { budget, outcome, requirements, told } = facts;
  const { statement, design, conditionalOn } = budget;
  const revision = design.revision === "" ? "" : `, revision ${design.revision}`;
  const estimated = budget.rows.some(({ guaranteed }) => !guaranteed);
  const confirmed = outcome.confirmed
    ? `Separate arithmetic confirmed ${outcome.bands} bands in ${outcome.steps} steps.`
    : "Separate arithmetic did NOT confirm every step, so that nothing counts as proven here.";
  return [
    `${estimated ? "Estimated" : "Shown"}: inside the declared limits and conditions no error of ` +
      `indication of a unit made to the drawing of "${design.name}"${revision} passes ` +
      `${statementText(statement)} for true voltages of ${statementPart(statement)}. ${confirmed}`,
    requirementSentence(requirements),
    ...probabilitySentence(budget),
    ...told.shown,
    ...(conditionalOn.length === 0
      ? ["Every figure of the design is declared as a guaranteed limit."]
      : [
          "All this is conditional on figures that nobody guarantees: " +
            `${conditionalOn.join("; ")}.`,
        ]),
  ];
}

/** What the record does not show: limits of the model, missing parts, and whose decision it is. */
export function notShownSentences(facts: RecordFacts): readonly string[] {
  const { parts, fromMemory, told } = facts;
  const missing = parts.filter(({ state }) => state === "missing");
  return [
    "This record states no conformity, of no instrument and of no product, with any standard. The " +
      "current edition of the standard, local codes and a licensed or competent person decide.",
    "A model was computed, no unit was measured. What a real instrument does is shown by its " +
      "calibration; whether parts keep the limits declared is shown by their makers.",
    ...missing.map(({ part, words }) => `Not in this record: ${part}. ${words}`),
    ...told.notShown,
    ...(fromMemory.length === 0
      ? []
      : [
          `${counted(fromMemory.length, "published figure was", "published figures were")} ` +
            `${EDITION_ADVICE}: ${fromMemory.join("; ")}.`,
        ]),
  ];
}
