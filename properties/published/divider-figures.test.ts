// Falsified by: a divider figure that differs from the extremes found by trying every corner, from
// a transfer function worked out in complex numbers, or from the published worked numbers.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { remainingShare, dischargeDuration } from "../../lib/circuit/discharge.ts";
import {
  dividerRatio,
  ratioChange,
  ratioToleranceLimits,
  stepResponse,
  stringVoltageChange,
} from "../../lib/circuit/divider-figures.ts";
import type { CapacitiveDivider } from "../../lib/circuit/divider-figures.ts";
import { OutsideDomainError } from "../../lib/errors.ts";

const NINETY_NINE_TO_ONE = { upper: 99, lower: 1 };
const ohms = fc.integer({ min: 1, max: 1_000_000_000 });

describe("the ratio of a divider", () => {
  // Algebra; values computed.
  test.each([
    [0.001, 0.198194, -0.197806],
    [0.01, 1.999596, -1.960784],
  ])("of 99:1 with a tolerance of %d moves by %d %% and %d %%", (tolerance, upper, lower) => {
    const limits = ratioToleranceLimits(NINETY_NINE_TO_ONE, tolerance);
    expect(100 * limits.upper).toBeCloseTo(upper, 6);
    expect(100 * limits.lower).toBeCloseTo(lower, 6);
    expect(limits.upper).toBeCloseTo(2 * tolerance * 0.99, 3);
    // The formula of the table, written out.
    const [r1, r2, t] = [99, 1, tolerance];
    const exact = ((1 + t) / ((1 - t) * r1 + (1 + t) * r2)) * (r1 + r2) - 1;
    expect(limits.upper).toBeCloseTo(exact, 14);
  });

  test("stays within its limits for every pair of values within tolerance", () => {
    const part = fc.integer({ min: -1_000, max: 1_000 });
    const tolerances = fc.integer({ min: 0, max: 200 });
    fc.assert(
      fc.property(ohms, ohms, tolerances, part, part, (upper, lower, permille, one, other) => {
        const tolerance = permille / 1_000;
        const limits = ratioToleranceLimits({ upper, lower }, tolerance);
        const moved = dividerRatio({
          upper: upper * (1 + (tolerance * one) / 1_000),
          lower: lower * (1 + (tolerance * other) / 1_000),
        });
        const change = moved / dividerRatio({ upper, lower }) - 1;
        expect(change).toBeLessThanOrEqual(limits.upper + 1e-12);
        expect(change).toBeGreaterThanOrEqual(limits.lower - 1e-12);
      }),
      { numRuns: 500 },
    );
  });

  test("with independent rectangular tolerances of 0.1 % has a relative u of 0.080833 %", () => {
    // u = sqrt(2) t (1 - k) / sqrt(3); each leg contributes the change it causes alone.
    const one = ratioChange(NINETY_NINE_TO_ONE, { upper: 0.001, lower: 0 }) / Math.sqrt(3);
    const other = ratioChange(NINETY_NINE_TO_ONE, { upper: 0, lower: 0.001 }) / Math.sqrt(3);
    expect(100 * Math.hypot(one, other)).toBeCloseTo(0.080833, 6);
  });

  test("follows only the difference of the temperature coefficients", () => {
    // Component pages (confirmed): thin film of one lot tracks within 15 ppm/K on request.
    const alike = { upper: 50e-6 * 40, lower: 50e-6 * 40 };
    expect(ratioChange(NINETY_NINE_TO_ONE, alike)).toBe(0);
    const tracking = { upper: 25e-6 * 40, lower: 40e-6 * 40 };
    expect(ratioChange(NINETY_NINE_TO_ONE, tracking)).toBeCloseTo(0.99 * 15e-6 * 40, 12);
  });

  test("changes to first order as the exact ratio does for small changes", () => {
    const millionths = fc.integer({ min: -100, max: 100 });
    fc.assert(
      fc.property(ohms, ohms, millionths, millionths, (upper, lower, one, other) => {
        const changes = { upper: one * 1e-6, lower: other * 1e-6 };
        const moved = { upper: upper * (1 + changes.upper), lower: lower * (1 + changes.lower) };
        const exact = dividerRatio(moved) / dividerRatio({ upper, lower }) - 1;
        // Second order: at most the square of the sum of both changes.
        expect(Math.abs(ratioChange({ upper, lower }, changes) - exact)).toBeLessThan(5e-8);
      }),
    );
  });
});

