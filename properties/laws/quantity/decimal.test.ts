// Falsified by a sum, product or comparison that differs from whole-number fractions, a text that
// does not read back, or a directed quotient or root on the wrong side of the exact one.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { InvalidInputError, OutsideDomainError } from "../../../lib/errors.ts";
import { Decimal } from "../../../lib/quantity/decimal.ts";
import {
  compareRationals,
  decimals,
  rationalOfText,
  wideDecimals,
} from "../../support/decimals.ts";

const rational = (value: Decimal) => rationalOfText(value.toString());
const digitsOf = (value: Decimal) => value.mantissa.toString().replace("-", "").length;
const significantDigits = fc.integer({ min: 1, max: 25 });

/** One unit in the last of `digits` significant digits of a value. */
function lastPlace(value: Decimal, digits: number): Decimal {
  return Decimal.ofScaled(1n, digitsOf(value) + value.exponent - digits);
}

describe("an exact decimal", () => {
  test("reads back from its own text", () => {
    fc.assert(
      fc.property(wideDecimals, (value) => {
        expect(Decimal.parse(value.toString())).toEqual(value);
      }),
    );
  });

  test("has one text for each value: no trailing zero, no leading zero, no minus zero", () => {
    fc.assert(
      fc.property(decimals, fc.nat(5), (value, zeros) => {
        const text = value.toString();
        expect(text).toMatch(/^(?:0|-?(?:0|[1-9]\d*)(?:\.\d*[1-9])?)$/);
        const longer = `${text.includes(".") ? text : `${text}.0`}${"0".repeat(zeros)}`;
        expect(Decimal.parse(longer).toString()).toBe(text);
      }),
    );
  });

  test.each([
    ["5e-5", "0.00005"],
    ["-430.0", "-430"],
    ["+33.980", "33.98"],
    [".5", "0.5"],
    ["-0.000", "0"],
    ["1E3", "1000"],
    ["1e399", `1${"0".repeat(399)}`],
    ["12e400", "1.2e401"],
    ["-1.5e-700", "-1.5e-700"],
  ])("prints %s as %s", (text, printed) => {
    expect(Decimal.parse(text).toString()).toBe(printed);
    expect(JSON.stringify({ value: Decimal.parse(text) })).toBe(`{"value":"${printed}"}`);
  });

  test("adds, subtracts and multiplies as whole-number fractions do", () => {
    fc.assert(
      fc.property(decimals, decimals, (a, b) => {
        const [p, q] = [rational(a), rational(b)];
        const bottom = p.bottom * q.bottom;
        const sum = { top: p.top * q.bottom + q.top * p.bottom, bottom };
        const difference = { top: p.top * q.bottom - q.top * p.bottom, bottom };
        expect(compareRationals(rational(a.add(b)), sum)).toBe(0);
        expect(compareRationals(rational(a.subtract(b)), difference)).toBe(0);
        expect(compareRationals(rational(a.multiply(b)), { top: p.top * q.top, bottom })).toBe(0);
      }),
    );
  });

  test("is ordered as whole-number fractions are", () => {
    const near = fc
      .tuple(decimals, fc.integer({ min: -2, max: 2 }))
      .map(([a, step]): [Decimal, Decimal] => [
        a,
        a.add(Decimal.ofScaled(BigInt(step), a.exponent)),
      ]);
    fc.assert(
      fc.property(fc.oneof(fc.tuple(decimals, decimals), near), ([a, b]) => {
        const order = compareRationals(rational(a), rational(b));
        expect(a.compare(b)).toBe(order);
        expect(a.equals(b)).toBe(order === 0);
        expect(Decimal.min(a, b)).toEqual(order <= 0 ? a : b);
        expect(Decimal.max(a, b)).toEqual(order >= 0 ? a : b);
        expect(a.sign()).toBe(a.compare(Decimal.zero));
        expect(a.isZero()).toBe(a.compare(Decimal.zero) === 0);
        expect(a.absolute()).toEqual(Decimal.max(a, a.negate()));
      }),
    );
  });

  test("divides to the digits asked for, on the side asked for, within one last place", () => {
    fc.assert(
      fc.property(decimals, decimals, significantDigits, (a, b, digits) => {
        fc.pre(!b.isZero());
        const down = a.divide(b, digits, "down");
        const up = a.divide(b, digits, "up");
        const [p, q] = [rational(a), rational(b)];
        const sign = q.top < 0n ? -1n : 1n;
        const quotient = { top: sign * p.top * q.bottom, bottom: sign * q.top * p.bottom };
        expect(compareRationals(rational(down), quotient)).toBeLessThanOrEqual(0);
        expect(compareRationals(rational(up), quotient)).toBeGreaterThanOrEqual(0);
        expect(Math.max(digitsOf(down), digitsOf(up))).toBeLessThanOrEqual(digits);
        const widest = lastPlace(down.absolute().compare(up.absolute()) > 0 ? down : up, digits);
        expect(up.subtract(down).compare(widest)).toBeLessThanOrEqual(0);
      }),
    );
  });

  test("divides exactly where the digits suffice", () => {
    fc.assert(
      fc.property(decimals, decimals, (a, b) => {
        fc.pre(!b.isZero());
        expect(a.multiply(b).divide(b, 20, "down")).toEqual(a);
        expect(a.multiply(b).divide(b, 20, "up")).toEqual(a);
      }),
    );
  });

  test("has a square root on the side asked for, within one last place, exact for squares", () => {
    fc.assert(
      fc.property(decimals, significantDigits, (value, digits) => {
        const size = value.absolute();
        const down = size.squareRoot(digits, "down");
        const up = size.squareRoot(digits, "up");
        expect(down.multiply(down).compare(size)).toBeLessThanOrEqual(0);
        expect(up.multiply(up).compare(size)).toBeGreaterThanOrEqual(0);
        expect(Math.max(digitsOf(down), digitsOf(up))).toBeLessThanOrEqual(digits);
        expect(up.subtract(down).compare(lastPlace(up, digits))).toBeLessThanOrEqual(0);
        expect(size.multiply(size).squareRoot(20, "down")).toEqual(size);
        expect(size.multiply(size).squareRoot(20, "up")).toEqual(size);
      }),
    );
  });

  test("rounds down and up to neighbouring decimals around the value", () => {
    fc.assert(
      fc.property(decimals, fc.integer({ min: -12, max: 32 }), (value, places) => {
        const [down, up] = [value.roundDown(places), value.roundUp(places)];
        const step = Decimal.ofScaled(1n, -places);
        expect(down.compare(value)).toBeLessThanOrEqual(0);
        expect(up.compare(value)).toBeGreaterThanOrEqual(0);
        const isExact = value.isZero() || value.exponent >= -places;
        expect(up.subtract(down)).toEqual(isExact ? Decimal.zero : step);
        expect(down.roundUp(places)).toEqual(down);
      }),
    );
  });
});

