// Falsified by: a returned end that breaks |e| <= share * |V + e| + volts in exact rational
// arithmetic, a double inside the condition but outside the returned pair, or a range for which
// some true voltage allows less than was returned.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { permittedErrors, permittedErrorsOver } from "../../../lib/design/requirement.ts";
import type { IndicationStatement } from "../../../lib/design/accuracy-statement.ts";
import { InvalidInputError, OutsideDomainError } from "../../../lib/errors.ts";
import { Decimal } from "../../../lib/quantity/decimal.ts";

/** Exact fraction with a positive denominator. */
interface Rational {
  readonly top: bigint;
  readonly bottom: bigint;
}

/** The value of a double, exactly, by doubling until it is an integer. */
function rationalOf(value: number): Rational {
  let [top, bottom] = [value, 1n];
  for (let step = 0; step < 1_100 && !Number.isInteger(top); step += 1) {
    top *= 2;
    bottom *= 2n;
  }
  return { top: BigInt(top), bottom };
}

/** Share and volts in millionths, true voltage in microvolts. */
interface Case {
  readonly share: number;
  readonly volts: number;
  readonly voltage: number;
}

const MILLION = 1_000_000n;

function size(value: bigint): bigint {
  return value < 0n ? -value : value;
}

/** |e| <= share * |V + e| + volts, with everything over one common denominator. */
function isAllowed({ share, volts, voltage }: Case, error: number): boolean {
  const { top, bottom } = rationalOf(error);
  const left = size(top) * MILLION * MILLION;
  const indication = size(BigInt(voltage) * bottom + top * MILLION);
  return left <= BigInt(share) * indication + BigInt(volts) * bottom * MILLION;
}

function statementOf({ share, volts }: Pick<Case, "share" | "volts">): IndicationStatement {
  return {
    kind: "indication",
    name: "in a test",
    share: Decimal.ofScaled(BigInt(share), -6),
    volts: Decimal.ofScaled(BigInt(volts), -6),
  };
}

function errorsOf(drawn: Case): { readonly lower: number; readonly upper: number } {
  return permittedErrors(statementOf(drawn), Decimal.ofScaled(BigInt(drawn.voltage), -6));
}

function neighbour(value: number, steps: bigint): number {
  const view = new DataView(new ArrayBuffer(8));
  view.setFloat64(0, value);
  view.setBigInt64(0, view.getBigInt64(0) + steps);
  return view.getFloat64(0);
}

// Shares up to just below one and constants up to 20 V reach every branch: b below, at and above
// |V|.
const shares = fc.oneof(
  fc.integer({ min: 0, max: 100_000 }),
  fc.integer({ min: 0, max: 999_999 }),
  fc.constantFrom(0, 999_999),
);
const constants = fc.oneof(fc.integer({ min: 0, max: 20_000_000 }), fc.constant(0));
// Mains crests with margin, the region of the limit lines, and the volts around zero.
const voltages = fc.oneof(
  fc.integer({ min: -500_000_000, max: 500_000_000 }),
  fc.integer({ min: 30_000_000, max: 126_000_000 }),
  fc.integer({ min: -20_000_000, max: 20_000_000 }),
  fc.constant(0),
);
const cases: fc.Arbitrary<Case> = fc.oneof(
  fc.record({ share: shares, volts: constants, voltage: voltages }),
  // The corner at which the indication of the lowest allowed error is exactly zero.
  fc
    .record({ share: shares, volts: constants })
    .map(({ share, volts }) => ({ share, volts, voltage: volts })),
);

