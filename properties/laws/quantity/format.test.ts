// Falsified by a printed bound that is tighter than the bound, a printed figure further from the
// value than half its last place, a text that does not read back, minus zero, or a NaN that reaches
// the page.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { InvalidInputError, OutsideDomainError } from "../../../lib/errors.ts";
import { Decimal } from "../../../lib/quantity/decimal.ts";
import { DIMENSIONS } from "../../../lib/quantity/dimension.ts";
import type { Dimension } from "../../../lib/quantity/dimension.ts";
import {
  formatFixed,
  formatQuantity,
  formatVolts,
  printDown,
  printUp,
} from "../../../lib/quantity/format.ts";
import { parseQuantity } from "../../../lib/quantity/unit-text.ts";
import { decimals, finiteDoubles } from "../../support/decimals.ts";

const names = Object.keys(DIMENSIONS) as Dimension[];
const places = fc.integer({ min: 0, max: 12 });

/** Doubles of the size of an error or a voltage, with all their bits in use. */
const figures = fc
  .tuple(fc.maxSafeInteger(), fc.integer({ min: 1, max: 2 ** 52 }))
  .map(([top, bottom]) => top / bottom);

const shape = /^-?(?:0|[1-9]\d*)(?:\.\d+)?$/;
const decimalsOf = (text: string) => (text.split(".")[1] ?? "").length;

describe("an outward figure", () => {
  test("is never tighter than the bound, by less than one last place, with its sign kept", () => {
    fc.assert(
      fc.property(fc.oneof(figures, finiteDoubles), places, (value, count) => {
        const exact = Decimal.ofDouble(value);
        const step = Decimal.ofScaled(1n, -count);
        const [up, down] = [printUp(value, count), printDown(value, count)];
        for (const text of [up, down]) {
          if (!text.includes("e")) expect(text).toMatch(shape);
          expect(text).not.toMatch(/^-0(?:\.0*)?$/);
        }
        const [outer, inner] = [Decimal.parse(up), Decimal.parse(down)];
        expect(outer.absolute().compare(exact.absolute())).toBeGreaterThanOrEqual(0);
        expect(inner.absolute().compare(exact.absolute())).toBeLessThanOrEqual(0);
        expect(outer.subtract(exact).absolute().compare(step)).toBeLessThan(0);
        expect(inner.subtract(exact).absolute().compare(step)).toBeLessThan(0);
        expect(outer.sign()).toBe(exact.sign());
      }),
    );
  });

  test("has exactly the decimals asked for", () => {
    fc.assert(
      fc.property(decimals, places, (value, count) => {
        for (const text of [
          printUp(value, count),
          printDown(value, count),
          formatFixed(value, count),
        ]) {
          expect(decimalsOf(text)).toBe(count);
        }
      }),
    );
  });

  test.each<[number, number, string, string]>([
    [1.3165, 3, "1.317", "1.316"],
    [-1.299, 2, "-1.30", "-1.29"],
    [0.0001, 3, "0.001", "0.000"],
    [-0.0001, 3, "-0.001", "0.000"],
    [-0, 2, "0.00", "0.00"],
    [5, 0, "5", "5"],
    [9.99, 1, "10.0", "9.9"],
  ])("%d to %i decimals is %s away from and %s towards zero", (value, count, up, down) => {
    expect(printUp(value, count)).toBe(up);
    expect(printDown(value, count)).toBe(down);
  });

  test("counts a double as the very value it holds and a decimal as itself", () => {
    expect(printUp(0.1, 1)).toBe("0.2");
    expect(printUp(Decimal.parse("0.1"), 1)).toBe("0.1");
    expect(printDown(0.3, 1)).toBe("0.2");
    expect(printDown(Decimal.parse("0.3"), 1)).toBe("0.3");
  });
});

describe("a figure with fixed decimals", () => {
  test("is within half a last place of the value", () => {
    fc.assert(
      fc.property(decimals, places, (value, count) => {
        const shown = Decimal.parse(formatFixed(value, count));
        const half = Decimal.ofScaled(5n, -count - 1);
        expect(shown.subtract(value).absolute().compare(half)).toBeLessThanOrEqual(0);
      }),
    );
  });

  test.each<[number, number, string]>([
    [34, 2, "34.00 V"],
    [1.005, 2, "1.01 V"],
    [-1.005, 2, "-1.01 V"],
    [-0.001, 2, "0.00 V"],
    [-0, 1, "0.0 V"],
    [0.5, 0, "1 V"],
    [430.04, 1, "430.0 V"],
  ])("%d V to %i decimals is %s", (value, count, text) => {
    expect(formatVolts(value, count)).toBe(text);
  });
});

