// Falsified by: a figure towards the greatest obtainable voltage, or a limit drawn as a voltage, that
// differs from a calculation by other means on the published limits.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  expectedMaximumOfNormals,
  greatestOfOpenings,
  openingShare,
  scaledVoltages,
} from "../../lib/decision/greatest-voltage.ts";
import { lineApplies, voltageLine } from "../../lib/decision/line-voltage.ts";
import { parseLimitQuestion } from "../../lib/decision/limit-question.ts";
import { OutsideDomainError } from "../../lib/errors.ts";
import { exampleDesign } from "../support/example-designs.ts";

const exactly = (value: number) => ({ lower: value, upper: value });
const certain = (value: number) => ({ value, standardUncertainty: 0 });
const DESIGN = exampleDesign("03-good-at-34-volts");

function lineVoltage(limit: Parameters<typeof voltageLine>[0], capacitance?: number) {
  const line = voltageLine(limit, {
    initial: exactly(240 * Math.SQRT2),
    ...(capacitance === undefined ? {} : { capacitance: exactly(capacitance) }),
  });
  if (line.kind !== "line") throw new Error(line.reason);
  return line.voltage;
}

describe("phase and number of openings", () => {
  test("an opening 1 ms off the crest costs 4.9 % at 50 Hz (computed)", () => {
    expect(1 - openingShare({ lateness: 1e-3, frequency: 50 })).toBeCloseTo(0.0489, 4);
    expect(openingShare({ lateness: 0, frequency: 60 })).toBe(1);
    expect(openingShare({ lateness: 5e-3, frequency: 50 })).toBeCloseTo(0, 12);
  });

  test("of ten random openings the greatest is above 91.8 % of crest with 95 % (computed)", () => {
    expect(greatestOfOpenings(10, 0.95).least).toBeCloseTo(0.918, 3);
  });

  test("one opening has the moments of a rectified sine: 2 / pi and 1/2 - 4 / pi^2", () => {
    const { expected, standardDeviation } = greatestOfOpenings(1, 0.95);
    expect(expected).toBeCloseTo(2 / Math.PI, 9);
    expect(standardDeviation ** 2).toBeCloseTo(0.5 - 4 / Math.PI ** 2, 9);
  });

  test("two openings: 8 / pi^2, by integration of the greater phase", () => {
    // Density of the greater of two angles uniform on 0 to pi/2: 8 a / pi^2; mean of its sine.
    expect(greatestOfOpenings(2, 0.95).expected).toBeCloseTo(8 / Math.PI ** 2, 9);
  });

  test("more openings and less confidence never lower a figure", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 200 }),
        fc.integer({ min: 1, max: 98 }),
        (n, percent) => {
          const some = greatestOfOpenings(n, percent / 100);
          const more = greatestOfOpenings(n + 1, percent / 100);
          expect(more.least).toBeGreaterThan(some.least);
          expect(more.expected).toBeGreaterThan(some.expected);
          expect(greatestOfOpenings(n, (percent + 1) / 100).least).toBeLessThan(some.least);
        },
      ),
      { numRuns: 60 },
    );
  });

  test("noise lifts the greatest of 2, 3 and 10 readings by 0.564, 0.846 and 1.539 sigma", () => {
    expect(expectedMaximumOfNormals(1)).toBeCloseTo(0, 12);
    expect(expectedMaximumOfNormals(2)).toBeCloseTo(1 / Math.sqrt(Math.PI), 9);
    expect(expectedMaximumOfNormals(3)).toBeCloseTo(3 / (2 * Math.sqrt(Math.PI)), 9);
    // From memory: tables of normal order statistics give 1.53875 for ten.
    expect(expectedMaximumOfNormals(10)).toBeCloseTo(1.53875, 5);
  });

  test("figures that are none are refused", () => {
    expect(() => greatestOfOpenings(0, 0.95)).toThrow(OutsideDomainError);
    expect(() => greatestOfOpenings(10, 1)).toThrow(OutsideDomainError);
    expect(() => expectedMaximumOfNormals(1.5)).toThrow(OutsideDomainError);
    expect(() => openingShare({ lateness: 0, frequency: 0 })).toThrow(OutsideDomainError);
  });
});

describe("scaling", () => {
  test("to upper supply in proportion, to upper capacitance along the discharge", () => {
    const initial = 240 * Math.SQRT2;
    const bleeder = 2e6;
    const at = (capacitance: number, from: number): number =>
      from * Math.exp(-1 / (bleeder * capacitance));
    const scaled = scaledVoltages({
      voltage: certain(at(0.2e-6, initial)),
      supply: { tested: certain(240), upper: 264 },
      capacitance: { tested: certain(0.2e-6), upper: 0.24e-6, initial: certain(initial) },
    });
    expect(scaled.atUpperSupply?.value).toBeCloseTo(at(0.2e-6, 1.1 * initial), 9);
    expect(scaled.atUpperCapacitance?.value).toBeCloseTo(at(0.24e-6, initial), 9);
    expect(scaled.atBoth?.value).toBeCloseTo(at(0.24e-6, 1.1 * initial), 9);
    expect(scaled.atBoth?.standardUncertainty).toBe(0);
  });

  test("carries the uncertainty that finite differences give", () => {
    const from = (voltage: number, capacitance: number, initial: number, supply: number): number =>
      (264 / supply) * initial * (voltage / initial) ** (capacitance / 0.26e-6);
    const u = { voltage: 0.2, capacitance: 4e-9, initial: 1.5, supply: 1 };
    const known = { voltage: 30, capacitance: 0.22e-6, initial: 325, supply: 230 };
    const moved = (field: keyof typeof known): number => {
      const shifted = { ...known, [field]: known[field] + u[field] };
      const back = { ...known, [field]: known[field] - u[field] };
      const value = (one: typeof known): number =>
        from(one.voltage, one.capacitance, one.initial, one.supply);
      return (value(shifted) - value(back)) / 2;
    };
    const { atBoth } = scaledVoltages({
      voltage: { value: 30, standardUncertainty: 0.2 },
      supply: { tested: { value: 230, standardUncertainty: 1 }, upper: 264 },
      capacitance: {
        tested: { value: 0.22e-6, standardUncertainty: 4e-9 },
        upper: 0.26e-6,
        initial: { value: 325, standardUncertainty: 1.5 },
      },
    });
    const fields = Object.keys(known) as (keyof typeof known)[];
    const expected = Math.hypot(...fields.map(moved));
    expect(atBoth?.standardUncertainty).toBeCloseTo(expected, 3);
  });

  test("needs a reading that has fallen", () => {
    expect(() =>
      scaledVoltages({
        voltage: certain(400),
        capacitance: { tested: certain(1e-7), upper: 1e-7, initial: certain(325) },
      }),
    ).toThrow(OutsideDomainError);
  });
});

