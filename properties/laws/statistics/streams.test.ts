// Falsified by: a merged result that depends on how the values were split or ordered, a quantile
// of the histogram farther from the true one than its bin is wide, or a coverage interval that
// holds too few values or is not the shortest.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { InvariantBrokenError } from "../../../lib/errors.ts";
import { shortestInterval, symmetricInterval } from "../../../lib/statistics/coverage-interval.ts";
import { ExactSum } from "../../../lib/statistics/exact-sum.ts";
import { Histogram } from "../../../lib/statistics/histogram.ts";
import { Moments } from "../../../lib/statistics/moments.ts";

/** Values of very different size, so that plain sums would round differently in each order. */
const values = fc.array(
  fc
    .tuple(fc.integer({ min: -1_000_000, max: 1_000_000 }), fc.integer({ min: -12, max: 12 }))
    .map(([mantissa, exponent]) => mantissa * 10 ** exponent),
  { minLength: 2, maxLength: 60 },
);

function shuffled(list: readonly number[], keys: readonly number[]): number[] {
  return list
    .map((value, index) => ({ value, key: keys[index % keys.length]! + (index % 7) }))
    .sort((one, other) => one.key - other.key)
    .map(({ value }) => value);
}

const keys = fc.array(fc.integer({ min: 0, max: 1_000 }), { minLength: 1, maxLength: 50 });
const cuts = fc.integer({ min: 0, max: 60 });

describe("exact sums and moments", () => {
  test("do not depend on order or on the split into parts", () => {
    fc.assert(
      fc.property(values, keys, cuts, (list, order, cut) => {
        const whole = Moments.of(list);
        const other = shuffled(list, order);
        const parts = Moments.of(other.slice(0, cut));
        parts.merge(Moments.of(other.slice(cut)));
        expect(parts.mean()).toBe(whole.mean());
        expect(parts.variance()).toBe(whole.variance());
        const sum = new ExactSum();
        const rest = new ExactSum();
        list.forEach((value) => sum.add(value));
        other.forEach((value) => rest.add(value));
        expect(rest.value()).toBe(sum.value());
      }),
    );
  });

  test("keep what plain addition loses", () => {
    const sum = new ExactSum();
    for (const value of [1e300, 1, -1e300, 1e-300]) sum.add(value);
    expect(sum.value()).toBe(1);
    const moments = Moments.of([1e15, 1e15 + 1, 1e15 + 2]);
    expect(moments.standardDeviation()).toBe(1);
    expect(moments.mean()).toBe(1e15 + 1);
  });

  test("ask for as many values as they need", () => {
    expect(() => new Moments().mean()).toThrow(InvariantBrokenError);
    expect(() => Moments.of([1]).variance()).toThrow(InvariantBrokenError);
  });
});

const scale = { centre: 3, spread: 2 };
/** From the middle of the fine part to far beyond it. */
const spreadValues = fc.array(
  fc
    .tuple(fc.integer({ min: -40_000, max: 40_000 }), fc.integer({ min: 0, max: 3 }))
    .map(([count, tens]) => 3 + (count / 10_000) * 10 ** tens),
  { minLength: 40, maxLength: 300 },
);

describe("the histogram", () => {
  test("merges to the same answers in any split and order", () => {
    fc.assert(
      fc.property(spreadValues, keys, cuts, (list, order, cut) => {
        const whole = new Histogram(scale);
        whole.add(list);
        const [one, two] = [new Histogram(scale), new Histogram(scale)];
        shuffled(list, order).forEach((value, index) => (index < cut ? two : one).add([value]));
        one.merge(two);
        expect(one.count).toBe(list.length);
        expect(one.shortestInterval(0.9)).toEqual(whole.shortestInterval(0.9));
        expect(one.symmetricInterval(0.9)).toEqual(whole.symmetricInterval(0.9));
        expect(one.minimum).toBe(Math.min(...list));
        expect(one.maximum).toBe(Math.max(...list));
      }),
      { numRuns: 40 },
    );
  });

  test("gives quantiles within the width of their bin", () => {
    fc.assert(
      fc.property(spreadValues, fc.integer({ min: 1, max: 99 }), (list, percent) => {
        const histogram = new Histogram(scale);
        histogram.add(list);
        const sorted = Float64Array.from(list).sort();
        const rank = Math.ceil((percent / 100) * list.length);
        const exact = sorted[rank - 1]!;
        const width = Math.max(2 / 4_096, Math.abs(exact - 3) * 0.00136);
        const found = histogram.quantile((rank - 0.5) / list.length);
        expect(Math.abs(found - exact)).toBeLessThanOrEqual(width * 1.001);
      }),
      { numRuns: 40 },
    );
  });

  test("refuses to merge different scales or to be without a spread", () => {
    const other = new Histogram({ centre: 3, spread: 1 });
    expect(() => new Histogram(scale).merge(other)).toThrow(InvariantBrokenError);
    expect(() => new Histogram({ centre: 0, spread: 0 })).toThrow(InvariantBrokenError);
  });
});

describe("coverage intervals of sorted values", () => {
  const integers = fc
    .array(fc.integer({ min: -50, max: 50 }), { minLength: 20, maxLength: 200 })
    .map((list) => Float64Array.from(list).sort());
  const coverages = fc.integer({ min: 50, max: 94 }).map((percent) => percent / 100);

  test("hold at least the stated share, the shortest is no longer than any other", () => {
    fc.assert(
      fc.property(integers, coverages, (sorted, coverage) => {
        const shortest = shortestInterval(sorted, coverage);
        const symmetric = symmetricInterval(sorted, coverage);
        for (const { lower, upper } of [shortest, symmetric]) {
          const inside = sorted.filter((value) => value >= lower && value <= upper).length;
          expect(inside).toBeGreaterThanOrEqual(Math.floor(coverage * sorted.length));
        }
        const width = shortest.upper - shortest.lower;
        expect(width).toBeLessThanOrEqual(symmetric.upper - symmetric.lower);
        const steps = Math.floor(coverage * sorted.length + 0.5);
        for (let rank = 0; rank + steps < sorted.length; rank += 1)
          expect(sorted[rank + steps]! - sorted[rank]!).toBeGreaterThanOrEqual(width);
      }),
    );
  });

  test("of 1 to 1000 are those of JCGM 101:2008, 7.7.2 by rank", () => {
    const sorted = Float64Array.from({ length: 1_000 }, (_, index) => index + 1);
    expect(symmetricInterval(sorted, 0.95)).toEqual({ lower: 25, upper: 975 });
    const one = Float64Array.from({ length: 999 }, (_, index) => (index + 1) ** 2);
    expect(shortestInterval(one, 0.95).lower).toBe(1);
  });

  test("need more values than the coverage leaves out", () => {
    expect(() => symmetricInterval([1, 2], 0.95)).toThrow(InvariantBrokenError);
  });
});
