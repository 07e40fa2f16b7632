import { measurementModel } from "../../lib/chain/measurement-model.ts";
import type { Design } from "../../lib/design/design.ts";
import { ErrorBrackets } from "../../lib/guarantee/error-brackets.ts";
import { Decimal } from "../../lib/quantity/decimal.ts";

/** Proven limits of the error of indication on a band of true voltages, V. */
export interface BoundBand {
  readonly lower: number;
  readonly upper: number;
  readonly low: number;
  readonly high: number;
}

/** Proven limits by the true voltage; bands in order, without gaps. */
export interface VoltageBounds {
  /**
   * Error of what the firmware reports against the voltage at the instant of its reading: the
   * opening recognised without delay, the display left aside.
   */
  readonly atReading: readonly BoundBand[];
}

/** Narrow where the bound changes with every code, wide where it is close to a line. */
const EDGES = [
  0, 2, 5, 10, 15, 20, 25, 30, 34, 38, 45, 60, 80, 100, 126, 160, 200, 250, 300, 350, 400, 450, 500,
  600, 800, 1000, 1500, 2000,
];

/** How tight the bounds of claims are, and how hard they are worked for. */
export const BOUND_OPTIONS = { relativeGap: 0.02, workLimit: 2_000 };

function bandsOf(design: Design): BoundBand[] {
  const brackets = new ErrorBrackets(measurementModel(design), BOUND_OPTIONS);
  const lower = design.measuringInterval.lower.toNumber();
  const upper = design.measuringInterval.upper.toNumber();
  const edges = [...EDGES.slice(1).map((edge) => -edge), ...EDGES, lower, upper]
    .filter((edge) => edge >= lower && edge <= upper)
    .sort((one, other) => one - other)
    .filter((edge, index, all) => edge !== all[index - 1]);
  return edges.slice(1).map((end, index) => {
    const band = { lower: edges[index]!, upper: end };
    const { low, high } = brackets.bound(band);
    return { ...band, low: low.proven, high: high.proven };
  });
}

/** The design with every opening recognised without delay, and without the display's rounding. */
export function promptDesign(design: Design): Design {
  const zero = Decimal.ofInteger(0);
  const { displayResolution: _, ...scaling } = design.scaling;
  const { timing } = design;
  return {
    ...design,
    scaling,
    ...(timing && { timing: { ...timing, latency: { lower: zero, upper: zero } } }),
  };
}

/**
 * Proves the error of what the firmware reports on bands over a design's measuring interval. Throws
 * NoGuaranteeError where nothing can be proven.
 */
export function voltageBoundsOf(design: Design): VoltageBounds {
  return { atReading: bandsOf(promptDesign(design)) };
}

/** The band that holds a voltage; undefined outside the measuring interval. */
export function boundAt(bands: readonly BoundBand[], voltage: number): BoundBand | undefined {
  return bands.find(({ lower, upper }) => voltage >= lower && voltage <= upper);
}
