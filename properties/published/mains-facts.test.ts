// Falsified by: a nominal voltage, a supply limit or a crest that differs from the published one,
// or supply limits that contradict each other.
import { describe, expect, test } from "vitest";
import {
  crestVoltage,
  NOMINAL_MAINS,
  PUBLIC_SUPPLY_LIMITS,
} from "../../lib/design/mains-limits.ts";
import { OutsideDomainError } from "../../lib/errors.ts";

describe("nominal voltages (IEC 60038)", () => {
  test("are 230 V within 10 %, so 207 V to 253 V (confirmed)", () => {
    const nominal = NOMINAL_MAINS.find((mains) => mains.name === "230 V");
    expect(nominal).toMatchObject({ voltages: [230], tolerance: 0.1, status: "confirmed" });
    const tolerance = nominal?.tolerance ?? Number.NaN;
    expect(230 * (1 - tolerance)).toBeCloseTo(207, 9);
    expect(230 * (1 + tolerance)).toBeCloseTo(253, 9);
  });

  test("of other supplies are recalled and say so (from memory)", () => {
    const recalled = NOMINAL_MAINS.filter((mains) => mains.status === "fromMemory");
    expect(recalled.map((mains) => [...mains.voltages, ...mains.frequencies])).toEqual([
      [230, 400],
      [120, 240, 60],
      [277, 480],
      [400, 690],
      [100],
    ]);
  });

  test("of three-phase supplies have line voltages of sqrt(3) times the phase voltage", () => {
    const threePhase = NOMINAL_MAINS.filter((mains) => mains.voltages.length === 2);
    for (const { voltages } of threePhase.filter((mains) => mains.name !== "120/240 V")) {
      expect((voltages[1] ?? 0) / (voltages[0] ?? 1)).toBeCloseTo(Math.sqrt(3), 1);
    }
  });
});

describe("the crest of a sinusoidal mains (computed)", () => {
  test.each([
    [230, 325.269],
    [240, 339.411],
    [253, 357.796],
    [264, 373.352],
    [276, 390.323],
  ])("of %d V is %d V", (rms, crest) => {
    expect(crestVoltage(rms)).toBeCloseTo(crest, 3);
  });

  test("of 277 V + 10 % passes a range of +/-400 V", () => {
    expect(crestVoltage(277 * 1.1)).toBeCloseTo(431, 0);
    expect(crestVoltage(277 * 1.1)).toBeGreaterThan(400);
  });

  test("does not exist for what is no voltage", () => {
    for (const rms of [0, -230, Number.NaN, Number.POSITIVE_INFINITY]) {
      expect(() => crestVoltage(rms)).toThrow(OutsideDomainError);
    }
  });
});

describe("limits of public supplies (EN 50160, public restatements, confirmed)", () => {
  test("hold the voltage within 10 % for 95 % of a week, 195.5 V to 253 V always", () => {
    const [week, always] = PUBLIC_SUPPLY_LIMITS.voltage;
    expect(week).toEqual({ lower: -0.1, upper: 0.1, share: 0.95, period: "week" });
    expect(always).toMatchObject({ share: 1, period: "always" });
    expect(230 * (1 + (always?.lower ?? 0))).toBeCloseTo(195.5, 9);
    expect(230 * (1 + (always?.upper ?? 0))).toBeCloseTo(253, 9);
  });

  test("hold the frequency within 1 % for 99.5 % of a year, +4 % and -6 % always", () => {
    expect(PUBLIC_SUPPLY_LIMITS.frequency).toEqual([
      { lower: -0.01, upper: 0.01, share: 0.995, period: "year" },
      { lower: -0.06, upper: 0.04, share: 1, period: "always" },
    ]);
    expect(PUBLIC_SUPPLY_LIMITS.islandFrequency).toEqual([
      { lower: -0.02, upper: 0.02, share: 0.95, period: "week" },
      { lower: -0.15, upper: 0.15, share: 1, period: "always" },
    ]);
  });

  test("of harmonics are those of three independent pages, in per cent of the fundamental", () => {
    const odd = [
      [3, 5],
      [5, 6],
      [7, 5],
      [9, 1.5],
      [11, 3.5],
      [13, 3],
      [15, 0.5],
      [17, 2],
      [19, 1.5],
      [21, 0.5],
      [23, 1.5],
      [25, 1.5],
    ];
    const even = [6, 8, 10, 12, 14, 16, 18, 20, 22, 24].map((order) => [order, 0.5]);
    const expected = [...odd, [2, 2], [4, 1], ...even].sort((a, b) => a[0]! - b[0]!);
    const shown = [...PUBLIC_SUPPLY_LIMITS.harmonics].map(([order, share]) => [
      order,
      Number((100 * share).toPrecision(9)),
    ]);
    expect(shown.sort((a, b) => a[0]! - b[0]!)).toEqual(expected);
  });

  test("of harmonics cannot all be used up at once: 11.325 % against 8 %", () => {
    const shares = [...PUBLIC_SUPPLY_LIMITS.harmonics.values()];
    const together = Math.sqrt(shares.reduce((sum, share) => sum + share * share, 0));
    expect(100 * together).toBeCloseTo(11.325, 3);
    expect(PUBLIC_SUPPLY_LIMITS.totalHarmonicDistortion).toBe(0.08);
    expect(together).toBeGreaterThan(PUBLIC_SUPPLY_LIMITS.totalHarmonicDistortion);
    expect(100 * shares.reduce((sum, share) => sum + share, 0)).toBeCloseTo(39.5, 9);
  });

  test("hold unbalance to 2 % and long-term flicker to 1", () => {
    expect(PUBLIC_SUPPLY_LIMITS.unbalance).toBe(0.02);
    expect(PUBLIC_SUPPLY_LIMITS.longTermFlicker).toBe(1);
  });
});
