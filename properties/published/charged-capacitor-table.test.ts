// Falsified by: a row that differs from the published table, an interpolated value off the straight
// line between two rows, or a limit that rises with the capacitance.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  CHARGED_CAPACITOR_TABLE,
  chargedCapacitorLimit,
} from "../../lib/design/charged-capacitor-table.ts";
import { OutsideDomainError } from "../../lib/errors.ts";

/**
 * IEC 62368-1, Table 5 (confirmed in two public transcriptions of a national adoption): capacitance
 * in nF, ES1 and ES2 in V, and capacitance times ES1 in uC, computed.
 */
const TABLE_5: readonly (readonly [number, number, number, number])[] = [
  [300, 60, 120, 18],
  [170, 75, 150, 12.75],
  [91, 100, 200, 9.1],
  [61, 125, 250, 7.625],
  [41, 150, 300, 6.15],
  [28, 200, 400, 5.6],
  [18, 250, 500, 4.5],
  [12, 350, 700, 4.2],
  [8, 500, 1_000, 4],
  [4, 1_000, 2_000, 4],
  [1.6, 2_500, 5_000, 4],
  [0.8, 5_000, 10_000, 4],
  [0.4, 10_000, 20_000, 4],
  [0.2, 20_000, 40_000, 4],
  [0.133, 25_000, 50_000, 3.325],
];

const NANO = 1e-9;

/** Exact line between two rows with integers: capacitance in pF, result as a fraction of volts. */
function onTheLine(picofarads: number): { readonly top: bigint; readonly bottom: bigint } {
  const rows = TABLE_5.map(([nanofarads, volts]) => [Math.round(nanofarads * 1_000), volts]);
  const [first, last] = [rows[0]!, rows.at(-1)!];
  if (picofarads >= first[0]!) return { top: BigInt(first[1]!), bottom: 1n };
  if (picofarads <= last[0]!) return { top: BigInt(last[1]!), bottom: 1n };
  const index = rows.findIndex(([capacitance]) => capacitance! <= picofarads);
  const [larger, smaller] = [rows[index - 1]!, rows[index]!];
  const width = BigInt(larger[0]! - smaller[0]!);
  const rise = BigInt(smaller[1]! - larger[1]!) * BigInt(larger[0]! - picofarads);
  return { top: BigInt(larger[1]!) * width + rise, bottom: width };
}

// Picofarads, with equal weight for each pair of rows and for both ends.
const picofarads = fc.oneof(
  fc.integer({ min: 1, max: 200 }),
  fc.integer({ min: 133, max: 4_000 }),
  fc.integer({ min: 4_000, max: 41_000 }),
  fc.integer({ min: 41_000, max: 310_000 }),
  fc.constantFrom(...TABLE_5.map(([nanofarads]) => Math.round(nanofarads * 1_000))),
);

describe("IEC 62368-1, Table 5", () => {
  test("is reproduced row by row, with ES2 twice ES1", () => {
    for (const [nanofarads, one, two, microcoulombs] of TABLE_5) {
      expect(chargedCapacitorLimit(nanofarads * NANO, "ES1")).toBeCloseTo(one, 9);
      expect(chargedCapacitorLimit(nanofarads * NANO, "ES2")).toBeCloseTo(two, 9);
      expect(two).toBe(2 * one);
      const charge = nanofarads * NANO * chargedCapacitorLimit(nanofarads * NANO, "ES1");
      expect(charge * 1e6).toBeCloseTo(microcoulombs, 9);
    }
    expect(CHARGED_CAPACITOR_TABLE).toHaveLength(TABLE_5.length);
  });

  test("holds at its row exactly when the capacitance is written as in the table", () => {
    expect(chargedCapacitorLimit(300e-9, "ES1")).toBe(60);
    expect(chargedCapacitorLimit(170e-9, "ES1")).toBe(75);
    expect(chargedCapacitorLimit(41e-9, "ES2")).toBe(300);
    expect(chargedCapacitorLimit(0.133e-9, "ES1")).toBe(25_000);
  });

  test("is constant beyond its ends", () => {
    for (const capacitance of [300e-9, 301e-9, 1e-6, 1]) {
      expect(chargedCapacitorLimit(capacitance, "ES1")).toBe(60);
      expect(chargedCapacitorLimit(capacitance, "ES2")).toBe(120);
    }
    for (const capacitance of [0.133e-9, 0.1e-9, 1e-15]) {
      expect(chargedCapacitorLimit(capacitance, "ES1")).toBe(25_000);
      expect(chargedCapacitorLimit(capacitance, "ES2")).toBe(50_000);
    }
    expect(chargedCapacitorLimit(299e-9, "ES1")).toBeGreaterThan(60);
    expect(chargedCapacitorLimit(0.134e-9, "ES1")).toBeLessThan(25_000);
  });

  test.each([
    [220, 69.231],
    [200, 71.538],
    [100, 97.152],
    [47, 142.5],
  ])("interpolates %d nF to %d V for ES1, twice that for ES2 (computed)", (nanofarads, volts) => {
    expect(chargedCapacitorLimit(nanofarads * NANO, "ES1")).toBeCloseTo(volts, 3);
    expect(chargedCapacitorLimit(nanofarads * NANO, "ES2") / 2).toBeCloseTo(volts, 3);
  });

  test("lies on the straight line between the two nearest rows at every capacitance", () => {
    fc.assert(
      fc.property(picofarads, (count) => {
        const { top, bottom } = onTheLine(count);
        const expected = Number(top) / Number(bottom);
        const limit = chargedCapacitorLimit(count * 1e-12, "ES1");
        expect(Math.abs(limit - expected)).toBeLessThanOrEqual(1e-12 * expected);
        const second = chargedCapacitorLimit(count * 1e-12, "ES2");
        expect(Math.abs(second - 2 * limit)).toBeLessThanOrEqual(1e-15 * second);
      }),
      { numRuns: 2_000 },
    );
  });

  test("never allows more for a larger capacitance", () => {
    fc.assert(
      fc.property(picofarads, picofarads, fc.constantFrom("ES1", "ES2"), (one, other, column) => {
        const smaller = chargedCapacitorLimit(Math.min(one, other) * 1e-12, column);
        const larger = chargedCapacitorLimit(Math.max(one, other) * 1e-12, column);
        expect(larger).toBeLessThanOrEqual(smaller);
      }),
      { numRuns: 2_000 },
    );
  });

  test("has no limit for what is no capacitance", () => {
    for (const capacitance of [0, -1e-9, Number.NaN, Number.POSITIVE_INFINITY]) {
      expect(() => chargedCapacitorLimit(capacitance, "ES1")).toThrow(OutsideDomainError);
    }
    expect(() => chargedCapacitorLimit(-1e-9, "ES1")).toThrow(
      "capacitance must be finite and greater than zero, received -1e-9 F",
    );
  });
});
