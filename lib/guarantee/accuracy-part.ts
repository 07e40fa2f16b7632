import { Decimal } from "../quantity/decimal.ts";

/** A band of true voltages with its proven signed errors. */
export interface ProvenBand {
  /** True voltages of the band, ends included, V. */
  readonly lower: Decimal;
  /** V, not below `lower`. */
  readonly upper: Decimal;
  /** low <= error of indication <= high is proven at every true voltage of the band; V. */
  readonly low: number;
  /** V, not below `low`. */
  readonly high: number;
}

/** The part of the range for which a statement is made, by the magnitude of the true voltage. */
export interface AccuracyPart {
  /** Least magnitude, V, zero or above. */
  readonly from: Decimal;
  /** Largest magnitude, V, not below `from`. */
  readonly to: Decimal;
}

/** True voltages from `lower` to `upper`, ends included, V. */
export interface StatedInterval {
  readonly lower: Decimal;
  readonly upper: Decimal;
}

function common(one: StatedInterval, other: StatedInterval): StatedInterval[] {
  const lower = Decimal.max(one.lower, other.lower);
  const upper = Decimal.min(one.upper, other.upper);
  return lower.compare(upper) <= 0 ? [{ lower, upper }] : [];
}

/**
 * The true voltages of an interval that belong to the part: those of negative polarity, then those
 * of positive polarity, each where there are any. An interval that only touches the part counts
 * with the one voltage they share.
 */
export function voltagesOfPart(
  interval: StatedInterval,
  { from, to }: AccuracyPart,
): readonly StatedInterval[] {
  const positive = common(interval, { lower: from, upper: to });
  const negative = common(interval, { lower: to.negate(), upper: from.negate() });
  // In a part from zero on, 0 V belongs to both polarities; it is not listed for its own sake.
  if (from.isZero() && interval.lower.sign() >= 0) return positive;
  if (from.isZero() && interval.upper.sign() <= 0) return negative;
  return [...negative, ...positive];
}