describe("the voltage coefficient", () => {
  test("of 100 ppm/V costs 0.1 % over 10 V and 1 % over 100 V (public page, confirmed)", () => {
    const single = { parts: 1, voltageCoefficient: 100e-6 };
    expect(stringVoltageChange({ ...single, voltage: 10 })).toBeCloseTo(0.001, 12);
    expect(stringVoltageChange({ ...single, voltage: 100 })).toBeCloseTo(0.01, 12);
  });

  test("is (R2 - R1) / R1 / (V2 - V1) with the base voltage as reference", () => {
    // The definition of public component pages (confirmed), with the resistances the figure gives.
    const single = { parts: 1, voltageCoefficient: -50e-6 };
    const [base, voltage] = [1e7, 200];
    const measured = base * (1 + stringVoltageChange({ ...single, voltage }));
    expect((measured - base) / base / voltage).toBeCloseTo(-50e-6, 15);
  });

  test("of a string falls as one over the number of its equal parts", () => {
    // Advice on a public page (confirmed), and algebra: each part sees V/n.
    for (const parts of [1, 2, 5, 10]) {
      const change = stringVoltageChange({ parts, voltageCoefficient: -50e-6, voltage: 400 });
      expect(change * parts).toBeCloseTo(-0.02, 12);
    }
    // The same figure for either polarity of the voltage.
    const turned = stringVoltageChange({ parts: 1, voltageCoefficient: -50e-6, voltage: -400 });
    expect(turned).toBeCloseTo(-0.02, 12);
  });

  test("of ten parts with -50 ppm/V, adjusted at 300 V, costs 0.13 % at 34 V", () => {
    const string = { parts: 10, voltageCoefficient: -50e-6 };
    const at34 = stringVoltageChange({ ...string, voltage: 34 });
    const at300 = stringVoltageChange({ ...string, voltage: 300 });
    expect(100 * (at34 - at300)).toBeCloseTo(0.133, 3);
  });
});

/** Output over input at an angular frequency, by admittances in complex numbers. */
function transfer({ resistance, capacitance }: CapacitiveDivider, angular: number) {
  const upper = { re: 1 / resistance.upper, im: angular * capacitance.upper };
  const total = {
    re: upper.re + 1 / resistance.lower,
    im: angular * (capacitance.upper + capacitance.lower),
  };
  const square = total.re ** 2 + total.im ** 2;
  return {
    re: (upper.re * total.re + upper.im * total.im) / square,
    im: (upper.im * total.re - upper.re * total.im) / square,
  };
}

