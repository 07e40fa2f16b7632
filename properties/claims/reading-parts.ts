import type { Flag } from "../../sim/firmware/port.ts";
import type { Judgement } from "./claim.ts";
import { verdictOf } from "./claim.ts";
import type { Outcome, PlayedReport } from "./outcome.ts";

/** The one finished report with a reading and without a flag; undefined where there is none. */
export function plainReading(
  outcome: Outcome,
):
  | { readonly report: PlayedReport; readonly instant: number; readonly voltage: number }
  | undefined {
  const report = outcome.reports[0];
  const reading = report?.readings[0];
  if (outcome.fault !== undefined || reading === undefined || report!.flags.size > 0)
    return undefined;
  return { report: report!, ...reading };
}

/** Words for how a firmware went wrong. */
export function faultInWords({ fault }: Outcome): string | undefined {
  if (fault === undefined) return undefined;
  const place =
    "at" in fault && fault.at !== undefined ? ` (${fault.at.file}:${fault.at.line})` : "";
  switch (fault.kind) {
    case "trap":
    case "contractBroken":
      return `the firmware went wrong: ${fault.reason}${place}`;
    case "budgetSpent":
      return `the firmware spent its budget of ${fault.budget} steps${place}`;
    default:
      return `the firmware wrote where it must not: ${fault.buffer}`;
  }
}

/** A judgement against firmware that went wrong; undefined where it did not. */
export function judgeFault(outcome: Outcome): Judgement | undefined {
  const words = faultInWords(outcome);
  return words === undefined ? undefined : verdictOf(false, words, outcome.faultInstant);
}

/** Flags in words. */
export function flagsInWords(flags: ReadonlySet<Flag>): string {
  return flags.size === 0 ? "no flag" : [...flags].join(", ");
}

/** Milliseconds with three decimals. */
export function milliseconds(seconds: number): string {
  return `${(1000 * seconds).toFixed(3)} ms`;
}

/** Judges a reading that must be right, within a bound of V, or flagged. */
export function rightOrFlagged(outcome: Outcome, bound: (truth: number) => number): Judgement {
  const wrong = judgeFault(outcome);
  if (wrong !== undefined) return wrong;
  const found = plainReading(outcome);
  if (found === undefined) return verdictOf(true, "flagged or no reading");
  const truth = outcome.truth.voltageAt(found.instant);
  const error = Math.abs(found.voltage - truth);
  const allowed = bound(truth);
  return {
    margin: 1 - error / allowed,
    instant: found.instant,
    because: `reads ${found.voltage.toFixed(3)} V without a flag where ${truth.toFixed(3)} V are on the pins`,
  };
}