describe("the errors a statement allows at a true voltage", () => {
  test("both ends satisfy the condition exactly, and two doubles further out none does", () => {
    fc.assert(
      fc.property(cases, (drawn) => {
        const { lower, upper } = errorsOf(drawn);
        expect(isAllowed(drawn, lower)).toBe(true);
        expect(isAllowed(drawn, upper)).toBe(true);
        if (lower < 0) expect(isAllowed(drawn, neighbour(lower, 2n))).toBe(false);
        if (upper > 0) expect(isAllowed(drawn, neighbour(upper, 2n))).toBe(false);
      }),
      { numRuns: 2_000 },
    );
  });

  test("every error between the ends is allowed and no error beyond them", () => {
    const sixteenths = fc
      .integer({ min: -32, max: 48 })
      .filter((part) => part !== 0 && part !== 16);
    fc.assert(
      fc.property(cases, sixteenths, (drawn, part) => {
        const { lower, upper } = errorsOf(drawn);
        fc.pre(lower < upper);
        const error = lower + ((upper - lower) * part) / 16;
        expect(isAllowed(drawn, error)).toBe(part > 0 && part < 16);
      }),
      { numRuns: 2_000 },
    );
  });

  test("on a grid of small whole numbers, allowed and returned agree without exception", () => {
    let compared = 0;
    for (const percent of [0, 1, 5, 10, 50, 90, 99]) {
      for (let volts = 0; volts <= 6; volts += 1) {
        for (let voltage = -8; voltage <= 8; voltage += 1) {
          const drawn = { share: percent * 10_000, volts: volts * 1e6, voltage: voltage * 1e6 };
          const { lower, upper } = errorsOf(drawn);
          for (let eighths = -200; eighths <= 200; eighths += 1) {
            const left = 100 * Math.abs(eighths);
            const right = percent * Math.abs(8 * voltage + eighths) + 800 * volts;
            const isReturned = eighths / 8 >= lower && eighths / 8 <= upper;
            if (isReturned !== left <= right) {
              expect.fail(`${percent} %, ${volts} V, at ${voltage} V, error ${eighths}/8 V`);
            }
            compared += 1;
          }
        }
      }
    }
    expect(compared).toBe(7 * 7 * 17 * 401);
  });

  test("a limit closer below a double than any kept digit still rounds inward", () => {
    // 1 V less 1e-60 V, without a share: the exact limits lie that much inside +/-1 V.
    const volts = Decimal.parse(`0.${"9".repeat(60)}`);
    const statement = { kind: "indication", name: "", share: Decimal.zero, volts } as const;
    const { lower, upper } = permittedErrors(statement, 34);
    expect([lower, upper]).toEqual([-1 + 2 ** -53, 1 - 2 ** -53]);
  });

  test("a plain number counts as the value the double holds", () => {
    fc.assert(
      fc.property(cases, (drawn) => {
        const double = drawn.voltage / 1e6;
        const statement = statementOf(drawn);
        const fromNumber = permittedErrors(statement, double);
        expect(fromNumber).toEqual(permittedErrors(statement, Decimal.ofDouble(double)));
      }),
    );
  });

  test("turning the polarity of the true voltage swaps the ends", () => {
    fc.assert(
      fc.property(cases, (drawn) => {
        const { lower, upper } = errorsOf(drawn);
        const turned = errorsOf({ ...drawn, voltage: -drawn.voltage });
        expect(turned).toEqual({ lower: 0 - upper, upper: 0 - lower });
      }),
    );
  });

  test("5 % of the indication at a true 34 V allows -1.62 V and +1.79 V", () => {
    // The percentage refers to the indication: 1.7/1.05 and 1.7/0.95, not 1.7 on both sides.
    const { lower, upper } = errorsOf({ share: 50_000, volts: 0, voltage: 34_000_000 });
    expect(lower).toBeCloseTo(-1.7 / 1.05, 12);
    expect(upper).toBeCloseTo(1.7 / 0.95, 12);
    expect([lower.toFixed(2), upper.toFixed(2)]).toEqual(["-1.62", "1.79"]);
  });

  test("a percentage of a fiducial value allows the same volts at every voltage", () => {
    const statement = {
      kind: "fiducial",
      name: "in a test",
      share: Decimal.parse("0.015"),
      fiducial: "span",
      value: Decimal.parse("800"),
    } as const;
    for (const voltage of [-400, -34, 0, 34, 126, 400]) {
      expect(permittedErrors(statement, voltage)).toEqual({ lower: -12, upper: 12 });
    }
  });

  test("a share of one, a negative share and a voltage that is no number are refused", () => {
    const whole = statementOf({ share: 1_000_000, volts: 0 });
    expect(() => permittedErrors(whole, 34)).toThrow(OutsideDomainError);
    expect(() => permittedErrors(whole, 34)).toThrow("from 0 to less than 1, received 1");
    expect(() => permittedErrors(statementOf({ share: -1, volts: 0 }), 34)).toThrow(
      OutsideDomainError,
    );
    const good = statementOf({ share: 50_000, volts: 0 });
    for (const voltage of [Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY]) {
      expect(() => permittedErrors(good, voltage)).toThrow(InvalidInputError);
    }
  });
});

describe("the errors a statement allows at every voltage of a range", () => {
  test("are the tightest that any whole-volt voltage of the range allows", () => {
    // Whole volts hold both ends, zero and the turning points, so the tightest is among them.
    const wholeVolts = fc.integer({ min: -30, max: 30 });
    const share = fc.integer({ min: 0, max: 999_999 });
    const volts = fc.integer({ min: 0, max: 12 });
    fc.assert(
      fc.property(share, volts, wholeVolts, wholeVolts, (part, constant, one, other) => {
        const statement = statementOf({ share: part, volts: constant * 1e6 });
        const [from, to] = [Math.min(one, other), Math.max(one, other)];
        let [lower, upper] = [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY];
        for (let voltage = from; voltage <= to; voltage += 1) {
          const at = permittedErrors(statement, voltage);
          [lower, upper] = [Math.max(lower, at.lower), Math.min(upper, at.upper)];
        }
        expect(permittedErrorsOver(statement, { from, to })).toEqual({ lower, upper });
      }),
      { numRuns: 500 },
    );
  });

  test("hold at any voltage inside the range, whole volts or not", () => {
    const millionths = fc.integer({ min: 0, max: 1_000_000 });
    fc.assert(
      fc.property(cases, voltages, millionths, (drawn, other, part) => {
        const from = Math.min(drawn.voltage, other) / 1e6;
        const to = Math.max(drawn.voltage, other) / 1e6;
        const inside = Math.min(to, from + ((to - from) * part) / 1e6);
        const over = permittedErrorsOver(statementOf(drawn), { from, to });
        const at = permittedErrors(statementOf(drawn), inside);
        expect(over.lower).toBeGreaterThanOrEqual(at.lower);
        expect(over.upper).toBeLessThanOrEqual(at.upper);
      }),
      { numRuns: 1_000 },
    );
  });

  test("the tightest low error can stand inside the range, at the constant part", () => {
    // 50 % + 2 V: at 0 V -4 V is allowed (indication -4 V), at 2 V only -2 V, at 6 V -3.33 V.
    const statement = statementOf({ share: 500_000, volts: 2_000_000 });
    expect(permittedErrors(statement, 0).lower).toBe(-4);
    expect(permittedErrorsOver(statement, { from: 0, to: 6 }).lower).toBe(-2);
  });

  test("a range whose lower end exceeds its upper end is refused", () => {
    const statement = statementOf({ share: 50_000, volts: 0 });
    expect(() => permittedErrorsOver(statement, { from: 2, to: 1 })).toThrow(OutsideDomainError);
  });
});
