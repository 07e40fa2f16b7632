import { plainLog, plainSineOfHalfTurns } from "./plain-elementary.ts";
import type { Distribution } from "./distribution.ts";
import { normalProbability } from "./normal-probability.ts";
import { normalQuantile } from "./normal-quantile.ts";
import { studentQuantile } from "./student-quantile.ts";

/** Symmetric trapezoid on -1 to 1 with a flat top from -top to top, for p below one half. */
function trapezoidBelow(p: number, top: number): number {
  const slopeShare = (1 - top) / (2 * (1 + top));
  if (p <= slopeShare) return -1 + Math.sqrt(2 * p * (1 - top) * (1 + top));
  return (p - 0.5) * (1 + top);
}

function mirrored(p: number, below: (p: number) => number): number {
  return p <= 0.5 ? below(p) : -below(1 - p);
}

/** Distance from the middle that is passed with the probability `tail`; limits -half to half. */
function curvilinearDistance(tail: number, half: number, uncertainty: number): number {
  const inner = half - uncertainty;
  const outer = half + uncertainty;
  // Upper tail beyond s >= inner: integral of log(outer / s) / (4 d) from s to outer.
  const beyond = (s: number) => (outer - s - s * plainLog(outer / s)) / (4 * uncertainty);
  const flat = inner > 0 ? plainLog(outer / inner) / (4 * uncertainty) : 0;
  const innerTail = inner > 0 ? beyond(inner) : 0.5;
  if (tail >= innerTail) return flat === 0 ? 0 : (0.5 - tail) / flat;
  let lower = Math.max(inner, 0);
  let upper = outer;
  // Near the end the tail falls as the square of the distance to it: a good first guess.
  let s = Math.min(upper, Math.max(lower, outer - Math.sqrt(8 * uncertainty * outer * tail)));
  for (let step = 0; step < 100; step += 1) {
    const tailAt = s > 0 ? beyond(s) : 0.5;
    if (tailAt > tail) lower = s;
    else upper = s;
    const density = plainLog(outer / s) / (4 * uncertainty);
    const wanted = s + (tailAt - tail) / density;
    const next = wanted > lower && wanted < upper ? wanted : (lower + upper) / 2;
    if (Math.abs(next - s) <= 2e-16 * outer) return next;
    s = next;
  }
  return s;
}

function normalAt(p: number, cut: number): number {
  if (cut === Infinity) return normalQuantile(p);
  if (p === 0 || p === 1) return p === 0 ? -cut : cut;
  const outside = normalProbability(-cut);
  return mirrored(p, (tail) => Math.max(-cut, normalQuantile(outside + tail * (1 - 2 * outside))));
}

/**
 * The value that a quantity with the distribution given stays below with the probability given
 * (inverse of the distribution function). At 0 and 1 the ends of the support, which may be
 * infinite; NaN outside.
 *
 * Source: JCGM 101:2008, 6.4 (sampling by the inverse of the distribution function, annex C.2).
 */
export function quantileOf(distribution: Distribution, probability: number): number {
  const p = probability;
  if (!(p >= 0 && p <= 1)) return Number.NaN;
  switch (distribution.shape) {
    case "normal":
      return (
        distribution.mean +
        distribution.standardDeviation * normalAt(p, distribution.cut ?? Infinity)
      );
    case "studentT":
      return (
        distribution.mean + distribution.scale * studentQuantile(p, distribution.degreesOfFreedom)
      );
    case "empirical": {
      const sorted = Float64Array.from(distribution.values).sort();
      return sorted[Math.min(sorted.length - 1, Math.floor(p * sorted.length))]!;
    }
    default:
  }
  const { lower, upper } = distribution;
  const middle = lower + (upper - lower) / 2;
  const half = (upper - lower) / 2;
  switch (distribution.shape) {
    case "rectangular":
      return middle + half * (2 * p - 1);
    case "triangular":
      return middle + half * mirrored(p, (tail) => Math.sqrt(2 * tail) - 1);
    case "trapezoidal":
      return middle + half * mirrored(p, (tail) => trapezoidBelow(tail, distribution.topRatio));
    case "curvilinearTrapezoid": {
      const { limitUncertainty } = distribution;
      return middle + mirrored(p, (tail) => -curvilinearDistance(tail, half, limitUncertainty));
    }
    case "arcsine":
      return middle + half * plainSineOfHalfTurns(p - 0.5);
    case "twoPoint":
      return p < 0.5 ? lower : upper;
  }
}
