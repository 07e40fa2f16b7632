// Falsified by: a tolerance factor that differs from the published one, or from the recomputed value,
// in its last digit.
import { describe, expect, test } from "vitest";
import {
  oneSidedToleranceFactor,
  twoSidedToleranceFactor,
} from "../../lib/statistics/tolerance-factor.ts";

describe("NIST/SEMATECH e-Handbook, 7.2.6.3 (numbers from memory; recomputed)", () => {
  const statement = { count: 43, coverage: 0.9, confidence: 0.99 };

  test("two-sided: k2 = 2.217, limits 97.010 and 97.129", () => {
    const k = twoSidedToleranceFactor(statement);
    expect(k).toBeCloseTo(2.217316, 6);
    expect(97.069832 - k * 0.02679798).toBeCloseTo(97.01041, 5);
    expect(97.069832 + k * 0.02679798).toBeCloseTo(97.12925, 5);
  });

  test("one-sided: k1 = 1.8740 by the non-central t, 1.8752 by the usual approximation", () => {
    expect(oneSidedToleranceFactor(statement)).toBeCloseTo(1.873954, 6);
  });
});

describe("coverage 95 %, confidence 95 % (computed)", () => {
  test.each([
    [5, 4.20268, 5.09353],
    [10, 2.91096, 3.38191],
    [20, 2.396, 2.75228],
    [30, 2.21984, 2.54964],
    [50, 2.06499, 2.37877],
    [100, 1.92654, 2.2328],
  ])("%s values: one-sided %s, two-sided after Howe %s", (count, one, two) => {
    const statement = { count, coverage: 0.95, confidence: 0.95 };
    expect(oneSidedToleranceFactor(statement)).toBeCloseTo(one, 4);
    expect(twoSidedToleranceFactor(statement)).toBeCloseTo(two, 4);
  });

  test("the exact two-sided factor for ten values, 3.393 (from memory), is 0.33 % larger", () => {
    const statement = { count: 10, coverage: 0.95, confidence: 0.95 };
    expect(3.393 / twoSidedToleranceFactor(statement)).toBeCloseTo(1.0033, 3);
  });
});

test("every fault of a statement is told", () => {
  expect(() => oneSidedToleranceFactor({ count: 1, coverage: 2, confidence: 0 })).toThrow(
    /number of values.*\n.*coverage.*\n.*confidence/,
  );
});
