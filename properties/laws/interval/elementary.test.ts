// Falsified by one argument whose exp, logarithm or square root, worked out to 100 bits in whole
// numbers, lies outside the enclosure, or by an enclosure wider than its documentation says.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { OutsideDomainError } from "../../../lib/errors.ts";
import {
  expAbove,
  expBelow,
  logAbove,
  logBelow,
  sqrtAbove,
  sqrtBelow,
} from "../../../lib/interval/elementary.ts";
import {
  allFiniteDoubles,
  signedFiniteDoubles,
  stepped,
  stepsBetween,
} from "../../support/doubles.ts";
import {
  compareToFigure,
  exactExp,
  exactLog,
  rationalOfFigure,
} from "../../support/high-precision.ts";
import type { BinaryFigure } from "../../support/high-precision.ts";
import { Rational } from "../../support/rational.ts";

const RUNS = { numRuns: 120_000 };
/** 2^-1019 and a little: a step outward can be two doubles below this. */
const NEAR_ZERO = 1.781e-307;

/** Parts of a range of `2 * limit` in 2^54 steps. */
const between = (limit: number): fc.Arbitrary<number> =>
  fc.maxSafeInteger().map((n) => (n / 2 ** 53) * limit);

/** A few doubles to either side of the places where a reduction by powers of two changes step. */
const around = (places: fc.Arbitrary<number>): fc.Arbitrary<number> =>
  fc.tuple(places, fc.integer({ min: -3, max: 3 })).map(([place, step]) => stepped(place, step));

const expArguments = fc
  .oneof(
    { weight: 3, arbitrary: between(746) },
    { weight: 3, arbitrary: between(1) },
    // All magnitudes: about half of all doubles are below 710.
    { weight: 3, arbitrary: signedFiniteDoubles.filter((x) => Math.abs(x) < 746) },
    // Halfway between two multiples of ln 2, where the reduced argument is largest.
    {
      weight: 2,
      arbitrary: around(fc.integer({ min: -2149, max: 2048 }).map((n) => (n * Math.LN2) / 2)),
    },
    { weight: 1, arbitrary: fc.integer({ min: -745, max: 709 }) },
    // Where the result loses bits to the subnormal doubles, vanishes, or overflows.
    { weight: 1, arbitrary: fc.nat(38_000).map((n) => -708 - n / 1000) },
    { weight: 1, arbitrary: around(fc.constantFrom(709.782712893384, -708.3964185322641)) },
    { weight: 1, arbitrary: around(fc.constantFrom(-745.1332191019412, -744.4400719213812)) },
  )
  .filter((x) => x !== 0);

const logArguments = fc
  .oneof(
    { weight: 3, arbitrary: allFiniteDoubles },
    // Near 1, where the logarithm itself is small: 1 +/- n 2^-53 down to the neighbours of 1.
    {
      weight: 3,
      arbitrary: fc
        .tuple(fc.maxSafeInteger(), fc.integer({ min: 1, max: 52 }))
        .map(([n, shift]) => 1 + n / 2 ** 53 / 2 ** shift),
    },
    { weight: 3, arbitrary: between(1).map((y) => 1.5 + y) },
    // The seams of a reduction by powers of two and by 4/3.
    {
      weight: 2,
      arbitrary: around(
        fc
          .tuple(fc.integer({ min: -1022, max: 1023 }), fc.constantFrom(1.2, 1.6, Math.SQRT2))
          .map(([k, seam]) => seam * 2 ** k),
      ),
    },
  )
  .filter((x) => x > 0 && x !== 1);

/** How far an enclosure of exp may stand from the value, in doubles. */
function expSteps(bound: number): number {
  return bound < NEAR_ZERO ? 3 : 2;
}

/**
 * Whether the double between two bounds, from which both are one step, is within 3/4 of a step of
 * the value. The proof allows 0.9; the reserve to the whole step that is needed would hide a slip.
 */