describe("a quantity for people", () => {
  test.each<[number, Dimension, number | undefined, string]>([
    [24.9e6, "resistance", undefined, "24.9 MΩ"],
    [24.9e6, "resistance", 4, "24.90 MΩ"],
    [999_960, "resistance", 4, "1.000 MΩ"],
    [22e-12, "capacitance", undefined, "22 pF"],
    [2.2e-6, "capacitance", undefined, "2.2 µF"],
    [0.0005, "ratio", undefined, "500 ppm"],
    [0.001, "ratio", undefined, "0.1 %"],
    [-5e-5, "perVolt", undefined, "-50 ppm/V"],
    [2.5e-5, "perKelvin", undefined, "25 ppm/K"],
    [0, "ratio", undefined, "0 %"],
    [-0, "voltage", undefined, "0 V"],
    [1 / 3, "voltage", undefined, "333.333 mV"],
    [1234, "voltage", 2, "1.2 kV"],
    [100, "voltage", 1, "100 V"],
    [0.02, "time", undefined, "20 ms"],
    [10_000, "frequency", undefined, "10 kHz"],
    [2e-8, "voltageNoiseDensity", undefined, "20 nV/√Hz"],
    [23, "celsius", undefined, "23 °C"],
    [0.6, "relativeHumidity", undefined, "60 %"],
    [1, "years", undefined, "1 year"],
    [1.5, "years", undefined, "1.5 years"],
    [3e-20, "current", undefined, "0.00003 fA"],
  ])("%d as a %s to %s digits is %s", (value, dimension, significantDigits, text) => {
    const format = significantDigits === undefined ? {} : { significantDigits };
    expect(formatQuantity(value, dimension, format)).toBe(text);
  });

  test("reads back as the value when it was typed", () => {
    const typed = fc
      .tuple(fc.integer({ min: 0, max: 999_999 }), fc.integer({ min: -14, max: 3 }))
      .map(([digits, exponent]) => Decimal.ofScaled(BigInt(digits), exponent));
    fc.assert(
      fc.property(typed, fc.constantFrom(...names), (value, dimension) => {
        const range = DIMENSIONS[dimension];
        fc.pre(!("highest" in range) || value.compare(Decimal.one) <= 0);
        const text = formatQuantity(value.toNumber(), dimension);
        expect(parseQuantity(text, dimension)).toEqual({ ok: true, value });
      }),
    );
  });

  // Up to 99.9 A: the ampere has no prefix above it.
  test("shows one to three digits before the point inside the range of its prefixes", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 999_999 }),
        fc.integer({ min: -15, max: -4 }),
        fc.integer({ min: 3, max: 6 }),
        (digits, exponent, significantDigits) => {
          const value = Decimal.ofScaled(BigInt(digits), exponent);
          const [figure = ""] = formatQuantity(value, "current", { significantDigits }).split(" ");
          expect(figure).toMatch(/^[1-9]\d{0,2}(?:\.\d+)?$/);
          expect(figure.replace(".", "")).toHaveLength(significantDigits);
        },
      ),
    );
  });

  test("refuses NaN, infinity and a count of digits that is none", () => {
    for (const value of [Number.NaN, Number.POSITIVE_INFINITY]) {
      expect(() => formatQuantity(value, "voltage")).toThrow(InvalidInputError);
      expect(() => formatVolts(value, 2)).toThrow(InvalidInputError);
      expect(() => printUp(value, 2)).toThrow(InvalidInputError);
      expect(() => printDown(value, 2)).toThrow(InvalidInputError);
    }
    for (const count of [-1, 0.5, Number.NaN]) {
      expect(() => formatFixed(1, count)).toThrow(OutsideDomainError);
      expect(() => printUp(1, count)).toThrow(OutsideDomainError);
      expect(() => formatQuantity(1, "voltage", { significantDigits: count })).toThrow(
        OutsideDomainError,
      );
    }
  });
});
