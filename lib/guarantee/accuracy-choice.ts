import type { ShareAndVolts } from "../design/accuracy-statement.ts";
import { OutsideDomainError } from "../errors.ts";
import { Decimal } from "../quantity/decimal.ts";
import { LARGEST_SHARE } from "./accuracy-curve.ts";
import type { AccuracyCurve, ExactPair } from "./accuracy-curve.ts";
import { figureAbove } from "./accuracy-figure.ts";
import { shareFigure } from "./accuracy-figure-pairs.ts";
import type { AccuracyFitOptions } from "./accuracy-input.ts";
import { meanVoltage } from "./accuracy-mean.ts";
import type { AccuracyPart } from "./accuracy-part.ts";

/** What was picked from the curve, and why. */
export interface AccuracyChoice {
  readonly pair: ShareAndVolts;
  /** The same choice before rounding. */
  readonly exact: ExactPair;
  /** One sentence. */
  readonly objective: string;
}

function percent(share: Decimal): string {
  return `${share.multiply(Decimal.ofInteger(100)).toString()} %`;
}

function exactly({ share, volts }: ShareAndVolts): ExactPair {
  return { share, volts, divisor: Decimal.one };
}

function leastMeanWidth(
  curve: AccuracyCurve,
  pairs: readonly ShareAndVolts[],
  part: AccuracyPart,
): AccuracyChoice {
  const voltage = meanVoltage(part);
  const widthOf = ({ share, volts }: ShareAndVolts): Decimal => share.multiply(voltage).add(volts);
  const pair = pairs.reduce((best, other) =>
    widthOf(other).compare(widthOf(best)) < 0 ? other : best,
  );
  const shown = voltage.divide(Decimal.one, 4, "down").toString();
  const objective =
    "No other pair of two-digit figures that covers has a smaller mean width over log |V| " +
    `from ${part.from.toString()} V to ${part.to.toString()} V, which is its width at ${shown} V.`;
  return { pair, exact: curve.narrowestAt(voltage), objective };
}

function refuseVolts(least: Decimal, received: Decimal, hint: string): never {
  throw new OutsideDomainError({
    path: "fixedVolts",
    quantity: "constant part of the statement",
    permitted: `at least ${least.toString()} V`,
    received: `${received.toString()} V`,
    hint,
  });
}

function withFixedVolts(curve: AccuracyCurve, volts: Decimal): AccuracyChoice {
  const [exact, share] = [curve.leastShare(volts), shareFigure(curve, volts)];
  if (exact === undefined || share === undefined) {
    const least = figureAbove(curve.leastVolts(LARGEST_SHARE));
    const hint = `with less no share of the indication up to ${percent(LARGEST_SHARE)} covers`;
    refuseVolts(least, volts, hint);
  }
  const objective = `The least share of the indication that covers with ${volts.toString()} V fixed.`;
  return { pair: { share, volts }, exact, objective };
}

function withBothFixed(curve: AccuracyCurve, pair: ShareAndVolts): AccuracyChoice {
  const least = curve.leastVolts(pair.share);
  if (pair.volts.compare(least) < 0) {
    const share = shareFigure(curve, pair.volts);
    const other = share === undefined ? "" : `, or a share of at least ${percent(share)}`;
    const hint = `with ${percent(pair.share)} of the indication that much is needed${other}`;
    refuseVolts(figureAbove(least), pair.volts, hint);
  }
  return { pair, exact: exactly(pair), objective: "Both figures as given." };
}

/**
 * The statement to give: with the least mean width among all pairs of data-sheet figures, or with a
 * fixed figure and the least of the other. Throws OutsideDomainError where the fixed volts are too
 * few.
 */
export function chooseAccuracy(
  curve: AccuracyCurve,
  pairs: readonly ShareAndVolts[],
  options: AccuracyFitOptions,
): AccuracyChoice {
  const { fixedShare: share, fixedVolts: volts } = options;
  if (share !== undefined && volts !== undefined) return withBothFixed(curve, { share, volts });
  if (volts !== undefined) return withFixedVolts(curve, volts);
  if (share === undefined) return leastMeanWidth(curve, pairs, options);
  const least = curve.leastVolts(share);
  return {
    pair: { share, volts: figureAbove(least) },
    exact: exactly({ share, volts: least }),
    objective: `The least volts that cover with ${percent(share)} of the indication fixed.`,
  };
}
