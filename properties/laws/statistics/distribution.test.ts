// Falsified by: a distribution whose stated mean or standard deviation differs from the integral
// of its own quantile, whose quantile is not monotone or leaves the limits, or which is accepted
// with limits or degrees of freedom that make no sense.
import * as fc from "fast-check";
import jStat from "jstat";
import { describe, expect, test } from "vitest";
import { distributionFaults } from "../../../lib/statistics/distribution.ts";
import type { Distribution } from "../../../lib/statistics/distribution.ts";
import {
  expectationOf,
  standardDeviationOf,
  standardUncertaintyOf,
} from "../../../lib/statistics/distribution-moments.ts";
import { quantileOf } from "../../../lib/statistics/quantile.ts";

const EXAMPLES: readonly Distribution[] = [
  { shape: "rectangular", lower: -2, upper: 5 },
  { shape: "triangular", lower: 1, upper: 4 },
  { shape: "trapezoidal", lower: -3, upper: 3, topRatio: 0 },
  { shape: "trapezoidal", lower: -3, upper: 3, topRatio: 0.4 },
  { shape: "trapezoidal", lower: -3, upper: 3, topRatio: 1 },
  { shape: "curvilinearTrapezoid", lower: -1, upper: 1, limitUncertainty: 0.5 },
  { shape: "curvilinearTrapezoid", lower: -1, upper: 1, limitUncertainty: 1 },
  { shape: "curvilinearTrapezoid", lower: 9, upper: 11, limitUncertainty: 0.1 },
  { shape: "arcsine", lower: -0.5, upper: 0.5 },
  { shape: "twoPoint", lower: 2, upper: 4 },
  { shape: "normal", mean: 7, standardDeviation: 2 },
  { shape: "normal", mean: 7, standardDeviation: 2, cut: 3 },
  { shape: "normal", mean: 0, standardDeviation: 1, cut: 0.5 },
  { shape: "studentT", mean: 1, scale: 3, degreesOfFreedom: 9 },
  { shape: "empirical", values: [3, 1, 4, 1, 5, 9, 2, 6] },
];

/** Ends of the support first and last, far tails in geometric steps. */
function gridOfTail(steps: number): number[] {
  return Array.from({ length: steps }, (_, index) => 0.5 * ((index + 0.5) / steps) ** 5);
}

describe.each(EXAMPLES)("$shape", (distribution) => {
  test("has the mean and the standard deviation that its quantile integrates to", () => {
    // Substitution p = s^5 / 2 makes the tails fine; midpoints of s weigh 5 s^4 / 2.
    const steps = 20_000;
    const middle = expectationOf(distribution);
    let mean = 0;
    let square = 0;
    gridOfTail(steps).forEach((p, index) => {
      if (p < 1e-15) return;
      const weight = (2.5 * ((index + 0.5) / steps) ** 4) / steps;
      const low = quantileOf(distribution, p) - middle;
      const high = quantileOf(distribution, 1 - p) - middle;
      mean += weight * (low + high);
      square += weight * (low * low + high * high);
    });
    const deviation = standardDeviationOf(distribution);
    expect(Math.abs(mean)).toBeLessThan(1e-4 * deviation);
    expect(Math.abs(Math.sqrt(square - mean * mean) / deviation - 1)).toBeLessThan(1e-4);
  });

  test("has a quantile that rises from one end of the support to the other", () => {
    const millionths = fc.integer({ min: 0, max: 1_000_000 });
    fc.assert(
      fc.property(millionths, millionths, (one, other) => {
        const [low, high] = [Math.min(one, other) / 1e6, Math.max(one, other) / 1e6];
        const from = quantileOf(distribution, low);
        const to = quantileOf(distribution, high);
        expect(from).toBeLessThanOrEqual(to);
        expect(from).toBeGreaterThanOrEqual(quantileOf(distribution, 0));
        expect(to).toBeLessThanOrEqual(quantileOf(distribution, 1));
      }),
    );
    expect(quantileOf(distribution, -0.01)).toBeNaN();
    expect(quantileOf(distribution, 1.01)).toBeNaN();
  });
});

