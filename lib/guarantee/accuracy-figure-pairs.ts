import type { ShareAndVolts } from "../design/accuracy-statement.ts";
import { invariant } from "../errors.ts";
import { Decimal } from "../quantity/decimal.ts";
import { LARGEST_SHARE } from "./accuracy-curve.ts";
import type { AccuracyCurve } from "./accuracy-curve.ts";
import { figureAbove, figureBefore } from "./accuracy-figure.ts";

/** Far beyond the some 100 pairs per decade that two digits allow. */
const MOST_PAIRS = 20_000;

/**
 * Least share, as a figure, that goes with these volts; `undefined` where no permitted one does.
 */
export function shareFigure(curve: AccuracyCurve, volts: Decimal): Decimal | undefined {
  const least = curve.leastShare(volts);
  if (least === undefined) return undefined;
  const figure = figureAbove(least.share, least.divisor);
  return figure.compare(LARGEST_SHARE) <= 0 ? figure : undefined;
}

/**
 * Every pair of data-sheet figures (two significant digits each) that meets all demands of a curve
 * and of which neither figure can be lowered alone by a step: from no share to the least volts.
 */
export function figurePairs(curve: AccuracyCurve): readonly ShareAndVolts[] {
  const pairs: ShareAndVolts[] = [];
  let share: Decimal | undefined = Decimal.zero;
  while (share !== undefined) {
    invariant(pairs.length < MOST_PAIRS, "the pairs of two-digit figures end");
    const volts = figureAbove(curve.leastVolts(share));
    pairs.push({ share, volts });
    // The volts are the least figure for this share, so one step less asks for a larger share.
    share = volts.isZero() ? undefined : shareFigure(curve, figureBefore(volts));
  }
  return pairs;
}
