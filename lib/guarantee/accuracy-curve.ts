import { Decimal } from "../quantity/decimal.ts";

/** error <= share * indication + volts is asked; both zero or above, V. */
export interface CurveDemand {
  readonly indication: Decimal;
  readonly error: Decimal;
}

/** A pair as exact fractions: share / divisor, and volts / divisor in V; the divisor above zero. */
export interface ExactPair {
  readonly share: Decimal;
  readonly volts: Decimal;
  readonly divisor: Decimal;
}

/**
 * The largest share of the indication that a statement is given: two digits of percent below 100 %.
 */
export const LARGEST_SHARE = Decimal.parse("0.99");

/** True where `middle` lies on or below the line from `before` to `after`. */
function isBelow(middle: CurveDemand, before: CurveDemand, after: CurveDemand): boolean {
  const rise = middle.error.subtract(before.error);
  const run = middle.indication.subtract(before.indication);
  const wholeRise = after.error.subtract(before.error);
  const wholeRun = after.indication.subtract(before.indication);
  return rise.multiply(wholeRun).compare(wholeRise.multiply(run)) <= 0;
}

/**
 * The rising part of the upper convex hull of all demands, from "no error at no indication" on:
 * errors rise strictly and slopes fall strictly; only the first two may share an indication, of
 * zero. Exact.
 */
function hullOf(demands: readonly CurveDemand[]): readonly CurveDemand[] {
  const sorted = [...demands].sort(
    (one, other) => one.indication.compare(other.indication) || other.error.compare(one.error),
  );
  // "volts >= 0" is the demand of no error at an indication of zero.
  const corners: CurveDemand[] = [{ indication: Decimal.zero, error: Decimal.zero }];
  for (const demand of sorted) {
    if (demand.error.compare(corners.at(-1)!.error) <= 0) continue;
    while (corners.length >= 2 && isBelow(corners.at(-1)!, corners.at(-2)!, demand)) corners.pop();
    corners.push(demand);
  }
  return corners;
}

/** The pair whose line passes through both; the second has the larger indication. */
function pairThrough(first: CurveDemand, second: CurveDemand): ExactPair {
  const share = second.error.subtract(first.error);
  const divisor = second.indication.subtract(first.indication);
  const volts = first.error.multiply(divisor).subtract(share.multiply(first.indication));
  return { share, volts, divisor };
}

/**
 * The curve of pairs (share, volts) that meet all demands |error| <= share * |indication| + volts
 * and of which neither figure can be lowered alone. Exact throughout.
 */
export class AccuracyCurve {
  private readonly corners: readonly CurveDemand[];

  constructor(demands: readonly CurveDemand[]) {
    this.corners = hullOf(demands);
  }

  /** The least volts that go with a share of zero or above, V. */
  leastVolts(share: Decimal): Decimal {
    return this.corners.reduce(
      (most, { indication, error }) =>
        Decimal.max(most, error.subtract(share.multiply(indication))),
      Decimal.zero,
    );
  }

  /**
   * The least share that goes with these volts, zero or above; `undefined` where none does, because
   * the indication can be zero at a larger error.
   */
  leastShare(volts: Decimal): ExactPair | undefined {
    let most = { share: Decimal.zero, volts, divisor: Decimal.one };
    for (const { indication, error } of this.corners) {
      const share = error.subtract(volts);
      if (share.sign() <= 0) continue;
      if (indication.isZero()) return undefined;
      if (share.multiply(most.divisor).compare(most.share.multiply(indication)) > 0) {
        most = { share, volts: volts.multiply(indication), divisor: indication };
      }
    }
    return most;
  }

  /**
   * The pair with the least share * voltage + volts at one voltage, zero or above, among those with
   * a share of at most {@link LARGEST_SHARE}. Where two have the same, the one with less share.
   */
  narrowestAt(voltage: Decimal): ExactPair {
    const next = this.corners.findIndex(({ indication }) => indication.compare(voltage) > 0);
    const second = this.corners[next];
    const first = this.corners[next - 1];
    if (first === undefined || second === undefined) {
      return { share: Decimal.zero, volts: this.leastVolts(Decimal.zero), divisor: Decimal.one };
    }
    const pair = pairThrough(first, second);
    if (pair.share.compare(LARGEST_SHARE.multiply(pair.divisor)) <= 0) return pair;
    const volts = this.leastVolts(LARGEST_SHARE);
    return { share: LARGEST_SHARE, volts, divisor: Decimal.one };
  }
}
