// Falsified by: an interval that differs from the one of the sorted values, for smooth or for
// rounded results, or a stated unrest of its ends that repeated samples do not bear out.
import * as fc from "fast-check";
import { expect, test } from "vitest";
import { keyOfSeed, fillUniforms, streamOf } from "../../../lib/random/stream.ts";
import { symmetricInterval } from "../../../lib/statistics/coverage-interval.ts";
import { normalQuantile } from "../../../lib/statistics/normal-quantile.ts";
import { symmetricEnds } from "../../../lib/statistics/symmetric-ends.ts";

function normals(seed: number, count: number): Float64Array {
  const values = new Float64Array(count);
  const stream = streamOf("x", 0, "fine");
  fillUniforms({ key: keyOfSeed(seed), stream, firstTrial: 0 }, values);
  return values.map((u) => normalQuantile(u));
}

test("the ends are those of the sorted values, rounded or not", () => {
  fc.assert(
    fc.property(
      fc.nat(),
      fc.integer({ min: 1_000, max: 30_000 }),
      fc.constantFrom(0, 0.001, 0.5, 3, 1_000),
      fc.constantFrom(0.5, 0.9, 0.95, 0.99),
      (seed, count, step, coverage) => {
        const values = normals(seed, count);
        if (step > 0)
          values.forEach((value, i) => (values[i] = step * Math.round(value / step) + 0));
        const { lower, upper } = symmetricEnds(values, coverage);
        expect({ lower, upper }).toEqual(symmetricInterval(values.slice().sort(), coverage));
      },
    ),
    { numRuns: 200 },
  );
});

test("the stated unrest is twice the spread of the ends between samples", () => {
  const found = Array.from({ length: 200 }, (_, seed) => symmetricEnds(normals(seed, 5_000), 0.95));
  const mean = found.reduce((sum, { upper }) => sum + upper / 200, 0);
  const spread = Math.sqrt(found.reduce((sum, { upper }) => sum + (upper - mean) ** 2 / 199, 0));
  const stated = found.reduce((sum, { unrest }) => sum + unrest / 200, 0);
  // The larger of two ends is stated, which lies a little above the mean one.
  expect(stated / (2 * spread)).toBeGreaterThan(0.9);
  expect(stated / (2 * spread)).toBeLessThan(1.35);
});

test("too few values are refused", () => {
  expect(() => symmetricEnds(new Float64Array(999), 0.95)).toThrow("999 values");
});
