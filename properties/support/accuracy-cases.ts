import * as fc from "fast-check";
import type { ProvenBand } from "../../lib/guarantee/accuracy-part.ts";
import { Decimal } from "../../lib/quantity/decimal.ts";

/** Whole numbers throughout, so that checks in plain numbers are exact. */
export interface WholeBand {
  readonly lower: number;
  readonly upper: number;
  readonly low: number;
  readonly high: number;
}

/** Contiguous bands and a part of the range that they hold on at least one polarity. */
export interface AccuracyCase {
  readonly bands: readonly WholeBand[];
  readonly from: number;
  readonly to: number;
}

/** The bands as the library takes them; voltages and errors are divided by the unit. */
export function provenBands(bands: readonly WholeBand[], unit = 1): ProvenBand[] {
  const voltage = (value: number): Decimal => Decimal.parse((value / unit).toString());
  return bands.map(({ lower, upper, low, high }) => ({
    lower: voltage(lower),
    upper: voltage(upper),
    low: low / unit,
    high: high / unit,
  }));
}

/** The voltages of a band that belong to the part, on one polarity; ends included. */
export function clipped(
  { lower, upper }: WholeBand,
  { from, to }: Pick<AccuracyCase, "from" | "to">,
  sign: 1 | -1,
): readonly [number, number] | undefined {
  const [least, most] = sign === 1 ? [from, to] : [-to, -from];
  const [start, end] = [Math.max(lower, least), Math.min(upper, most)];
  return start <= end ? [start, end] : undefined;
}

/**
 * Voltages and errors of a band, inside the part, that ask most of any statement: the corners, and
 * where the indication is zero at an end of the voltages or of the errors.
 */
export function extremes(band: WholeBand, part: Pick<AccuracyCase, "from" | "to">) {
  const points: { readonly voltage: number; readonly error: number }[] = [];
  for (const sign of [1, -1] as const) {
    const voltages = clipped(band, part, sign);
    if (voltages === undefined) continue;
    const [start, end] = voltages;
    for (const error of [band.low, band.high]) {
      for (const voltage of [start, end, -error]) {
        if (voltage >= start && voltage <= end) points.push({ voltage, error });
      }
    }
    for (const voltage of [start, end]) {
      if (-voltage >= band.low && -voltage <= band.high) points.push({ voltage, error: -voltage });
    }
  }
  return points;
}

/** How far a case may go. */
export interface CaseLimits {
  /** Most bands. */
  readonly bands: number;
  /** Widest band, V. */
  readonly width: number;
  /** Largest error, V. */
  readonly error: number;
  /** Least voltage of the part, V. */
  readonly from: number;
}

function bandsFrom(start: number, drawn: readonly (readonly [number, number, number])[]) {
  let lower = start;
  return drawn.map(([width, one, other]): WholeBand => {
    const band = {
      lower,
      upper: lower + width,
      low: Math.min(one, other),
      high: Math.max(one, other),
    };
    lower += width;
    return band;
  });
}

/** Cases with bands of either polarity, across zero, and of errors up to beyond the voltage. */
export function accuracyCases({
  bands,
  width,
  error,
  from,
}: CaseLimits): fc.Arbitrary<AccuracyCase> {
  const errors = fc.integer({ min: -error, max: error });
  const drawn = fc.array(fc.tuple(fc.integer({ min: 1, max: width }), errors, errors), {
    minLength: 1,
    maxLength: bands,
  });
  const starts = fc.integer({ min: -bands * width, max: bands * width });
  const thousandths = fc.integer({ min: 0, max: 1000 });
  return fc
    .tuple(starts, drawn, thousandths, thousandths)
    .map(([start, sketch, one, other]) => {
      const made = bandsFrom(start, sketch);
      const [lower, upper] = [start, made.at(-1)!.upper];
      const least = Math.max(from, lower, -upper);
      const span = Math.max(Math.abs(lower), Math.abs(upper)) - least;
      const [less, more] = [Math.min(one, other), Math.max(one, other)];
      const at = (part: number): number => least + Math.round((span * part) / 1000);
      return { bands: made, from: at(less), to: at(more) };
    })
    .filter((made) => made.from >= from && made.from <= made.to && reaches(made));
}

function reaches({ bands, to }: AccuracyCase): boolean {
  return Math.max(-bands[0]!.lower, bands.at(-1)!.upper) >= to;
}
