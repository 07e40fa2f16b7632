import { OutsideDomainError } from "../../lib/errors.ts";
import type { Firmware } from "../../sim/firmware/port.ts";
import type { Point } from "../arbitraries/space.ts";
import type { Claim } from "../claims/claim.ts";
import type { Outcome } from "../claims/outcome.ts";
import type { CampaignContext } from "../claims/situation.ts";
import type { JudgedPoint } from "./block.ts";
import { play } from "./play.ts";

/** One run of a claim. */
export type Evaluation =
  | { readonly kind: "judged"; readonly judged: JudgedPoint; readonly outcome: Outcome }
  | { readonly kind: "notApplicable"; readonly outcome: Outcome }
  | { readonly kind: "unplayable"; readonly reason: string };

/** Plays the scenario of a point and asks the claim. */
export function evaluatePoint(
  claim: Claim,
  point: Point,
  { firmware, context }: { readonly firmware: Firmware; readonly context: CampaignContext },
): Evaluation {
  let outcome: Outcome;
  try {
    outcome = play(firmware, claim.situation(point, context), context);
  } catch (error) {
    if (error instanceof OutsideDomainError) return { kind: "unplayable", reason: error.message };
    throw error;
  }
  const judgement = claim.judge(outcome);
  if (judgement === undefined) return { kind: "notApplicable", outcome };
  const { margin, because, instant = null } = judgement;
  // A margin that is no number is no success.
  const judged = { point, margin: Number.isNaN(margin) ? -1 : margin, because, instant };
  return { kind: "judged", judged, outcome };
}

/** Everything the firmware said, as text for a digest. */
export function outcomeText(evaluation: Evaluation): string {
  if (evaluation.kind === "unplayable") return `unplayable ${evaluation.reason}`;
  const { outcome } = evaluation;
  const said = outcome.reports.map(({ report }) => ({ ...report, flags: [...report.flags] }));
  const verdict = evaluation.kind === "judged" ? evaluation.judged : null;
  return JSON.stringify([said, outcome.fault ?? null, verdict]);
}
