// Falsified by one sum, difference, product, quotient or square root whose exact value lies outside
// [below(result), above(result)], by a NaN that did not go in, or by a step wider than stated.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { above, below } from "../../../lib/interval/rounding.ts";
import { doubleOfBits, signedFiniteDoubles, stepsBetween } from "../../support/doubles.ts";
import { Rational } from "../../support/rational.ts";

const RUNS = { numRuns: 8000 };

function expectEnclosed(rounded: number, exact: Rational): void {
  expect(exact.compareNumber(below(rounded))).toBeGreaterThanOrEqual(0);
  expect(exact.compareNumber(above(rounded))).toBeLessThanOrEqual(0);
}

/** Two doubles a few dozen binary orders apart at most, so that a sum loses some digits, not all. */
const nearPairs = fc
  .tuple(signedFiniteDoubles, fc.integer({ min: -60, max: 60 }), fc.nat(2 ** 32 - 1), fc.boolean())
  .map(([first, shift, digits, isNegative]): [number, number] => {
    const scale = first * doubleOfBits(BigInt(1023 + shift) << 52n);
    const second = scale * (1 + digits / 2 ** 32);
    return [first, Number.isFinite(second) ? (isNegative ? -second : second) : 1];
  });

/** Pairs whose product or quotient runs over the whole range, underflow and overflow included. */
const anyPairs = fc.tuple(signedFiniteDoubles, signedFiniteDoubles);

const pairs = fc.oneof(nearPairs, anyPairs);

describe("one step outward", () => {
  test("encloses the exact sum and difference of two doubles", () => {
    fc.assert(
      fc.property(pairs, ([a, b]) => {
        const [exactA, exactB] = [Rational.fromNumber(a), Rational.fromNumber(b)];
        expectEnclosed(a + b, exactA.add(exactB));
        expectEnclosed(a - b, exactA.sub(exactB));
      }),
      RUNS,
    );
  });

  test("encloses the exact product of two doubles, through underflow and overflow", () => {
    fc.assert(
      fc.property(pairs, ([a, b]) => {
        expectEnclosed(a * b, Rational.fromNumber(a).mul(Rational.fromNumber(b)));
      }),
      RUNS,
    );
  });

  test("encloses the exact quotient of two doubles, through underflow and overflow", () => {
    fc.assert(
      fc.property(pairs, ([a, b]) => {
        fc.pre(b !== 0);
        expectEnclosed(a / b, Rational.fromNumber(a).div(Rational.fromNumber(b)));
      }),
      RUNS,
    );
  });

  test("encloses the exact square root, whose square is known exactly", () => {
    fc.assert(
      fc.property(signedFiniteDoubles, (signed) => {
        const x = Math.abs(signed);
        const root = Math.sqrt(x);
        const [lower, upper] = [Math.max(0, below(root)), above(root)].map(Rational.fromNumber);
        const exact = Rational.fromNumber(x);
        expect(lower!.mul(lower!).compare(exact)).toBeLessThanOrEqual(0);
        expect(upper!.mul(upper!).compare(exact)).toBeGreaterThanOrEqual(0);
      }),
      RUNS,
    );
  });

  test("covers every real number that rounds to the double: half a step to either side", () => {
    fc.assert(
      fc.property(signedFiniteDoubles, (x) => {
        const [lower, upper] = [below(x), above(x)];
        expect(stepsBetween(lower, x)).toBeGreaterThanOrEqual(1);
        expect(stepsBetween(x, upper)).toBeGreaterThanOrEqual(1);
      }),
      RUNS,
    );
  });

  test("goes to the next double from 2^-1019 upwards and two doubles at most nearer to zero", () => {
    fc.assert(
      fc.property(signedFiniteDoubles, (x) => {
        const most = Math.abs(x) >= 1.7800590868057611e-307 ? 1 : 2;
        expect(stepsBetween(below(x), x)).toBeLessThanOrEqual(most);
        expect(stepsBetween(x, above(x))).toBeLessThanOrEqual(most);
      }),
      RUNS,
    );
  });

  test("mirrors: a step up is the step down of the opposite number", () => {
    fc.assert(
      fc.property(signedFiniteDoubles, (x) => {
        // The sum turns a minus zero, as at the smallest double, into zero.
        expect(above(x) + 0).toBe(-below(-x) + 0);
      }),
      RUNS,
    );
  });

  test("steps off zero by the smallest double, whichever sign the zero has", () => {
    for (const zero of [0, -0]) {
      expect(below(zero)).toBe(-Number.MIN_VALUE);
      expect(above(zero)).toBe(Number.MIN_VALUE);
    }
    expect(above(-Number.MIN_VALUE)).toBe(0);
  });

  test("takes an infinity for an overflow: the exact result may be finite", () => {
    expect(below(Number.POSITIVE_INFINITY)).toBeLessThanOrEqual(Number.MAX_VALUE);
    expect(below(Number.POSITIVE_INFINITY)).toBeGreaterThan(1.79e308);
    expect(above(Number.NEGATIVE_INFINITY)).toBeGreaterThanOrEqual(-Number.MAX_VALUE);
    expect(above(Number.NEGATIVE_INFINITY)).toBeLessThan(-1.79e308);
    expect(above(Number.POSITIVE_INFINITY)).toBe(Number.POSITIVE_INFINITY);
    expect(below(Number.NEGATIVE_INFINITY)).toBe(Number.NEGATIVE_INFINITY);
  });

  test("steps from the largest double to infinity", () => {
    expect(above(Number.MAX_VALUE)).toBe(Number.POSITIVE_INFINITY);
    expect(below(-Number.MAX_VALUE)).toBe(Number.NEGATIVE_INFINITY);
  });

  test("passes NaN on, so that a check downstream sees it", () => {
    expect(below(Number.NaN)).toBeNaN();
    expect(above(Number.NaN)).toBeNaN();
  });
});
