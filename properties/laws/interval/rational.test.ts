// Falsified by a rational that does not give back the double it was made from, that breaks a law of
// arithmetic, or whose nearest double is not the nearest: every exact check leans on these.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { signedFiniteDoubles } from "../../support/doubles.ts";
import { Rational } from "../../support/rational.ts";

// Up to 40 digits over up to 25: more than a double holds on both sides.
const rationals = fc
  .tuple(
    fc.bigInt({ min: -(10n ** 40n), max: 10n ** 40n }),
    fc.bigInt({ min: 1n, max: 10n ** 25n }),
  )
  .map(([top, bottom]) => Rational.of(top, bottom));

const equal = (a: Rational, b: Rational): void => {
  expect(a.compare(b)).toBe(0);
};

describe("the rational oracle", () => {
  test("gives back every finite double exactly", () => {
    fc.assert(
      fc.property(signedFiniteDoubles, (value) => {
        // Zero has one rational, so the sign of a zero is not kept.
        expect(Rational.fromNumber(value).toNumber()).toBe(value === 0 ? 0 : value);
      }),
      { numRuns: 2000 },
    );
  });

  test("reads the text of a whole quotient as the engine does, to the nearest double", () => {
    // ECMAScript 2024, 12.9.3 rounds a literal of up to 20 significant digits to nearest even.
    fc.assert(
      fc.property(
        fc.bigInt({ min: 1n, max: 10n ** 17n }),
        fc.integer({ min: -330, max: 300 }),
        (digits, exponent) => {
          const power = 10n ** BigInt(Math.abs(exponent));
          const exact = exponent < 0 ? Rational.of(digits, power) : Rational.of(digits * power);
          expect(exact.toNumber()).toBe(Number(`${digits}e${exponent}`));
        },
      ),
      { numRuns: 2000 },
    );
  });

  test.each([
    [2n ** 1024n - 2n ** 970n - 1n, 1n, Number.MAX_VALUE],
    [2n ** 1024n - 2n ** 970n, 1n, Number.POSITIVE_INFINITY],
    [-(2n ** 2000n), 1n, Number.NEGATIVE_INFINITY],
    [1n, 2n ** 1075n, 0],
    [3n, 2n ** 1076n, Number.MIN_VALUE],
    [2n ** 53n + 1n, 1n, 2 ** 53],
    [2n ** 53n + 3n, 1n, 2 ** 53 + 4],
    [2n ** 54n - 1n, 1n, 2 ** 54],
  ])("rounds %s / %s at an edge of the doubles to %s", (top, bottom, nearest) => {
    expect(Rational.of(top, bottom).toNumber()).toBe(nearest);
  });

  test("obeys the laws of a field", () => {
    fc.assert(
      fc.property(rationals, rationals, rationals, (a, b, c) => {
        equal(a.add(b).mul(c), a.mul(c).add(b.mul(c)));
        equal(a.add(b).sub(b), a);
        if (b.top !== 0n) equal(a.mul(b).div(b), a);
        expect(a.compare(b)).toBe(-b.compare(a) + 0);
        expect(a.compare(b)).toBe(Math.sign(a.sub(b).compare(Rational.of(0n))));
      }),
    );
  });

  test("keeps its value when long fractions are reduced", () => {
    fc.assert(
      fc.property(rationals, (a) => {
        const factor = 3n ** 2000n;
        const reduced = Rational.of(a.top * factor, a.bottom * factor);
        equal(reduced, a);
        expect(reduced.bottom <= a.bottom).toBe(true);
      }),
    );
  });

  test("has the floor that is not above it and less than one below it", () => {
    fc.assert(
      fc.property(rationals, (a) => {
        const floor = Rational.of(a.floor());
        expect(floor.compare(a)).toBeLessThanOrEqual(0);
        expect(a.sub(floor).compare(Rational.of(1n))).toBe(-1);
      }),
    );
    expect(Rational.of(-6n, 3n).floor()).toBe(-2n);
    expect(Rational.of(-7n, 3n).floor()).toBe(-3n);
  });

  test("refuses a zero denominator and what is not finite", () => {
    expect(() => Rational.of(1n, 0n)).toThrow(RangeError);
    expect(() => Rational.of(1n).div(Rational.of(0n))).toThrow(RangeError);
    expect(() => Rational.fromNumber(Number.NaN)).toThrow(RangeError);
    expect(() => Rational.fromNumber(Number.POSITIVE_INFINITY)).toThrow(RangeError);
    expect(Rational.of(10n ** 400n).compareNumber(Number.POSITIVE_INFINITY)).toBe(-1);
    expect(Rational.of(-(10n ** 400n)).compareNumber(Number.NEGATIVE_INFINITY)).toBe(1);
  });
});
