// Falsified by an effect whose figures are not those of the design document with the stated changes
// made, a share of the error as designed that the exact figures leave, a part of the limits with a
// larger error than the whole, or a change that throws where it should be reported.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { Design } from "../../../lib/design/design.ts";
import type { DesignDocument } from "../../../lib/design/document-schema.ts";
import { InvalidInputError } from "../../../lib/errors.ts";
import { effectsOf, effectVoltages } from "../../../lib/guarantee/effects.ts";
import type {
  BracketedEffect,
  Effect,
  EffectChange,
  EffectId,
  EffectRow,
} from "../../../lib/guarantee/effects.ts";
import { Decimal } from "../../../lib/quantity/decimal.ts";
import { exactDecimal } from "../../../lib/quantity/exact-decimal.ts";
import { budgetAt, exampleDesign } from "../../support/example-designs.ts";
import type { Editable } from "../../support/example-designs.ts";

type Change = (document: Editable<DesignDocument>) => void;

const volts = (...texts: readonly string[]): Decimal[] => texts.map((text) => Decimal.parse(text));
const idsOf = (effects: readonly Effect[]) => effects.map(({ id }) => id);

function effectOf(effects: readonly Effect[], id: EffectId): BracketedEffect {
  const found = effects.find((effect) => effect.id === id);
  if (found?.outcome !== "bracketed") throw new Error(`${id} is not bracketed`);
  return found;
}

function reasonOf(effects: readonly Effect[], id: EffectId): string {
  const found = effects.find((effect) => effect.id === id);
  if (found?.outcome !== "notPossible") throw new Error(`${id} is possible`);
  return found.reason;
}

/** Writes each change where its path leads, as a person with an editor would. */
function written(changes: readonly EffectChange[]): Change {
  return (document) => {
    for (const { path, value } of changes) {
      const keys = path.split(".");
      const last = keys.pop() ?? "";
      const place = keys.reduce<Record<string, unknown>>(
        (inner, key) => inner[key] as Record<string, unknown>,
        document as Record<string, unknown>,
      );
      place[last] = JSON.parse(value);
    }
  };
}

/** True suprema that are one and the same lie in both brackets, so that the brackets meet. */
function expectOneError(one: EffectRow, other: Pick<EffectRow, "high" | "low">): void {
  expect(one.high.witnessed).toBeLessThanOrEqual(other.high.proven);
  expect(other.high.witnessed).toBeLessThanOrEqual(one.high.proven);
  expect(one.low.witnessed).toBeGreaterThanOrEqual(other.low.proven);
  expect(other.low.witnessed).toBeGreaterThanOrEqual(one.low.proven);
}