describe("against the reference library", () => {
  const permille = Array.from({ length: 99 }, (_, index) => (index + 1) / 100);

  test.each<[string, Distribution, (p: number) => number]>([
    [
      "rectangular",
      { shape: "rectangular", lower: -2, upper: 5 },
      (p) => jStat.uniform.inv(p, -2, 5),
    ],
    [
      "triangular",
      { shape: "triangular", lower: 1, upper: 4 },
      (p) => jStat.triangular.inv(p, 1, 4, 2.5),
    ],
    [
      "arcsine",
      { shape: "arcsine", lower: -0.5, upper: 0.5 },
      (p) => jStat.arcsine.inv(p, -0.5, 0.5),
    ],
    [
      "normal",
      { shape: "normal", mean: 7, standardDeviation: 2 },
      (p) => jStat.normal.inv(p, 7, 2),
    ],
    [
      "Student t",
      { shape: "studentT", mean: 0, scale: 1, degreesOfFreedom: 5 },
      (p) => jStat.studentt.inv(p, 5),
    ],
  ])("the %s quantile is the same", (_, distribution, reference) => {
    for (const p of permille)
      expect(Math.abs(quantileOf(distribution, p) - reference(p))).toBeLessThan(1e-7);
  });
});

describe("special cases", () => {
  test("a trapezoid without top is a triangle, with the whole top a rectangle", () => {
    const limits = { lower: -3, upper: 3 };
    for (const p of [0, 0.01, 0.3, 0.5, 0.77, 1]) {
      expect(quantileOf({ shape: "trapezoidal", topRatio: 0, ...limits }, p)).toBeCloseTo(
        quantileOf({ shape: "triangular", ...limits }, p),
        13,
      );
      expect(quantileOf({ shape: "trapezoidal", topRatio: 1, ...limits }, p)).toBeCloseTo(
        quantileOf({ shape: "rectangular", ...limits }, p),
        13,
      );
    }
  });

  test("a normal distribution cut far out is the whole one", () => {
    const whole = { shape: "normal", mean: 0, standardDeviation: 1 } as const;
    expect(standardUncertaintyOf({ ...whole, cut: 9 })).toBeCloseTo(1, 13);
    expect(quantileOf({ ...whole, cut: 9 }, 0.975)).toBeCloseTo(quantileOf(whole, 0.975), 13);
    expect(quantileOf({ ...whole, cut: 3 }, 0)).toBe(-3);
    expect(quantileOf({ ...whole, cut: 3 }, 1)).toBe(3);
  });

  test("the standard uncertainty of Student t is its scale, its deviation is larger", () => {
    const t = { shape: "studentT", mean: 0, scale: 2, degreesOfFreedom: 4 } as const;
    expect(standardUncertaintyOf(t)).toBe(2);
    expect(standardDeviationOf(t)).toBeCloseTo(2 * Math.SQRT2, 14);
    expect(standardDeviationOf({ ...t, degreesOfFreedom: 2 })).toBe(Infinity);
  });
});

describe("a faulty distribution", () => {
  test.each<[Distribution, RegExp]>([
    [{ shape: "rectangular", lower: 2, upper: 1 }, /above the lower limit 2/],
    [{ shape: "arcsine", lower: 2, upper: 2 }, /above the lower limit/],
    [{ shape: "triangular", lower: Number.NaN, upper: 1 }, /finite/],
    [{ shape: "trapezoidal", lower: 0, upper: 1, topRatio: 1.5 }, /0 to 1/],
    [{ shape: "curvilinearTrapezoid", lower: 0, upper: 1, limitUncertainty: 0.6 }, /half/],
    [{ shape: "normal", mean: 0, standardDeviation: 0 }, /above zero/],
    [{ shape: "normal", mean: 0, standardDeviation: 1, cut: 0.2 }, /0.5/],
    [{ shape: "studentT", mean: 0, scale: 1, degreesOfFreedom: 0.5 }, /at least 1/],
    [{ shape: "empirical", values: [1] }, /at least 2/],
    [{ shape: "empirical", values: [1, Infinity] }, /finite/],
  ])("%o is refused with one reason", (distribution, reason) => {
    const faults = distributionFaults(distribution, "inputs.x");
    expect(faults).toHaveLength(1);
    expect(faults[0]?.permitted).toMatch(reason);
    expect(faults[0]?.path).toMatch(/^inputs\.x\./);
  });

  test("none of the sound examples is refused", () => {
    for (const distribution of EXAMPLES) expect(distributionFaults(distribution, "")).toEqual([]);
  });
});
