import { Moments } from "./moments.ts";
import type { Distribution } from "./distribution.ts";
import { normalDensity, normalProbability } from "./normal-probability.ts";

/** Variance of the standard normal distribution cut at +/- `cut`, over that of the whole one. */
function cutVariance(cut: number): number {
  if (cut === Infinity) return 1;
  const inside = 1 - 2 * normalProbability(-cut);
  return 1 - (2 * cut * normalDensity(cut)) / inside;
}

/** Expectation of the distribution; for a Student t of one degree of freedom its middle. */
export function expectationOf(distribution: Distribution): number {
  switch (distribution.shape) {
    case "normal":
    case "studentT":
      return distribution.mean;
    case "empirical":
      return Moments.of(distribution.values).mean();
    default:
      return distribution.lower + (distribution.upper - distribution.lower) / 2;
  }
}

/**
 * Standard uncertainty that JCGM 100 takes from the distribution. For Student t it is the scale
 * (the experimental standard deviation of the mean): the law of propagation keeps the degrees of
 * freedom beside it. See {@link standardDeviationOf} for the spread of the distribution itself.
 *
 * Source: JCGM 100:2008, 4.3.7 (rectangular), 4.3.9 (trapezoidal, triangular), H.1.3.4 (arcsine);
 * JCGM 101:2008, 6.4.3.4 (curvilinear trapezoid).
 */
export function standardUncertaintyOf(distribution: Distribution): number {
  if (distribution.shape === "normal")
    return distribution.standardDeviation * Math.sqrt(cutVariance(distribution.cut ?? Infinity));
  if (distribution.shape === "studentT") return distribution.scale;
  if (distribution.shape === "empirical") {
    const { length } = distribution.values;
    const variance = Moments.of(distribution.values).variance();
    return Math.sqrt((variance * (length - 1)) / length);
  }
  const half = (distribution.upper - distribution.lower) / 2;
  switch (distribution.shape) {
    case "rectangular":
      return half / Math.sqrt(3);
    case "triangular":
      return half / Math.sqrt(6);
    case "trapezoidal":
      return half * Math.sqrt((1 + distribution.topRatio ** 2) / 6);
    case "curvilinearTrapezoid":
      return Math.sqrt((half * half) / 3 + distribution.limitUncertainty ** 2 / 9);
    case "arcsine":
      return half / Math.SQRT2;
    case "twoPoint":
      return half;
  }
}

/**
 * Standard deviation of the distribution itself. Infinite for Student t with up to 2 degrees of
 * freedom; for every other shape the same as {@link standardUncertaintyOf}.
 */
export function standardDeviationOf(distribution: Distribution): number {
  if (distribution.shape !== "studentT") return standardUncertaintyOf(distribution);
  const { scale, degreesOfFreedom } = distribution;
  if (degreesOfFreedom <= 2) return Infinity;
  if (degreesOfFreedom === Infinity) return scale;
  return scale * Math.sqrt(degreesOfFreedom / (degreesOfFreedom - 2));
}