describe("the effects of adjustment, temperature and time", () => {
  test.each(["01-no-adjustment", "02-two-point", "03-good-at-34-volts"] as const)(
    "are those of %s with the stated changes written into its document",
    (example) => {
      const effects = effectsOf(exampleDesign(example), volts("60"));
      for (const effect of effects) {
        const { changes, rows } = effectOf(effects, effect.id);
        const changed = exampleDesign(example, written(changes));
        const [row] = budgetAt(changed, ["60"]).rows;
        expect(rows).toHaveLength(1);
        expect(rows[0]!.band).toEqual(row!.band);
        expectOneError(rows[0]!, row!);
        for (const side of ["high", "low"] as const) {
          expect(rows[0]![side].proven / row![side].proven).toBeCloseTo(1, 2);
          expect(rows[0]![side].gap).toBeLessThan(0.01);
        }
      }
    },
  );

  // The two demo designs have the same parts and conditions; only one of them is adjusted.
  test("make of the adjusted demo design, not adjusted, the one that never was", () => {
    const at = volts("-126", "34", "440");
    const adjusted = effectsOf(exampleDesign("02-two-point"), at);
    const bare = effectsOf(exampleDesign("01-no-adjustment"), at);
    const rows = effectOf(adjusted, "withoutAdjustment").rows;
    for (const [place, row] of effectOf(bare, "asDesigned").rows.entries())
      expectOneError(rows[place]!, row);
    // What adjustment buys here: an error of less than two thirds, and less than half at the top.
    expect(rows.map(({ ofDesigned }) => ofDesigned!.least > 1.5)).toEqual([true, true, true]);
    expect(rows[2]!.ofDesigned!.least).toBeGreaterThan(2);
  });

  test("come in one order, the design as it is first, and each with its band and both sides", () => {
    const adjusted = effectsOf(exampleDesign("03-good-at-34-volts"), volts("126", "34", "34"));
    const years = ["driftAfter0Years", "driftAfter1Year", "driftAfter2Years"];
    expect(idsOf(adjusted)).toEqual([
      "asDesigned",
      "withoutAdjustment",
      "ambientAtReference",
      ...years,
    ]);
    for (const effect of adjusted) {
      const { rows } = effectOf(adjusted, effect.id);
      expect(rows.map(({ voltage }) => voltage)).toEqual([34, 126]);
      for (const { high, low, band, provenError, witnessedError, stopped } of rows) {
        expect(high.proven).toBeGreaterThanOrEqual(high.witnessed);
        expect(low.proven).toBeLessThanOrEqual(low.witnessed);
        expect(provenError).toBe(Math.max(high.proven, -low.proven));
        expect(witnessedError).toBe(Math.max(high.witnessed, -low.witnessed));
        expect(Number(band.upper) - Number(band.lower)).toBeLessThan(0.25);
        expect(stopped).toBe("gap");
      }
    }
    expect(idsOf(effectsOf(exampleDesign("01-no-adjustment"), []))).toEqual([
      "asDesigned",
      "ambientAtReference",
      ...years,
    ]);
  });

  test("are shares that the exact figures do not leave, and 1 where nothing changes", () => {
    const effects = effectsOf(exampleDesign("02-two-point"), volts("-34", "34"));
    const designed = effectOf(effects, "asDesigned").rows;
    for (const id of ["asDesigned", "driftAfter1Year"] as const) {
      const { rows } = effectOf(effects, id);
      for (const { ofDesigned } of rows) expect(ofDesigned).toEqual({ least: 1, most: 1 });
    }
    for (const id of ["withoutAdjustment", "ambientAtReference", "driftAfter2Years"] as const) {
      for (const [place, row] of effectOf(effects, id).rows.entries()) {
        const { least, most } = row.ofDesigned!;
        const of = (share: number, error: number): Decimal =>
          exactDecimal(share).multiply(exactDecimal(error));
        const { provenError, witnessedError } = designed[place]!;
        expect(of(least, provenError).compare(exactDecimal(row.witnessedError))).not.toBe(1);
        expect(of(most, witnessedError).compare(exactDecimal(row.provenError))).not.toBe(-1);
        // Outward, and by no more than the brackets are wide.
        expect(most / least).toBeLessThan(1.01);
      }
    }
  });

  test("never find less error in more drift, nor more at one temperature of the range", () => {
    const cases = fc.record({
      example: fc.constantFrom("01-no-adjustment" as const, "03-good-at-34-volts" as const),
      // Hundredths of a percent in tenths of a year.
      limit: fc.integer({ min: 0, max: 20 }),
      after: fc.integer({ min: 5, max: 40 }),
      law: fc.constantFrom("linear" as const, "rootOfTime" as const, "fixed" as const),
      voltage: fc.integer({ min: -400, max: 400 }),
      reference: fc.integer({ min: 10, max: 40 }),
    });
    fc.assert(
      fc.property(cases, ({ example, limit, after, law, voltage, reference }) => {
        const design = exampleDesign(example, (document) => {
          document.reference.drift = {
            limit: `${limit / 100} %`,
            after: `${after / 10} years`,
            law,
          };
          document.conditions.referenceAmbient = `${reference} degC`;
        });
        const effects = effectsOf(design, volts(String(voltage)));
        const row = (id: EffectId): EffectRow => effectOf(effects, id).rows[0]!;
        const chains: readonly (readonly [EffectId, EffectId])[] = [
          ["ambientAtReference", "asDesigned"],
          ["driftAfter0Years", "driftAfter1Year"],
          ["driftAfter1Year", "driftAfter2Years"],
        ];
        for (const [part, whole] of chains) {
          expect(row(part).high.witnessed).toBeLessThanOrEqual(row(whole).high.proven);
          expect(row(part).low.witnessed).toBeGreaterThanOrEqual(row(whole).low.proven);
        }
      }),
      { numRuns: 12 },
    );
  });

  test("count the years before the adjustment where there is none", () => {
    const design = exampleDesign("02-two-point", (document) => {
      document.conditions.sinceAdjustment = "1.5 years";
      if (document.adjustment.kind !== "none") document.adjustment.age = "0.25 years";
    });
    const [, bare] = effectsOf(design, []);
    expect(bare?.name).toBe("not adjusted, 1.75 years old");
    expect(bare?.changes).toContainEqual({
      path: "conditions.sinceManufacture",
      value: '"1.75 years"',
    });
  });
});

describe("a change that leaves no valid design", () => {
  test("is reported with its reason: a reference temperature for which the part has no figure", () => {
    const effects = effectsOf(
      exampleDesign("01-no-adjustment", (document) => {
        document.conditions.referenceAmbient = "-20 degC";
      }),
      volts("34"),
    );
    const reason = reasonOf(effects, "ambientAtReference");
    expect(reason).toMatch(/^ambient temperature must be inside the range .*, received -20 to -20/);
    expect(effectOf(effects, "driftAfter2Years").rows).toHaveLength(1);
  });

  test("is reported with its reason: codes that drift out of the converter in two years", () => {
    const drifting: Change = (document) => {
      document.reference.drift = { limit: "4 %", after: "1 year", law: "linear" };
      document.buffer!.swing = ["-1 V", "4.6 V"];
    };
    const effects = effectsOf(exampleDesign("03-good-at-34-volts", drifting), volts("34"));
    expect(reasonOf(effects, "driftAfter2Years")).toMatch(
      /codes of the measuring interval .* must/,
    );
    expect(effectOf(effects, "driftAfter1Year").rows).toHaveLength(1);
  });
});

describe("bad input to effects", () => {
  const design: Design = exampleDesign("01-no-adjustment");

  test("is refused with every voltage outside the measuring interval", () => {
    const outside = (): unknown => effectsOf(design, volts("34", "440.1", "-1e3"));
    expect(outside).toThrow(InvalidInputError);
    expect(outside).toThrow(
      /received 440\.1 V \(voltages\[1\]\)\n.*received -1000 V \(voltages\[2\]\)/,
    );
  });

  test("is refused where the design itself leaves its converter", () => {
    const drifting = exampleDesign("03-good-at-34-volts", (document) => {
      document.reference.drift = { limit: "12 %", after: "1 year", law: "linear" };
    });
    expect(() => effectsOf(drifting, volts("34"))).toThrow(InvalidInputError);
  });

  test("has voltages to fall back on: those of the requirements, else the published ones", () => {
    const asked = effectVoltages(exampleDesign("02-two-point")).map(String);
    expect(asked).toEqual(["34", "60", "126", "440"]);
    const free = exampleDesign("02-two-point", (document) => {
      document.requirements = [];
    });
    // IEC 60335-1, 22.5: 34 V; IEC 60601-1, 8.4.3: 60 V.
    expect(effectVoltages(free).map(String)).toEqual(expect.arrayContaining(["34", "60", "440"]));
  });
});
