// Falsified by: a quantile that differs from a 40-digit calculation or a reference library by more
// than stated, that falls where the probability rises, or that its distribution function does not
// lead back.
import * as fc from "fast-check";
import jStat from "jstat";
import { describe, expect, test } from "vitest";
import { OutsideDomainError } from "../../../lib/errors.ts";
import { incompleteBeta, logGamma } from "../../../lib/statistics/incomplete-beta.ts";
import { normalProbability } from "../../../lib/statistics/normal-probability.ts";
import { normalQuantile } from "../../../lib/statistics/normal-quantile.ts";
import { studentQuantile, studentUpperTail } from "../../../lib/statistics/student-quantile.ts";

/** Computed with 40 digits, for the probability as a decimal. */
const NORMAL: readonly (readonly [number, number])[] = [
  [0.4, -0.2533471031357998],
  [0.3, -0.5244005127080408],
  [0.1, -1.2815515655446004],
  [0.075, -1.439531470938456],
  [0.05, -1.6448536269514726],
  [0.025, -1.9599639845400543],
  [0.01, -2.326347874040841],
  [0.005, -2.575829303548901],
  [0.00135, -2.999976992703393],
  [1e-4, -3.7190164854556804],
  [1e-6, -4.753424308822899],
  [1e-9, -5.9978070150076865],
  [1e-12, -7.034483825301132],
  [1e-20, -9.262340089798407],
  [1e-50, -14.933337534788489],
  [1e-100, -21.273453560965326],
  [1e-300, -37.0470962993612],
];

/** Degrees of freedom, upper tail, quantile computed with 40 digits. */
const STUDENT: readonly (readonly [number, number, number])[] = [
  [1, 0.25, 1],
  [1, 0.025, 12.706204736174705],
  [1, 0.00135, 235.7836871584926],
  [1.5, 0.1, 2.1963984175655376],
  [1.5, 1e-6, 5219.469324706945],
  [2, 0.005, 9.924843200918293],
  [3, 0.00135, 9.218701822037348],
  [3.7, 0.025, 2.8675207071911895],
  [5, 0.025, 2.5705818356363155],
  [10, 0.25, 0.6998120613124317],
  [16.7521475092, 0.005, 2.9035412758144736],
  [18, 0.1, 1.330390943569909],
  [30.5, 1e-6, 5.849450230728734],
  [100, 0.025, 1.9839715185235522],
  [1000, 0.005, 2.580754698065951],
  [12345.6, 0.025, 1.9601561582595104],
  [1e6, 0.00135, 2.9999844925595927],
];

/** From 1e-9 to 1 - 1e-9, as many in the tails as in the middle. */
const probabilities = fc
  .tuple(fc.integer({ min: 1, max: 99_999_999 }), fc.integer({ min: 0, max: 6 }), fc.boolean())
  .map(([mantissa, tens, upper]) => {
    const tail = (mantissa / 2e8) * 10 ** -tens;
    return upper ? 1 - tail : tail;
  });

describe("the normal quantile", () => {
  test.each(NORMAL)("at %s agrees with 40 digits to 1e-14", (p, expected) => {
    expect(Math.abs(normalQuantile(p) / expected - 1)).toBeLessThan(1e-14);
    // The probability has the condition number z^2, so its last digits are lost far out.
    expect(Math.abs(normalProbability(expected) / p - 1)).toBeLessThan(
      6e-15 + 2e-16 * expected * expected,
    );
  });

  test("is odd around one half, infinite at the ends and nowhere else defined", () => {
    expect(normalQuantile(0.5)).toBe(0);
    expect(normalQuantile(0.75)).toBe(-normalQuantile(0.25));
    expect(normalQuantile(0)).toBe(-Infinity);
    expect(normalQuantile(1)).toBe(Infinity);
    for (const p of [-0.1, 1.1, Number.NaN]) expect(normalQuantile(p)).toBeNaN();
  });

  test("agrees with the reference library to its 1e-9 and is led back by the probability", () => {
    fc.assert(
      fc.property(probabilities, (p) => {
        const z = normalQuantile(p);
        const tail = Math.min(p, 1 - p);
        // The reference loses its digits far out.
        if (tail > 1e-7)
          expect(Math.abs(z - jStat.normal.inv(p, 0, 1))).toBeLessThan(1e-8 * (1 + Math.abs(z)));
        expect(Math.abs(normalProbability(-Math.abs(z)) / tail - 1)).toBeLessThan(4e-14);
      }),
    );
  });
});

describe("the Student t quantile", () => {
  test.each(STUDENT)("of %s degrees of freedom, tail %s, agrees to 5e-13", (nu, tail, expected) => {
    expect(Math.abs(-studentQuantile(tail, nu) / expected - 1)).toBeLessThan(5e-13);
  });

  test("agrees with the reference library", () => {
    const tenths = fc.integer({ min: 10, max: 5_000 }).map((count) => count / 10);
    const middle = fc.integer({ min: 1, max: 9_999 }).map((count) => count / 10_000);
    fc.assert(
      fc.property(tenths, middle, (nu, p) => {
        const expected = jStat.studentt.inv(p, nu);
        expect(Math.abs(studentQuantile(p, nu) - expected)).toBeLessThan(
          1e-7 * (1 + Math.abs(expected)),
        );
      }),
    );
  });

  test("falls with the degrees of freedom, rises with the probability, and is led back", () => {
    const degrees = fc.integer({ min: 100, max: 1_000_000 }).map((count) => count / 100);
    const tails = fc.integer({ min: 1, max: 499_999 }).map((count) => count / 1e6);
    fc.assert(
      fc.property(degrees, tails, (nu, tail) => {
        const t = -studentQuantile(tail, nu);
        expect(Math.abs(studentUpperTail(t, nu) / tail - 1)).toBeLessThan(1e-11);
        expect(-studentQuantile(tail, nu + 1)).toBeLessThan(t);
        expect(-studentQuantile(tail * 0.99, nu)).toBeGreaterThan(t);
      }),
    );
  });

  test("joins the normal quantile at infinite degrees of freedom", () => {
    expect(studentQuantile(0.975, Infinity)).toBe(normalQuantile(0.975));
    expect(studentQuantile(0.975, 1e9)).toBeCloseTo(normalQuantile(0.975), 8);
    expect(studentQuantile(0.975, 999_999)).toBeCloseTo(studentQuantile(0.975, 1_000_001), 11);
  });

  test("refuses degrees of freedom below 1", () => {
    for (const nu of [0.99, 0, -3, Number.NaN])
      expect(() => studentQuantile(0.9, nu)).toThrow(OutsideDomainError);
  });
});

describe("the functions behind", () => {
  test("log gamma gives the logarithms of factorials", () => {
    let factorial = 1;
    for (let n = 1; n <= 20; n += 1) {
      expect(logGamma(n)).toBeCloseTo(Math.log(factorial), 12);
      factorial *= n;
    }
  });

  test("the incomplete beta function of integers is a binomial sum", () => {
    const small = fc.integer({ min: 1, max: 12 });
    fc.assert(
      fc.property(small, small, fc.integer({ min: 1, max: 999 }), (a, b, thousandths) => {
        const x = thousandths / 1_000;
        const n = a + b - 1;
        let sum = 0;
        let binomial = 1;
        for (let k = 0; k <= n; k += 1) {
          if (k >= a) sum += binomial * x ** k * (1 - x) ** (n - k);
          binomial = (binomial * (n - k)) / (k + 1);
        }
        const value = incompleteBeta({ first: a, second: b, x, complement: 1 - x });
        expect(Math.abs(value - sum)).toBeLessThan(1e-13);
      }),
    );
  });
});
