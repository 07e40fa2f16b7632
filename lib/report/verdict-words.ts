import type { Verdict } from "./budget-document.ts";

/** A verdict as a person reads it. */
export const VERDICT_WORDS: Readonly<Record<Verdict, string>> = {
  holds: "holds",
  doesNotHold: "does not hold",
  notProven: "not proven",
};

const MEANINGS: Readonly<Record<Verdict, string>> = {
  holds: "the proven error is within the allowed one",
  doesNotHold: "the witnessed error is beyond the allowed one",
  notProven: "the allowed error lies between the witnessed and the proven one",
};

/** What the verdict says about the two errors and the allowed one. */
export function verdictMeaning(verdict: Verdict): string {
  return `${VERDICT_WORDS[verdict]}: ${MEANINGS[verdict]}`;
}

/** "2 hold, 1 does not hold, 1 not proven": the verdicts that occur, with their number. */
export function verdictCount(verdicts: readonly Verdict[]): string {
  const count = (verdict: Verdict) => verdicts.filter((one) => one === verdict).length;
  const [held, failed, open] = [count("holds"), count("doesNotHold"), count("notProven")];
  const parts = [
    held === 0 ? "" : `${held} ${held === 1 ? "holds" : "hold"}`,
    failed === 0 ? "" : `${failed} ${failed === 1 ? "does" : "do"} not hold`,
    open === 0 ? "" : `${open} not proven`,
  ];
  return parts.filter((part) => part !== "").join(", ");
}
