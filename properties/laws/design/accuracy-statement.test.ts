// Falsified by: a permitted error that is not share * |indication| + volts, a percentage of span
// and one of the upper limit that agree, or a threshold voltage on whose two sides the statement is
// equally good.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  permittedError,
  permittedFraction,
  voltageBelowWhichExceeds,
} from "../../../lib/design/accuracy-statement.ts";
import type { AccuracyStatement } from "../../../lib/design/accuracy-statement.ts";
import { InvalidInputError, OutsideDomainError } from "../../../lib/errors.ts";
import { Decimal } from "../../../lib/quantity/decimal.ts";

function millionths(count: number): Decimal {
  return Decimal.ofScaled(BigInt(count), -6);
}

function indication(share: number, volts: number): AccuracyStatement {
  return { kind: "indication", name: "", share: millionths(share), volts: millionths(volts) };
}

function fiducial(share: number, value: number): AccuracyStatement {
  const parts = { share: millionths(share), value: Decimal.ofInteger(value) };
  return { kind: "fiducial", name: "", fiducial: "span", ...parts };
}

function resolution(bits: number, span: number, codes: "half" | "one"): AccuracyStatement {
  return { kind: "resolution", name: "", bits, span: Decimal.ofInteger(span), codes };
}

// Up to 20 % and 20 V, the range in which statements for such testers lie.
const shares = fc.integer({ min: 0, max: 200_000 });
const volts = fc.integer({ min: 0, max: 20_000_000 });
const spans = fc.integer({ min: 1, max: 2_000 });
const bits = fc.integer({ min: 1, max: 32 });
const statements = fc.oneof(
  fc.tuple(shares, volts).map(([share, constant]) => indication(share, constant)),
  fc.tuple(shares, spans).map(([share, value]) => fiducial(share, value)),
  fc
    .tuple(bits, spans, fc.constantFrom("half" as const, "one" as const))
    .map(([count, span, codes]) => resolution(count, span, codes)),
);
const microvolts = fc.integer({ min: 1, max: 500_000_000 });

describe("an accuracy statement", () => {
  test("permits share times the magnitude of the indication plus the constant part", () => {
    fc.assert(
      fc.property(shares, volts, microvolts, (share, constant, shown) => {
        // In units of 1e-12 V: whole numbers, so that the division is the only rounding.
        const exact = BigInt(share) * BigInt(shown) + BigInt(constant) * 1_000_000n;
        const permitted = permittedError(indication(share, constant), millionths(shown));
        expect(permitted).toBe(Decimal.ofScaled(exact, -12).toNumber());
      }),
    );
  });

  test("permits the same on both polarities and never less at a larger magnitude", () => {
    fc.assert(
      fc.property(statements, microvolts, microvolts, (statement, one, other) => {
        const [small, large] = [Math.min(one, other) / 1e6, Math.max(one, other) / 1e6];
        expect(permittedError(statement, -large)).toBe(permittedError(statement, large));
        expect(permittedError(statement, large)).toBeGreaterThanOrEqual(
          permittedError(statement, small),
        );
      }),
    );
  });

  test("of a fiducial value permits the same volts everywhere", () => {
    fc.assert(
      fc.property(shares, spans, microvolts, (share, value, shown) => {
        const permitted = permittedError(fiducial(share, value), shown / 1e6);
        expect(permitted).toBeCloseTo((share * value) / 1e6, 9);
      }),
    );
  });

  test("of a resolution permits half a code or one code of the span", () => {
    fc.assert(
      fc.property(bits, spans, microvolts, (count, span, shown) => {
        const half = permittedError(resolution(count, span, "half"), shown / 1e6);
        const one = permittedError(resolution(count, span, "one"), shown / 1e6);
        expect(one).toBe(span / 2 ** count);
        expect(half).toBe(one / 2);
      }),
    );
  });

  test("as a fraction is its permitted error over the magnitude of the indication", () => {
    fc.assert(
      fc.property(statements, microvolts, (statement, shown) => {
        const voltage = -shown / 1e6;
        const expected = permittedError(statement, voltage) / -voltage;
        const difference = Math.abs(permittedFraction(statement, voltage) - expected);
        expect(difference).toBeLessThanOrEqual(4e-16 * expected);
      }),
    );
  });

  test("exceeds a fraction below its threshold voltage and not above it", () => {
    let thresholds = 0;
    fc.assert(
      fc.property(statements, fc.integer({ min: 0, max: 500_000 }), (statement, asked) => {
        const threshold = voltageBelowWhichExceeds(statement, millionths(asked));
        const exceeds = (voltage: number): boolean =>
          permittedFraction(statement, voltage) > asked / 1e6;
        if (threshold === "always" || threshold === "never") {
          const isAlways = threshold === "always";
          for (const voltage of [1e-3, 1, 34, 400, 1e5]) {
            expect(exceeds(voltage)).toBe(isAlways);
          }
          return;
        }
        thresholds += 1;
        expect(exceeds(threshold * (1 - 1e-9))).toBe(true);
        expect(exceeds(threshold * (1 + 1e-9))).toBe(false);
      }),
      { numRuns: 1_000 },
    );
    expect(thresholds).toBeGreaterThan(300);
  });

  test("keeps the boundary cases apart: equal share, no constant part, no share", () => {
    const five = millionths(50_000);
    expect(voltageBelowWhichExceeds(indication(50_000, 0), five)).toBe("never");
    expect(voltageBelowWhichExceeds(indication(50_000, 1), five)).toBe("always");
    expect(voltageBelowWhichExceeds(indication(50_001, 0), five)).toBe("always");
    expect(voltageBelowWhichExceeds(indication(0, 0), 0)).toBe("never");
    expect(voltageBelowWhichExceeds(fiducial(15_000, 800), five)).toBe(240);
  });

  test("that is no statement is refused with the value that is wrong", () => {
    const refused: readonly (readonly [AccuracyStatement, string])[] = [
      [indication(-1, 0), "share of indication must be zero or above, received -0.000001"],
      [indication(0, -1), "constant part of the statement must be zero or above"],
      [fiducial(-1, 800), "share of the fiducial value must be zero or above"],
      [fiducial(1, 0), "fiducial value must be greater than zero, received 0 V"],
      [resolution(0, 800, "half"), "number of bits must be an integer from 1 to 32, received 0"],
      [resolution(33, 800, "half"), "number of bits must be an integer from 1 to 32, received 33"],
      [resolution(8.5, 800, "half"), "number of bits must be an integer from 1 to 32"],
      [resolution(8, -800, "half"), "span must be greater than zero, received -800 V"],
    ];
    for (const [statement, sentence] of refused) {
      expect(() => permittedError(statement, 34)).toThrow(OutsideDomainError);
      expect(() => permittedError(statement, 34)).toThrow(sentence);
    }
  });

  test("has no fraction at zero and no error at what is no number", () => {
    expect(() => permittedFraction(indication(1, 1), 0)).toThrow(OutsideDomainError);
    expect(() => permittedError(indication(1, 1), Number.NaN)).toThrow(InvalidInputError);
    expect(() => permittedError(indication(1, 1), Number.POSITIVE_INFINITY)).toThrow(
      InvalidInputError,
    );
    expect(() => voltageBelowWhichExceeds(indication(1, 1), -0.05)).toThrow(OutsideDomainError);
  });
});
