import type { Design } from "../design/design.ts";
import { scalingConstants } from "../design/scaling-constants.ts";
import { Decimal } from "../quantity/decimal.ts";

/** A contiguous part of the measuring interval, ends included; exact decimals in volts. */
export interface VoltageBand {
  readonly lower: Decimal;
  readonly upper: Decimal;
  /** The voltage for which the band was made, where it was made for one. */
  readonly voltage?: Decimal;
}

/** Bands into which the rest of the range is cut, at most, beside those of the voltages asked for. */
const FILLING_BANDS = 256;

/** A band for a voltage is no narrower than this share of the range, however fine the code. */
const FINEST_BANDS = 4096;

const TWO = Decimal.ofInteger(2);
const HALF = Decimal.parse("0.5");

interface Steps {
  /** Width of a band made for a voltage: one code or a little more, V. */
  readonly narrow: Decimal;
  /** Width of the others, V. */
  readonly wide: Decimal;
  readonly decimals: number;
}

function stepsOf(design: Design): Steps {
  const { codesPerVolt } = scalingConstants(design);
  const code = Decimal.one.divide(codesPerVolt, 12, "up");
  const decimals = Math.max(0, Math.ceil(-Math.log10(code.toNumber()))) + 1;
  const { lower, upper } = design.measuringInterval;
  const span = upper.subtract(lower);
  const fine = span.divide(Decimal.ofInteger(FINEST_BANDS), 12, "up");
  const narrow = Decimal.max(code, fine).roundUp(decimals);
  const share = span.divide(Decimal.ofInteger(FILLING_BANDS), 12, "up");
  return { narrow, wide: Decimal.max(narrow, share.roundUp(decimals)), decimals };
}

/** Ends of the band of each voltage: half a band either side, or half way to a near neighbour. */
function bandsOfVoltages(design: Design, voltages: readonly Decimal[], steps: Steps) {
  const { lower, upper } = design.measuringInterval;
  const half = steps.narrow.multiply(HALF);
  const round = (value: Decimal): Decimal => value.roundUp(steps.decimals + 1);
  return voltages.map((voltage, index): VoltageBand => {
    const before = voltages[index - 1];
    const after = voltages[index + 1];
    // At an end of the range the band reaches inward by its full width.
    const least = Decimal.max(lower, voltage.subtract(half));
    const most = Decimal.min(upper, voltage.add(half));
    let low = round(Decimal.min(least, most.subtract(steps.narrow)));
    let high = round(Decimal.max(most, least.add(steps.narrow)));
    // Near neighbours meet half way, so that no sliver narrower than a code is left between.
    const near = (other: Decimal): boolean =>
      other.subtract(voltage).absolute().compare(steps.narrow.multiply(TWO)) < 0;
    // Exact, so that voltages however near keep bands of their own.
    const middle = (other: Decimal): Decimal => other.add(voltage).multiply(HALF);
    if (before !== undefined && near(before)) low = middle(before);
    if (after !== undefined && near(after)) high = middle(after);
    return { lower: Decimal.max(lower, low), upper: Decimal.min(upper, high), voltage };
  });
}

function fill(from: Decimal, to: Decimal, steps: Steps): VoltageBand[] {
  const width = to.subtract(from);
  if (width.sign() <= 0) return [];
  const count = Math.ceil(width.divide(steps.wide, 12, "up").toNumber());
  const bands: VoltageBand[] = [];
  let lower = from;
  for (let index = 1; index <= count; index += 1) {
    const share = width
      .multiply(Decimal.ofInteger(index))
      .divide(Decimal.ofInteger(count), 20, "down");
    const upper = index === count ? to : from.add(share.roundDown(steps.decimals));
    bands.push({ lower, upper });
    lower = upper;
  }
  return bands;
}

/** The voltages that lie inside the measuring interval, each once, in ascending order. */
export function voltagesInside(design: Design, voltages: readonly Decimal[]): Decimal[] {
  const { lower, upper } = design.measuringInterval;
  const inside = voltages.filter(
    (voltage) => voltage.compare(lower) >= 0 && voltage.compare(upper) <= 0,
  );
  return [...inside]
    .sort((one, other) => one.compare(other))
    .filter((voltage, index, sorted) => index === 0 || !voltage.equals(sorted[index - 1]!));
}

/**
 * Cuts the measuring interval into contiguous bands: one about a code wide round each voltage asked
 * for, wider ones between. Every real voltage of the range lies in a band.
 */
export function bandsOf(design: Design, voltages: readonly Decimal[]): readonly VoltageBand[] {
  const steps = stepsOf(design);
  const { lower, upper } = design.measuringInterval;
  const bands: VoltageBand[] = [];
  let reached = lower;
  for (const band of bandsOfVoltages(design, voltagesInside(design, voltages), steps)) {
    bands.push(...fill(reached, band.lower, steps), band);
    reached = band.upper;
  }
  bands.push(...fill(reached, upper, steps));
  return bands;
}
