import { Decimal } from "../../lib/quantity/decimal.ts";
import { measurementModel } from "../../lib/chain/measurement-model.ts";
import type { Design } from "../../lib/design/design.ts";
import { ErrorBrackets } from "../../lib/guarantee/error-brackets.ts";
import { InvalidInputError } from "../../lib/errors.ts";
import type { BoundBand, Promises } from "../claims/situation.ts";

/** Ends of the bands for which the error is bounded, V, both polarities. */
const ENDS = [0, 5, 10, 20, 28, 33, 35, 40, 50, 58, 62, 80, 110, 150, 200, 260, 330, 400];

const RELATIVE_GAP = 5e-3;
const ZERO = Decimal.ofInteger(0);

function bandEnds({ measuringInterval }: Design): number[] {
  const lower = measuringInterval.lower.toNumber();
  const upper = measuringInterval.upper.toNumber();
  const inside = [...ENDS.map((end) => -end), ...ENDS].filter((end) => end > lower && end < upper);
  return [...new Set([lower, ...inside.map((end) => end + 0), upper])].sort((a, b) => a - b);
}

/** Proven bounds of the error of indication over the whole measuring interval, band by band. */
export function provenBands(design: Design): readonly BoundBand[] {
  const brackets = new ErrorBrackets(measurementModel(design), {
    relativeGap: RELATIVE_GAP,
    workLimit: 2_000,
  });
  const ends = bandEnds(design);
  return ends.slice(1).map((upper, index) => {
    const lower = ends[index]!;
    const { low, high } = brackets.bound({ lower, upper });
    return { lower, upper, low: low.proven, high: high.proven };
  });
}

/** The design as it reads at the instant its reading stands for: no latency. */
export function withoutLatency(design: Design): Design {
  const { timing } = design;
  if (timing === undefined) {
    throw new InvalidInputError("design", [
      {
        path: "timing",
        quantity: "timing",
        permitted: "given: firmware is run at its sample rate",
        received: "none",
      },
    ]);
  }
  return { ...design, timing: { ...timing, latency: { lower: ZERO, upper: ZERO } } };
}

/** What is promised where nobody said otherwise; the window is the design's own latency. */
export function usualPromises({ timing }: Design): Promises {
  return {
    bounce: 0.01,
    latency: 0.017,
    instant: [timing?.latency.lower.toNumber() ?? 0, timing?.latency.upper.toNumber() ?? 0],
    smallestCapacitance: 1.2e-9,
    triggerLevel: 20,
    lines: [34, 60],
  };
}