function isMiddleClose(lower: number, upper: number, value: BinaryFigure): boolean {
  const middle = stepped(lower, 1);
  if (stepped(middle, 1) !== upper) return false;
  const [below, centre, above] = [lower, middle, upper].map(Rational.fromNumber);
  const error = rationalOfFigure(value).sub(centre!);
  const step = error.top < 0n ? centre!.sub(below!) : above!.sub(centre!);
  return error.abs().compare(step.mul(Rational.of(3n, 4n))) < 0;
}

describe("the enclosure of exp", () => {
  test("holds the value to 100 bits at 120 000 arguments of every magnitude", () => {
    fc.assert(
      fc.property(expArguments, (x) => {
        const value = exactExp(x);
        return compareToFigure(expBelow(x), value) < 0 && compareToFigure(expAbove(x), value) > 0;
      }),
      RUNS,
    );
  });

  test("stands within 2 units in the last place of the value on either side", () => {
    fc.assert(
      fc.property(expArguments, (x) => {
        const value = exactExp(x);
        const [lower, upper] = [expBelow(x), expAbove(x)];
        return (
          compareToFigure(stepped(lower, expSteps(lower)), value) > 0 &&
          compareToFigure(stepped(upper, -expSteps(upper)), value) < 0
        );
      }),
      { numRuns: 30_000 },
    );
  });

  test("is one step to either side of a double that is within 3/4 of a step of the value", () => {
    fc.assert(
      fc.property(
        // Results from 2^-1019 up and finite: there a step outward is one double.
        expArguments.filter((x) => x > -706 && x < 709.78),
        (x) => isMiddleClose(expBelow(x), expAbove(x), exactExp(x)),
      ),
      { numRuns: 30_000 },
    );
  });

  test("is the number 1 at zero, of either sign", () => {
    for (const zero of [0, -0]) {
      expect(expBelow(zero)).toBe(1);
      expect(expAbove(zero)).toBe(1);
    }
  });

  test("is next to 1 for the arguments next to zero", () => {
    for (const x of [Number.MIN_VALUE, -Number.MIN_VALUE, 1e-300, -1e-20]) {
      expect(expBelow(x)).toBeLessThanOrEqual(1);
      expect(expAbove(x)).toBeGreaterThanOrEqual(1);
      expect(stepsBetween(expBelow(x), expAbove(x))).toBeLessThanOrEqual(2);
    }
  });

  test("runs from the largest double to infinity where exp overflows", () => {
    for (const x of [709.79, 710, 710.1, 711, 1e5, Number.MAX_VALUE, Number.POSITIVE_INFINITY]) {
      expect(expBelow(x)).toBeLessThanOrEqual(Number.MAX_VALUE);
      expect(expBelow(x)).toBeGreaterThan(1.7976e308);
      expect(expAbove(x)).toBe(Number.POSITIVE_INFINITY);
    }
  });

  test("runs from zero to the smallest doubles where exp vanishes, and is zero at its limit", () => {
    for (const x of [-745.2, -746, -746.1, -1e5, -Number.MAX_VALUE]) {
      expect(expBelow(x)).toBe(0);
      expect(expAbove(x)).toBeGreaterThan(0);
      expect(expAbove(x)).toBeLessThanOrEqual(3 * Number.MIN_VALUE);
    }
    expect(expBelow(Number.NEGATIVE_INFINITY)).toBe(0);
    expect(expAbove(Number.NEGATIVE_INFINITY)).toBe(0);
  });

  test("refuses NaN", () => {
    expect(() => expBelow(Number.NaN)).toThrow(OutsideDomainError);
    expect(() => expAbove(Number.NaN)).toThrow(OutsideDomainError);
  });
});

