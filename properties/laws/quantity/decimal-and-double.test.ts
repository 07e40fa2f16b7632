// Falsified by a decimal whose lower and upper doubles do not hold it between them, or are neither
// equal nor neighbours, or by a double whose decimal is not its value.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { InvalidInputError, OutsideDomainError } from "../../../lib/errors.ts";
import { Decimal } from "../../../lib/quantity/decimal.ts";
import {
  compareRationals,
  decimals,
  finiteDoubles,
  nextAbove,
  rationalOfDouble,
  rationalOfText,
  wideDecimals,
} from "../../support/decimals.ts";

const rational = (value: Decimal) => rationalOfText(value.toString());
const largest = Decimal.ofDouble(Number.MAX_VALUE);
const isInRange = (value: Decimal) => value.absolute().compare(largest) <= 0;

/**
 * Decimals that lie at, just beside and half-way between doubles: where rounding goes wrong first.
 */
const nearDoubles = fc
  .tuple(
    finiteDoubles,
    fc.integer({ min: -1, max: 1 }),
    fc.boolean(),
    fc.integer({ min: 0, max: 30 }),
  )
  .map(([value, side, isHalfway, depth]) => {
    const next = nextAbove(value);
    const here = Decimal.ofDouble(value);
    const isMidpoint = isHalfway && Number.isFinite(next);
    const place = isMidpoint
      ? here.add(Decimal.ofDouble(next)).multiply(Decimal.parse("0.5"))
      : here;
    return place.add(Decimal.ofScaled(BigInt(side), place.exponent - depth));
  });

const anyDecimal = fc.oneof(decimals, wideDecimals, nearDoubles).filter(isInRange);

describe("a decimal carried to the doubles", () => {
  test("lies between its lower and its upper number, which are equal or neighbours", () => {
    fc.assert(
      fc.property(anyDecimal, (value) => {
        const [lower, upper] = [value.lowerNumber(), value.upperNumber()];
        const exact = rational(value);
        expect(compareRationals(rationalOfDouble(lower), exact)).toBeLessThanOrEqual(0);
        expect(compareRationals(rationalOfDouble(upper), exact)).toBeGreaterThanOrEqual(0);
        const isDouble = compareRationals(rationalOfDouble(lower), exact) === 0;
        expect(upper).toBe(isDouble ? lower : nextAbove(lower) + 0);
      }),
      { numRuns: 2_000 },
    );
  });

  test("becomes the nearest double, and an even one half-way", () => {
    fc.assert(
      fc.property(anyDecimal, (value) => {
        const [lower, upper] = [value.lowerNumber(), value.upperNumber()];
        const below = value.subtract(Decimal.ofDouble(lower));
        const above = Decimal.ofDouble(upper).subtract(value);
        const order = below.compare(above);
        const isLowerEven =
          ((new BigUint64Array(new Float64Array([lower]).buffer)[0] ?? 0n) & 1n) === 0n;
        const nearest = order < 0 || (order === 0 && isLowerEven) ? lower : upper;
        expect(value.toNumber()).toBe(nearest);
      }),
      { numRuns: 2_000 },
    );
  });

  test("becomes the double that the engine reads from its text", () => {
    fc.assert(
      fc.property(anyDecimal, (value) => {
        expect(value.toNumber()).toBe(Number(value.toString()) + 0);
      }),
      { numRuns: 1_000 },
    );
  });

  test.each([
    ["1e-400", 0, Number.MIN_VALUE],
    ["-1e-400", -Number.MIN_VALUE, 0],
    ["2.4703282292062327e-324", 0, Number.MIN_VALUE],
    ["2.2250738585072011e-308", 2.225073858507201e-308, 2.2250738585072014e-308],
    ["9007199254740993", 9007199254740992, 9007199254740994],
    ["0.1", 0.09999999999999999, 0.1],
    ["-0.1", -0.1, -0.09999999999999999],
    ["34", 34, 34],
  ])("%s lies between %d and %d", (text, lower, upper) => {
    expect(Decimal.parse(text).lowerNumber()).toBe(lower);
    expect(Decimal.parse(text).upperNumber()).toBe(upper);
  });

  test("is refused where no finite double holds it, and only there", () => {
    const tooLarge = Decimal.parse("1.7976931348623159e308");
    const roundsBack = Decimal.parse("1.79769313486231575e308");
    expect(() => tooLarge.toNumber()).toThrow(OutsideDomainError);
    expect(() => tooLarge.upperNumber()).toThrow(OutsideDomainError);
    expect(() => tooLarge.negate().lowerNumber()).toThrow(OutsideDomainError);
    expect(tooLarge.lowerNumber()).toBe(Number.MAX_VALUE);
    expect(tooLarge.negate().upperNumber()).toBe(-Number.MAX_VALUE);
    expect(roundsBack.toNumber()).toBe(Number.MAX_VALUE);
    expect(Decimal.parse("1e5000").lowerNumber()).toBe(Number.MAX_VALUE);
  });
});

describe("a double carried to the decimals", () => {
  test("keeps its very value", () => {
    fc.assert(
      fc.property(finiteDoubles, (value) => {
        const exact = Decimal.ofDouble(value);
        expect(compareRationals(rational(exact), rationalOfDouble(value))).toBe(0);
        expect(exact.lowerNumber()).toBe(value + 0);
        expect(exact.upperNumber()).toBe(value + 0);
      }),
    );
  });

  test("reads back from its shortest decimal", () => {
    fc.assert(
      fc.property(finiteDoubles, (value) => {
        expect(Decimal.fromNumber(value).value.toNumber()).toBe(value + 0);
      }),
    );
  });

  test("stands for what was typed when that had at most 15 digits", () => {
    const typed = fc
      .tuple(
        fc.bigInt({ min: 1n - 10n ** 15n, max: 10n ** 15n - 1n }),
        fc.integer({ min: -300, max: 290 }),
      )
      .map(([mantissa, exponent]) => Decimal.ofScaled(mantissa, exponent));
    fc.assert(
      fc.property(typed, (value) => {
        expect(Decimal.fromNumber(value.toNumber())).toEqual({ value, typed: true });
      }),
    );
  });

  test("counts as computed when it needs 16 digits or more", () => {
    expect(Decimal.fromNumber(0.1 + 0.2).typed).toBe(false);
    expect(Decimal.fromNumber(1 / 3).typed).toBe(false);
    expect(Decimal.fromNumber(123456789012345).typed).toBe(true);
    expect(Decimal.fromNumber(1234567890123456).typed).toBe(false);
    expect(Decimal.fromNumber(1e300).typed).toBe(true);
  });

  test("is refused when it is NaN or infinite", () => {
    for (const value of [Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY]) {
      expect(() => Decimal.fromNumber(value)).toThrow(InvalidInputError);
      expect(() => Decimal.ofDouble(value)).toThrow(InvalidInputError);
    }
  });
});
