import type { ShareAndVolts } from "../design/accuracy-statement.ts";
import { invariant } from "../errors.ts";
import { Decimal } from "../quantity/decimal.ts";
import { coversBand } from "./accuracy-check.ts";
import { chooseAccuracy } from "./accuracy-choice.ts";
import { AccuracyCurve } from "./accuracy-curve.ts";
import type { ExactPair } from "./accuracy-curve.ts";
import { accuracyDemands } from "./accuracy-demand.ts";
import { figurePairs } from "./accuracy-figure-pairs.ts";
import { checkAccuracyInput } from "./accuracy-input.ts";
import type { AccuracyFitOptions } from "./accuracy-input.ts";
import { voltagesOfPart } from "./accuracy-part.ts";
import type { AccuracyPart, ProvenBand, StatedInterval } from "./accuracy-part.ts";
import { bindingBands, usedShares } from "./accuracy-use.ts";
import type { BindingBand, UsedShare } from "./accuracy-use.ts";

/** A proven statement |I - V| <= share * |I| + volts over a part of the range. */
export interface AccuracyFit extends ShareAndVolts {
  /** The same choice before rounding, nearest doubles; the proof is of the rounded figures. */
  readonly exact: { readonly share: number; readonly volts: number };
  /**
   * Ends of the curve of pairs, in data-sheet figures and each proven: no share, then the least
   * volts. One where they are the same.
   */
  readonly ends: readonly ShareAndVolts[];
  /** What picked the pair from the curve, one sentence. */
  readonly objective: string;
  /** True voltages for which the statement is proven, by polarity. */
  readonly intervals: readonly StatedInterval[];
  /** Every band of the part, in the order given. */
  readonly usedShare: readonly UsedShare[];
  readonly bindingBands: readonly BindingBand[];
}

/** Digits kept of a quotient: more than a double holds. */
const QUOTIENT_DIGITS = 30;

function nearestDoubles({ share, volts, divisor }: ExactPair): AccuracyFit["exact"] {
  const quotient = (value: Decimal): number =>
    value.divide(divisor, QUOTIENT_DIGITS, "down").toNumber();
  return { share: quotient(share), volts: quotient(volts) };
}

function spanOf(bands: readonly ProvenBand[]): StatedInterval {
  const lower = bands.map((band) => band.lower).reduce((one, other) => Decimal.min(one, other));
  const upper = bands.map((band) => band.upper).reduce((one, other) => Decimal.max(one, other));
  return { lower, upper };
}

function checkCover(pair: ShareAndVolts, bands: readonly ProvenBand[], part: AccuracyPart): void {
  const text = `+/-(${pair.share.toString()} of the indication + ${pair.volts.toString()} V)`;
  const isCovered = bands.every((band) => coversBand(pair, band, part));
  invariant(isCovered, `the fitted statement ${text} covers every band`);
}

/**
 * The tightest statement |I - V| <= share * |I| + volts that the proven errors of contiguous bands
 * allow for every true voltage V with from <= |V| <= to, where I is the indication: the percentage
 * refers to the indication. Bands that reach beyond the part count with what lies inside it, and at
 * an end shared by two bands the errors of both. A polarity that the bands hold in part is covered
 * as far as they reach (see `intervals`); one of the two is covered from `from` to `to`.
 *
 * Both figures have two significant digits. Without a fixed figure no other pair of such figures
 * has a smaller mean width over log |V|; neither figure can be lowered alone by a step. A fixed
 * figure is taken as given and the other is the least that goes with it. Afterwards the statement
 * and the ends of the curve are checked again on every band, exactly.
 *
 * Throws InvalidInputError with every fault of bands and options, OutsideDomainError where the
 * fixed volts are too few, InvariantBrokenError where the check afterwards fails.
 */
export function fitAccuracyStatement(
  bands: readonly ProvenBand[],
  options: AccuracyFitOptions,
): AccuracyFit {
  checkAccuracyInput(bands, options);
  const concerned = bands.filter((band) => voltagesOfPart(band, options).length > 0);
  const demands = accuracyDemands(concerned, options);
  const curve = new AccuracyCurve(demands);
  const pairs = figurePairs(curve);
  const ends = [...pairs.slice(0, 1), ...pairs.slice(1).slice(-1)];
  const { pair, exact, objective } = chooseAccuracy(curve, pairs, options);
  for (const proven of [pair, ...ends]) checkCover(proven, concerned, options);
  return {
    ...pair,
    exact: nearestDoubles(exact),
    ends,
    objective,
    intervals: voltagesOfPart(spanOf(bands), options),
    usedShare: usedShares(concerned, demands, pair),
    bindingBands: bindingBands(demands, exact),
  };
}