describe("the enclosure of the natural logarithm", () => {
  test("holds the value to 100 bits at 120 000 arguments of every magnitude", () => {
    fc.assert(
      fc.property(logArguments, (x) => {
        const value = exactLog(x);
        return compareToFigure(logBelow(x), value) < 0 && compareToFigure(logAbove(x), value) > 0;
      }),
      RUNS,
    );
  });

  test("stands within 2 units in the last place of the value on either side", () => {
    fc.assert(
      fc.property(logArguments, (x) => {
        const value = exactLog(x);
        return (
          compareToFigure(stepped(logBelow(x), 2), value) > 0 &&
          compareToFigure(stepped(logAbove(x), -2), value) < 0
        );
      }),
      { numRuns: 30_000 },
    );
  });

  test("is one step to either side of a double that is within 3/4 of a step of the value", () => {
    fc.assert(
      fc.property(logArguments, (x) => isMiddleClose(logBelow(x), logAbove(x), exactLog(x))),
      { numRuns: 30_000 },
    );
  });

  test("is the number 0 at 1", () => {
    expect(logBelow(1)).toBe(0);
    expect(logAbove(1)).toBe(0);
  });

  test("goes to minus infinity at zero, of either sign", () => {
    for (const zero of [0, -0]) {
      expect(logBelow(zero)).toBe(Number.NEGATIVE_INFINITY);
      expect(logAbove(zero)).toBe(Number.NEGATIVE_INFINITY);
    }
  });

  test("has a finite lower and an infinite upper end at infinity", () => {
    expect(logBelow(Number.POSITIVE_INFINITY)).toBe(logBelow(Number.MAX_VALUE));
    expect(logBelow(Number.POSITIVE_INFINITY)).toBeGreaterThan(709.78);
    expect(logAbove(Number.POSITIVE_INFINITY)).toBe(Number.POSITIVE_INFINITY);
  });

  test("refuses a negative number and NaN, naming the argument", () => {
    for (const x of [-Number.MIN_VALUE, -1, Number.NEGATIVE_INFINITY, Number.NaN]) {
      expect(() => logBelow(x)).toThrow(OutsideDomainError);
      expect(() => logAbove(x)).toThrow(OutsideDomainError);
    }
    expect(() => logBelow(-2)).toThrow("the argument of log must be zero or above, received -2");
  });

  test("undoes exp: the enclosure of ln of an enclosure of exp holds the argument", () => {
    fc.assert(
      fc.property(between(700), (x) => logBelow(expBelow(x)) <= x && x <= logAbove(expAbove(x))),
      { numRuns: 20_000 },
    );
  });
});

describe("the enclosure of the square root", () => {
  test("holds the root, whose square is known exactly, one double to either side", () => {
    fc.assert(
      fc.property(allFiniteDoubles, (x) => {
        const [lower, upper] = [sqrtBelow(x), sqrtAbove(x)];
        const [exact, low, high] = [x, lower, upper].map(Rational.fromNumber);
        expect(low!.mul(low!).compare(exact!)).toBeLessThanOrEqual(0);
        expect(high!.mul(high!).compare(exact!)).toBeGreaterThanOrEqual(0);
        expect(stepsBetween(lower, upper)).toBeLessThanOrEqual(2);
      }),
      { numRuns: 8000 },
    );
  });

  test("leaves the engine's root no nearer neighbour: it is correctly rounded", () => {
    fc.assert(
      fc.property(allFiniteDoubles, (x) => {
        fc.pre(x > 0);
        const root = Rational.fromNumber(Math.sqrt(x));
        for (const steps of [-1, 1]) {
          const neighbour = Rational.fromNumber(stepped(Math.sqrt(x), steps));
          const middle = root.add(neighbour).div(Rational.of(2n));
          const sign = middle.mul(middle).compare(Rational.fromNumber(x));
          expect(sign).not.toBe(-steps);
        }
      }),
      { numRuns: 8000 },
    );
  });

  test("is zero at zero, of either sign", () => {
    for (const zero of [0, -0]) {
      expect(sqrtBelow(zero)).toBe(0);
      expect(sqrtAbove(zero)).toBe(0);
    }
  });

  test("has a finite lower and an infinite upper end at infinity", () => {
    expect(sqrtBelow(Number.POSITIVE_INFINITY)).toBeLessThanOrEqual(Number.MAX_VALUE);
    expect(sqrtAbove(Number.POSITIVE_INFINITY)).toBe(Number.POSITIVE_INFINITY);
  });

  test("refuses a negative number and NaN", () => {
    for (const x of [-Number.MIN_VALUE, -4, Number.NEGATIVE_INFINITY, Number.NaN]) {
      expect(() => sqrtBelow(x)).toThrow(OutsideDomainError);
      expect(() => sqrtAbove(x)).toThrow(OutsideDomainError);
    }
  });
});
