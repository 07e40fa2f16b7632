// Falsified by a printed upper bound below the bound, a lower one above it, a percentage below the
// exact quotient, a figure more than one last place away, or a column whose smallest figure prints
// with fewer than two significant digits.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { InvalidInputError } from "../../../lib/errors.ts";
import { Decimal } from "../../../lib/quantity/decimal.ts";
import {
  decimalsFor,
  percentNotBelow,
  percentOf,
  textNotAbove,
  textNotBelow,
} from "../../../lib/report/outward-text.ts";

/** Signed volts of the size of an error, with all bits of the double in use. */
const figures = fc
  .tuple(fc.integer({ min: -2_000_000_000, max: 2_000_000_000 }), fc.integer({ min: 1, max: 9999 }))
  .map(([top, bottom]) => top / (bottom * 1000));
const places = fc.integer({ min: 0, max: 9 });
const HUNDRED = Decimal.ofInteger(100);

describe("a printed bound", () => {
  test("is on the outer side of the bound whatever its sign, by less than one last place", () => {
    fc.assert(
      fc.property(figures, places, (value, decimals) => {
        const exact = Decimal.ofDouble(value);
        const step = Decimal.ofScaled(1n, -decimals);
        const above = Decimal.parse(textNotBelow(value, decimals)).subtract(exact);
        const below = exact.subtract(Decimal.parse(textNotAbove(value, decimals)));
        for (const excess of [above, below]) {
          expect(excess.sign()).toBeGreaterThanOrEqual(0);
          expect(excess.compare(step)).toBe(-1);
        }
      }),
    );
  });

  test("that lies on the wrong side of zero is still rounded outward", () => {
    // A low error that is positive and a high one that is negative: an offset larger than the rest.
    expect(textNotAbove(0.129, 2)).toBe("0.12");
    expect(textNotBelow(-0.129, 2)).toBe("-0.12");
    expect(textNotBelow(-0.001, 2)).toBe("0.00");
  });

  test("as a percentage is never below the exact share", () => {
    fc.assert(
      fc.property(figures, figures, places, (part, whole, decimals) => {
        const text = percentOf(part, whole, decimals);
        if (whole === 0) {
          expect(text).toBeUndefined();
          return;
        }
        const [exactPart, exactWhole] = [part, whole].map((one) =>
          Decimal.ofDouble(one).absolute(),
        );
        const covered = Decimal.parse(text ?? "").multiply(exactWhole ?? Decimal.zero);
        const needed = (exactPart ?? Decimal.zero).multiply(HUNDRED);
        expect(covered.compare(needed)).toBeGreaterThanOrEqual(0);
      }),
    );
    expect(percentNotBelow(0.00101, 1)).toBe("0.2");
    expect(percentOf(1.3165, 34, 2)).toBe("3.88");
  });

  test("that is not a number is refused", () => {
    for (const wrong of [Number.NaN, Number.POSITIVE_INFINITY]) {
      expect(() => textNotBelow(wrong, 2)).toThrow(InvalidInputError);
      expect(() => textNotAbove(wrong, 2)).toThrow(InvalidInputError);
      expect(() => percentNotBelow(wrong, 2)).toThrow(InvalidInputError);
    }
  });
});

describe("the decimals of a column", () => {
  test("show two digits of the smallest figure, unless five of the largest forbid it", () => {
    const sizes = fc.integer({ min: 1, max: 50_000_000 }).map((count) => count / 1e6);
    fc.assert(
      fc.property(fc.array(sizes, { minLength: 1, maxLength: 30 }), (column) => {
        const decimals = decimalsFor(column);
        expect(decimals).toBeGreaterThanOrEqual(1);
        expect(decimals).toBeLessThanOrEqual(5);
        const digits = (size: number) =>
          textNotBelow(size, decimals)
            .replace(/^[0.]+/, "")
            .replace(".", "").length;
        const [smallest, largest] = [Math.min(...column), Math.max(...column)];
        if (digits(largest) < 5 && decimals < 5) expect(digits(smallest)).toBeGreaterThanOrEqual(2);
        // Rounding up may add a digit: 9.99996 becomes 10.0000.
        expect(digits(largest)).toBeLessThanOrEqual(Math.max(6, 2 + decimals));
      }),
    );
    expect(decimalsFor([0, 1.3165, 1.9, 4.1])).toBe(3);
    expect(decimalsFor([0, 0])).toBe(3);
  });
});