describe("limits drawn as voltages", () => {
  test.each([
    [60, 0.75e-6],
    [80, 0.5625e-6],
    [100, 0.45e-6],
    [339.4, 0.13259e-6],
  ])("45 uC is %d V on %d F (computed)", (voltage, capacitance) => {
    const found = lineVoltage({ kind: "charge", charge: 45e-6 }, capacitance);
    expect(found.lower / voltage).toBeCloseTo(1, 4);
  });

  test("0.1 uF at 450 V holds 45 uC, which explains that pair; 4.4 uF at 80 V fails it", () => {
    const charge = { kind: "charge", charge: 45e-6 } as const;
    expect(lineVoltage(charge, 0.1e-6).upper).toBeCloseTo(450, 9);
    expect(lineVoltage(charge, 4.4e-6).upper).toBeLessThan(80);
  });

  test.each([
    [220e-9, 69.231],
    [200e-9, 71.538],
    [100e-9, 97.152],
    [47e-9, 142.5],
  ])(
    "IEC 62368-1, Table 5 at %d F is %d V, ES2 twice that (interpolation computed)",
    (c, volts) => {
      const table = (energySource: "ES1" | "ES2") =>
        lineVoltage({ kind: "chargedCapacitorTable", energySource }, c).lower;
      expect(table("ES1")).toBeCloseTo(volts, 3);
      expect(table("ES2")).toBeCloseTo(2 * volts, 2);
    },
  );

  test("IEC 62368-1, Table 5 with a tolerance: rated plus tolerance decides", () => {
    const limit = { kind: "chargedCapacitorTable", energySource: "ES1" } as const;
    const line = voltageLine(limit, { capacitance: { lower: 100e-9, upper: 220e-9 } });
    if (line.kind !== "line") throw new Error(line.reason);
    expect(line.voltage.lower).toBeCloseTo(69.231, 3);
    expect(line.voltage.upper).toBeCloseTo(97.152, 3);
  });

  test("IEC 60950-1, 2.1.1.7: 37 % of the crest of 240 V is 125.582 V", () => {
    const limit = { kind: "timeConstant", timeConstant: 1, fraction: 0.37 } as const;
    expect(lineVoltage(limit).lower).toBeCloseTo(125.582, 3);
    expect(voltageLine(limit, {}).kind).toBe("noVerdict");
  });

  test("a charge without a capacitance, a current and a measure give no verdict", () => {
    expect(voltageLine({ kind: "charge", charge: 45e-6 }, {}).kind).toBe("noVerdict");
    const open = { capacitance: { lower: 1e-7, upper: Infinity } };
    expect(voltageLine({ kind: "charge", charge: 45e-6 }, open).kind).toBe("noVerdict");
    expect(voltageLine({ kind: "measure", measure: "IP2X" }, {}).kind).toBe("noVerdict");
    // IEC 60335-1, 8.1.4: 45 uC counts above 450 V only.
    const band = { above: 450, upTo: 15_000 };
    const limit = { kind: "charge", charge: 45e-6, band } as const;
    expect(voltageLine(limit, { capacitance: exactly(1e-6) }).kind).toBe("noVerdict");
    expect(voltageLine(limit, { capacitance: exactly(0.05e-6) }).kind).toBe("line");
  });

  test.each([
    ["iec-60335-1-22.5/plug", 0.05e-6, "exempt"],
    ["iec-60335-1-22.5/plug", 0.2e-6, "applies"],
    // IEC 60204-1, 6.2.4 exempts 60 uC: 0.15 uF hold 51 uC at 339 V, 0.2 uF 68 uC.
    ["iec-60204-1-6.2.4/plug", 0.15e-6, "exempt"],
    ["iec-60204-1-6.2.4/plug", 0.2e-6, "applies"],
  ] as const)("%s on %d F: %s", (id, capacitance, expected) => {
    const { line } = parseLimitQuestion(id, DESIGN);
    const circumstances = { capacitance: exactly(capacitance), initial: exactly(339.41) };
    expect(lineApplies(line, circumstances)).toBe(expected);
    expect(lineApplies(line, {})).toBe("undetermined");
    const wide = { ...circumstances, capacitance: { lower: 0.01e-6, upper: 1e-6 } };
    expect(lineApplies(line, wide)).toBe("undetermined");
  });
});
