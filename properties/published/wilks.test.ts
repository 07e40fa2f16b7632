// Falsified by: a sample size, bound or confidence that differs from the binomial distribution.
// 59, 93, 124 are literature values (from memory; recomputed); 299 is confirmed (public note on
// the success-run theorem); all others are computed.
import { describe, expect, test } from "vitest";
import { InvalidInputError } from "../../lib/errors.ts";
import {
  binomialBounds,
  binomialLowerBound,
  binomialUpperBound,
} from "../../lib/statistics/binomial-bounds.ts";
import {
  orderStatisticConfidence,
  wilksSampleSize,
} from "../../lib/statistics/order-statistics.ts";

const ONE_SIDED: readonly (readonly [number, number, readonly number[]])[] = [
  [0.9, 0.9, [22, 38, 52, 65, 78]],
  [0.9, 0.95, [29, 46, 61, 76, 89]],
  [0.95, 0.9, [45, 77, 105, 132, 158]],
  [0.95, 0.95, [59, 93, 124, 153, 181]],
  [0.95, 0.99, [90, 130, 165, 198, 229]],
  [0.99, 0.9, [230, 388, 531, 667, 798]],
  [0.99, 0.95, [299, 473, 628, 773, 913]],
  [0.99, 0.99, [459, 662, 838, 1001, 1157]],
  [0.999, 0.95, [2995, 4742, 6294, 7752, 9151]],
];

const TWO_SIDED: readonly (readonly [number, number, readonly number[]])[] = [
  [0.9, 0.9, [38, 65, 91]],
  [0.9, 0.95, [46, 76, 103]],
  [0.95, 0.9, [77, 132, 184]],
  [0.95, 0.95, [93, 153, 208]],
  [0.95, 0.99, [130, 198, 259]],
  [0.99, 0.95, [473, 773, 1049]],
  [0.99, 0.99, [662, 1001, 1307]],
];

function sizes(sides: 1 | 2, coverage: number, confidence: number, orders: number): number[] {
  return Array.from({ length: orders }, (_, index) =>
    wilksSampleSize({ coverage, confidence, sides, order: index + 1 }),
  );
}

describe("sample sizes of order statistics (Wilks)", () => {
  test.each(ONE_SIDED)(
    "one limit, coverage %s, confidence %s",
    (coverage, confidence, expected) => {
      expect(sizes(1, coverage, confidence, expected.length)).toEqual(expected);
    },
  );

  test.each(TWO_SIDED)(
    "two limits, coverage %s, confidence %s",
    (coverage, confidence, expected) => {
      expect(sizes(2, coverage, confidence, expected.length)).toEqual(expected);
    },
  );

  test("the confidences reached just below and at the size (computed)", () => {
    const one = { coverage: 0.95, confidence: 0.95, sides: 1, order: 1 } as const;
    expect(orderStatisticConfidence(one, 59)).toBeCloseTo(0.951505, 6);
    expect(orderStatisticConfidence(one, 58)).toBeCloseTo(0.948953, 6);
    expect(orderStatisticConfidence({ ...one, sides: 2 }, 93)).toBeCloseTo(0.950024, 6);
    expect(orderStatisticConfidence({ ...one, sides: 2 }, 1)).toBe(0);
  });

  test("shares outside 0 to 1 and odd orders are refused together", () => {
    const statement = { coverage: 1, confidence: 0, sides: 1, order: 1.5 } as const;
    expect(() => wilksSampleSize(statement)).toThrow(/3 faults/);
  });
});

describe("bounds of a probability (computed)", () => {
  test.each([
    [10, 0.258866],
    [30, 0.095034],
    [59, 0.049508],
    [100, 0.029513],
    [299, 0.009969],
    [1000, 0.002991],
  ])("no failure in %s trials: exact bound beside the rule of three", (trials, bound) => {
    const exact = binomialUpperBound({ successes: 0, trials }, 0.95);
    expect(exact).toBeCloseTo(bound, 6);
    expect(exact).toBeLessThan(3 / trials);
    expect(binomialLowerBound({ successes: trials, trials }, 0.95)).toBeCloseTo(1 - bound, 6);
  });

  test.each([
    [0, 10, 0, 0.308497],
    [1, 10, 0.002529, 0.445016],
    [2, 10, 0.025211, 0.556095],
    [5, 10, 0.187086, 0.812914],
    [4, 20, 0.057334, 0.436614],
    [0, 59, 0, 0.060609],
    [0, 100, 0, 0.036217],
    [1, 100, 0.000253, 0.054459],
    [10, 100, 0.049005, 0.176223],
  ])("%s of %s, two-sided 95 % (Clopper and Pearson)", (successes, trials, lower, upper) => {
    const bounds = binomialBounds({ successes, trials }, 0.95);
    expect(bounds.lower).toBeCloseTo(lower, 6);
    expect(bounds.upper).toBeCloseTo(upper, 6);
  });

  test("a count that cannot be is refused", () => {
    expect(() => binomialBounds({ successes: 3, trials: 2 }, 0.95)).toThrow(InvalidInputError);
    expect(() => binomialBounds({ successes: -1, trials: 0 }, 1.5)).toThrow(/3 faults/);
  });
});
