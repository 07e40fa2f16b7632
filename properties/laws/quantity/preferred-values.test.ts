// Falsified by a nearest preferred value that another value of the series beats by ratio, that
// depends on the decade, or that is not preferred itself.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { OutsideDomainError } from "../../../lib/errors.ts";
import { Decimal } from "../../../lib/quantity/decimal.ts";
import {
  isPreferred,
  nearestPreferred,
  PREFERRED_VALUES,
} from "../../../lib/quantity/preferred-values.ts";
import type { PreferredSeries } from "../../../lib/quantity/preferred-values.ts";

const series = fc.constantFrom(...(Object.keys(PREFERRED_VALUES) as PreferredSeries[]));
const positive = fc
  .tuple(fc.bigInt({ min: 1n, max: 10n ** 12n }), fc.integer({ min: -20, max: 6 }))
  .map(([mantissa, exponent]) => Decimal.ofScaled(mantissa, exponent));

/** Larger over smaller of two values is at most that of two others, as whole products. */
function isNearer(value: Decimal, [near, far]: [Decimal, Decimal]): boolean {
  const [smallNear, largeNear] = [Decimal.min(value, near), Decimal.max(value, near)];
  const [smallFar, largeFar] = [Decimal.min(value, far), Decimal.max(value, far)];
  return largeNear.multiply(smallFar).compare(largeFar.multiply(smallNear)) <= 0;
}

describe("the nearest preferred value", () => {
  test("is preferred, and its own nearest", () => {
    fc.assert(
      fc.property(positive, series, (value, name) => {
        const nearest = nearestPreferred(value, name);
        expect(isPreferred(nearest, name)).toBe(true);
        expect(nearestPreferred(nearest, name)).toEqual(nearest);
        expect(nearest.equals(value)).toBe(isPreferred(value, name));
      }),
    );
  });

  test("is beaten by no other value of the series", () => {
    fc.assert(
      fc.property(positive, series, (value, name) => {
        const nearest = nearestPreferred(value, name);
        const decade = value.mantissa.toString().length + value.exponent;
        for (const digits of PREFERRED_VALUES[name]) {
          for (const shift of [-4, -3, -2, -1, 0]) {
            const other = Decimal.ofScaled(digits, decade + shift);
            expect(isNearer(value, [nearest, other])).toBe(true);
          }
        }
      }),
    );
  });

  test("moves with the decade", () => {
    fc.assert(
      fc.property(positive, series, fc.integer({ min: -9, max: 9 }), (value, name, decades) => {
        const scale = Decimal.ofScaled(1n, decades);
        expect(nearestPreferred(value.multiply(scale), name)).toEqual(
          nearestPreferred(value, name).multiply(scale),
        );
      }),
    );
  });

  test("exists above zero only", () => {
    for (const text of ["0", "-47"]) {
      expect(() => nearestPreferred(Decimal.parse(text), "E24")).toThrow(OutsideDomainError);
      expect(isPreferred(Decimal.parse(text), "E24")).toBe(false);
    }
  });

  test.each<[string, PreferredSeries, string]>([
    ["24.8e6", "E96", "24900000"],
    ["9.6", "E24", "10"],
    ["9.5", "E24", "9.1"],
    ["83", "E6", "100"],
    ["82", "E6", "68"],
    ["0.0000000047", "E12", "0.0000000047"],
  ])("of %s in %s is %s", (value, name, nearest) => {
    expect(nearestPreferred(Decimal.parse(value), name).toString()).toBe(nearest);
  });
});