describe("a divider with capacitors", () => {
  const kiloohms = fc.integer({ min: 1, max: 100_000 });
  const picofarads = fc.integer({ min: 1, max: 100_000 });
  const dividers = fc
    .tuple(kiloohms, kiloohms, picofarads, picofarads)
    .map(([upper, lower, first, second]) => ({
      resistance: { upper: upper * 1e3, lower: lower * 1e3 },
      capacitance: { upper: first * 1e-12, lower: second * 1e-12 },
    }));

  test("starts a step at the capacitors' ratio and ends it at the resistors'", () => {
    // Textbook, from memory; algebra. Very fast and very slow sines show the two ends.
    fc.assert(
      fc.property(dividers, (divider) => {
        const { initialRatio, finalRatio, timeConstant } = stepResponse(divider);
        const slow = transfer(divider, 1e-6 / timeConstant);
        const fast = transfer(divider, 1e9 / timeConstant);
        expect(slow.re / finalRatio).toBeCloseTo(1, 5);
        expect(fast.re / initialRatio).toBeCloseTo(1, 5);
      }),
    );
  });

  test("passes between them with one time constant: its frequency response says the same", () => {
    // A step from a to b with one time constant T answers a sine with b + (a - b) s T / (1 + s T).
    const decades = fc.integer({ min: -30, max: 30 });
    fc.assert(
      fc.property(dividers, decades, (divider, tenths) => {
        const { initialRatio, finalRatio, timeConstant } = stepResponse(divider);
        const x = 10 ** (tenths / 10);
        const share = { re: (x * x) / (1 + x * x), im: x / (1 + x * x) };
        const gap = initialRatio - finalRatio;
        const found = transfer(divider, x / timeConstant);
        const size = Math.max(initialRatio, finalRatio);
        expect(Math.abs(found.re - finalRatio - gap * share.re)).toBeLessThan(1e-12 * size);
        expect(Math.abs(found.im - gap * share.im)).toBeLessThan(1e-12 * size);
      }),
    );
  });

  test("is independent of frequency where R1 C1 = R2 C2", () => {
    // 99 Mohm with 2 pF over 1 Mohm with 198 pF: both 198 us.
    const divider = {
      resistance: { upper: 99e6, lower: 1e6 },
      capacitance: { upper: 2e-12, lower: 198e-12 },
    };
    const { initialRatio, finalRatio, timeConstant } = stepResponse(divider);
    expect(initialRatio).toBeCloseTo(finalRatio, 14);
    expect(finalRatio).toBe(0.01);
    expect(timeConstant).toBeCloseTo(198e-6, 12);
    for (const angular of [1, 1e2, 1e4, 1e6]) {
      expect(Math.hypot(transfer(divider, angular).re, transfer(divider, angular).im)).toBeCloseTo(
        0.01,
        12,
      );
    }
  });
});

describe("a decay", () => {
  // "37 % after one time constant, below 1 % after five" on a public page (confirmed); rest
  // computed.
  test.each([
    [0.5, 0.606531],
    [Math.LN2, 0.5],
    [1, 0.367879],
    [2, 0.135335],
    [Math.LN10, 0.1],
    [3, 0.049787],
    [4, 0.018316],
    [4.60517, 0.01],
    [5, 0.006738],
    [6.907755, 0.001],
    [7, 0.000912],
    [10, 4.53999e-5],
  ])("has after %d time constants %d of its start left", (duration, share) => {
    expect(remainingShare({ duration, timeConstant: 1 })).toBeCloseTo(share, 6);
    expect(remainingShare({ duration: duration * 0.3, timeConstant: 0.3 })).toBeCloseTo(share, 6);
  });

  test("takes R C ln(V0 / V) to fall (same page)", () => {
    const timeConstant = 1e6 * 0.47e-6;
    const found = dischargeDuration({ from: 325, to: 34, timeConstant });
    expect(found).toBeCloseTo(0.47 * Math.log(325 / 34), 12);
  });

  test("through a bleeder of 1 Mohm costs 52.9 mW at 230 V (public trade articles: 53 mW)", () => {
    expect((230 ** 2 / 1e6) * 1e3).toBeCloseTo(52.9, 9);
  });
});

test("dividers of impossible parts are refused", () => {
  const good = { upper: 99, lower: 1 };
  expect(() => dividerRatio({ upper: 0, lower: 1 })).toThrow(OutsideDomainError);
  expect(() => dividerRatio({ upper: 1, lower: -1 })).toThrow("lower resistance must be greater");
  expect(() => ratioToleranceLimits(good, 1)).toThrow("tolerance must be below 1, received 1");
  expect(() => ratioToleranceLimits(good, -0.1)).toThrow(OutsideDomainError);
  expect(() => ratioChange(good, { upper: Number.NaN, lower: 0 })).toThrow(OutsideDomainError);
  const string = { voltageCoefficient: 1e-6, voltage: 1 };
  expect(() => stringVoltageChange({ parts: 1.5, ...string })).toThrow(OutsideDomainError);
  expect(() => stringVoltageChange({ parts: 0, ...string })).toThrow(OutsideDomainError);
  const capacitance = { upper: 0, lower: 1e-12 };
  expect(() => stepResponse({ resistance: good, capacitance })).toThrow(OutsideDomainError);
});
