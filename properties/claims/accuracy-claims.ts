import {
  CAPACITANCE,
  CHARGED_PHASE,
  NOISE,
  NOISE_OR_HELD,
  POLES,
  RESIDUAL,
  REVERSED,
  SAMPLING_PHASE,
  declaredFrequency,
  mainsVoltage,
  unitDimensions,
} from "../arbitraries/stock-dimensions.ts";
import type { Space } from "../arbitraries/space.ts";
import { claim, verdictOf } from "./claim.ts";
import type { Claim, Judgement } from "./claim.ts";
import type { Outcome } from "./outcome.ts";
import { judgeFault, milliseconds, plainReading } from "./reading-parts.ts";
import { boundAt } from "./situation.ts";
import type { BoundBand, CampaignContext } from "./situation.ts";
import { plainSituation, worldOf } from "./world.ts";

/** Ordinary disconnections: declared mains, passive products, everything held well enough. */
export function ordinarySpace({ design }: CampaignContext): Space {
  return [
    mainsVoltage(design),
    declaredFrequency(design),
    CHARGED_PHASE,
    RESIDUAL,
    CAPACITANCE,
    POLES,
    REVERSED,
    SAMPLING_PHASE,
    NOISE,
  ];
}

function judgeError(outcome: Outcome, bands: readonly BoundBand[], at: number, more: number) {
  const found = plainReading(outcome);
  if (found === undefined) return undefined;
  const truth = outcome.truth.voltageAt(at);
  const bound = boundAt(bands, truth);
  if (bound === undefined) return undefined;
  const error = found.voltage - truth;
  const allowed = (error >= 0 ? bound.high : -bound.low) + more;
  return {
    margin: 1 - Math.abs(error) / allowed,
    instant: at,
    because:
      `reads ${found.voltage.toFixed(3)} V for ${truth.toFixed(4)} V: error ` +
      `${error.toFixed(4)} V of ${allowed.toFixed(4)} V proven`,
  } satisfies Judgement;
}

const overUnits = (context: CampaignContext): Space => [
  ...ordinarySpace(context).filter(({ name }) => name !== "noise"),
  NOISE_OR_HELD,
  ...unitDimensions(context.design),
];

export const ACCURACY_CLAIMS: readonly Claim[] = [
  claim({
    id: "voltage",
    says: "The error of indication at the instant the reading stands for lies inside the proven bounds, for every unit and product.",
    over: overUnits,
    situation: (point, context) =>
      plainSituation(worldOf(point, context, { name: "disconnection by hand" }), context),
    judge: (outcome) => {
      const found = plainReading(outcome);
      if (found === undefined) return judgeFault(outcome);
      return judgeError(outcome, outcome.context.voltageBounds, found.instant, 0);
    },
    covers: [{ name: "a reading was taken", least: 500, is: (o) => plainReading(o) !== undefined }],
    mustCatch: ["wrong-rounding", "model-term-left-out"],
    againstBound: true,
  }),
  claim({
    id: "time",
    says: "The instant the reading stands for lies within the declared window around the stated time after the last opening.",
    over: ordinarySpace,
    situation: (point, context) =>
      plainSituation(worldOf(point, context, { name: "disconnection by hand" }), context),
    judge: (outcome) => {
      const found = plainReading(outcome);
      const opening = outcome.truth.lastOpening;
      if (found === undefined || opening === undefined) return judgeFault(outcome);
      const { design, promises } = outcome.context;
      const late = found.instant - opening - design.conditions.instant.toNumber();
      // The firmware's clock is the unit's: its tolerance belongs to the window.
      const [earliest, latest] = promises.instant;
      const clock = design.timing!.clockTolerance.upper.toNumber();
      const slack = clock * design.conditions.instant.toNumber();
      const allowed = late >= 0 ? latest + slack : slack - earliest;
      return {
        margin: 1 - Math.abs(late) / allowed,
        instant: found.instant,
        because: `reads ${milliseconds(late)} after the stated instant, ${milliseconds(allowed)} allowed`,
      };
    },
    covers: [{ name: "a reading was taken", least: 500, is: (o) => plainReading(o) !== undefined }],
    mustCatch: ["late-latch"],
  }),
  claim({
    id: "together",
    says: "For passive products the error at the stated time lies inside the bound of the voltage plus the product's slope times the declared window.",
    over: overUnits,
    situation: (point, context) =>
      plainSituation(worldOf(point, context, { name: "disconnection by hand" }), context),
    judge: (outcome) => {
      const opening = outcome.truth.lastOpening;
      if (opening === undefined) return judgeFault(outcome);
      const { design, promises, voltageBounds } = outcome.context;
      const stated = opening + design.conditions.instant.toNumber();
      const widest = Math.max(...promises.instant.map(Math.abs));
      // The slope is largest at the early end of the window: the voltage only falls.
      const slope = Math.abs(outcome.truth.slopeAt(stated - widest));
      return judgeError(outcome, voltageBounds, stated, slope * widest) ?? judgeFault(outcome);
    },
    covers: [{ name: "a reading was taken", least: 500, is: (o) => plainReading(o) !== undefined }],
    mustCatch: ["late-latch"],
  }),
  claim({
    id: "availability",
    says: "In every ordinary disconnection there is exactly one report, with one finite reading and without a flag.",
    over: ordinarySpace,
    situation: (point, context) =>
      plainSituation(worldOf(point, context, { name: "disconnection by hand" }), context),
    judge: (outcome) => {
      const wrong = judgeFault(outcome);
      if (wrong !== undefined) return wrong;
      const { truth, context, reports } = outcome;
      const opening = truth.lastOpening;
      if (opening === undefined) return undefined;
      const { promises } = context;
      const least = truth.leastMagnitude(opening, opening + promises.latency);
      // Close to the trigger level "below trigger" is right as well.
      if (least < promises.triggerLevel * 1.2) return undefined;
      const [report] = reports;
      const isRight =
        reports.length === 1 && report!.readings.length === 1 && report!.flags.size === 0;
      const flags = report === undefined ? "no report" : [...report.flags].join(", ") || "no flag";
      const because = `${report?.readings.length ?? 0} readings, ${flags}`;
      return verdictOf(isRight && Number.isFinite(report!.readings[0]!.voltage), because, opening);
    },
    covers: [
      {
        name: "enough left to be found",
        least: 300,
        is: ({ truth, context }) =>
          truth.lastOpening !== undefined &&
          Math.abs(truth.voltageAt(truth.lastOpening)) > context.promises.triggerLevel * 1.5,
      },
    ],
    mustCatch: ["always-flags", "never-retried"],
  }),
];