describe("what is no decimal", () => {
  test.each([
    "",
    " ",
    "1 ",
    " 1",
    "5 V",
    "1,5",
    "1_000",
    "0x10",
    "NaN",
    "Infinity",
    "--1",
    "1e",
    ".",
    "5.",
    "1e5.5",
    "1e9999",
    "1e-5001",
    "٣",
    "1n",
    "1".repeat(2_001),
  ])("is refused: %j", (text) => {
    expect(() => Decimal.parse(text)).toThrow(InvalidInputError);
  });

  test("is refused whatever the text, or read without loss", () => {
    fc.assert(
      fc.property(
        fc.string({ unit: fc.constantFrom(..."0123456789.eE+- "), maxLength: 12 }),
        (text) => {
          const isNumber = /^[+-]?(\d+(\.\d+)?|\.\d+)([eE][+-]?\d+)?$/.test(text);
          // Three digits of exponent may pass the doubles, "4e400" did.
          fc.pre(!/[eE][+-]?\d{3}/.test(text));
          if (!isNumber) {
            expect(() => Decimal.parse(text)).toThrow(InvalidInputError);
            return;
          }
          expect(Decimal.parse(text).toNumber()).toBe(Number(text) + 0);
        },
      ),
    );
  });

  test("is refused as an integer when it has a fraction, is NaN or infinite", () => {
    for (const value of [0.5, Number.NaN, Number.POSITIVE_INFINITY]) {
      expect(() => Decimal.ofInteger(value)).toThrow(InvalidInputError);
    }
    expect(Decimal.ofInteger(2 ** 60).toString()).toBe("1152921504606846976");
    expect(Decimal.ofInteger(-(10n ** 30n)).toString()).toBe(`-1${"0".repeat(30)}`);
  });

  test("names the value and what is permitted", () => {
    expect(() => Decimal.parse("5 V")).toThrow(
      'decimal number must be a decimal number such as "-0.05" or "5e-5", received "5 V"',
    );
  });

  test("is refused outside the domain of an operation", () => {
    const { one, zero } = Decimal;
    expect(() => one.divide(zero, 5, "up")).toThrow(OutsideDomainError);
    expect(() => one.negate().squareRoot(5, "up")).toThrow(OutsideDomainError);
    expect(() => one.divide(one, 0, "up")).toThrow(OutsideDomainError);
    expect(() => one.squareRoot(1.5, "up")).toThrow(OutsideDomainError);
    expect(() => one.roundDown(Number.NaN)).toThrow(OutsideDomainError);
    expect(() => one.roundUp(0.5)).toThrow(OutsideDomainError);
  });
});
