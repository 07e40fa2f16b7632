// Falsified by: a budget whose JSON, read by another tool, does not give the witnessed errors
// again, whose witness lies outside the limits or on a rounding edge, or whose figures are missing,
// not numbers, or not where the contract puts them.
import { describe, expect, test } from "vitest";
import { quantitiesOf } from "../../lib/design/quantities.ts";
import { Decimal } from "../../lib/quantity/decimal.ts";
import type { BudgetRow, SideFigures, SymbolRow } from "../../lib/report/budget-document.ts";
import { distanceToEdge, evaluatedElsewhere, throughText } from "../support/elsewhere.ts";
import { budgetAt, EXAMPLES, exampleDesign } from "../support/example-designs.ts";
import { stepped } from "../support/doubles.ts";

const DECIMAL = /^-?(?:0|[1-9]\d*)(?:\.\d*[1-9])?$/;

/** Every value of a document with its place. */
function* leavesOf(value: unknown, path = ""): Generator<readonly [string, unknown]> {
  if (typeof value === "object" && value !== null) {
    for (const [key, inner] of Object.entries(value)) yield* leavesOf(inner, `${path}.${key}`);
  } else yield [path, value];
}

/** Limits of a symbol in a row: those of the band for the true voltage. */
function limitsOf(symbol: SymbolRow, row: BudgetRow): readonly [string, string] {
  return symbol.perBand ? [row.band.lower, row.band.upper] : [symbol.lower, symbol.upper];
}

function sidesOf(row: BudgetRow): readonly (readonly ["high" | "low", SideFigures])[] {
  return [
    ["high", row.high],
    ["low", row.low],
  ];
}

describe.each(EXAMPLES)("the JSON of %s", (example) => {
  const design = exampleDesign(example);
  const written = budgetAt(design);
  const document = throughText(written);
  const { symbols, rows, equation } = document;
  const evaluate = evaluatedElsewhere(equation.shown);

  test("loses nothing as text and holds no null, NaN or infinity in place of a figure", () => {
    expect(document).toEqual(written);
    const strange = [...leavesOf(written)].filter(
      ([path, value]) =>
        value === undefined ||
        (typeof value === "number" && !Number.isFinite(value)) ||
        (value === null && !path.endsWith(".degreesOfFreedom")),
    );
    expect(strange).toEqual([]);
    expect([...leavesOf(written)].length).toBeGreaterThan(1_000);
  });

  test("carries every limit as the exact decimal of the design", () => {
    const quantities = new Map(quantitiesOf(design).map((quantity) => [quantity.name, quantity]));
    expect(new Set(symbols.map(({ name }) => name)).size).toBe(symbols.length);
    const perBand = symbols.filter((symbol) => symbol.perBand).map(({ kind }) => kind);
    expect(perBand).toEqual(["measurand"]);
    for (const { name, kind, lower, upper, nominal } of symbols) {
      for (const text of [lower, upper, nominal]) expect(text).toMatch(DECIMAL);
      const [low, high, middle] = [lower, upper, nominal].map((text) => Decimal.parse(text));
      expect(low!.compare(high!)).toBeLessThanOrEqual(0);
      if (kind === "rounding") continue;
      expect(low!.compare(middle!)).toBeLessThanOrEqual(0);
      expect(middle!.compare(high!)).toBeLessThanOrEqual(0);
      if (kind === "measurand") continue;
      const quantity = quantities.get(name)!;
      expect(low!.equals(quantity.lower) && high!.equals(quantity.upper)).toBe(true);
      quantities.delete(name);
    }
    expect([...quantities.keys()]).toEqual([]);
    for (const { band } of rows)
      for (const text of [band.lower, band.upper]) expect(text).toMatch(DECIMAL);
  });

  test("has for every quantiser its argument, its rounding and the symbol that stands for it", () => {
    const shown = new Map(equation.shown.definitions.map(({ name, infix }) => [name, infix]));
    const bounded = new Map(equation.bounded.definitions.map(({ name, infix }) => [name, infix]));
    expect(equation.quantisers.length).toBeGreaterThan(1);
    for (const { shown: name, argument, symbol, mode } of equation.quantisers) {
      const rounded = mode === "nearest" ? `floor(${argument} + 0.5)` : `floor(${argument})`;
      expect(shown.get(name)).toBe(rounded);
      expect(bounded.get(name)).toBe(`${argument} + ${symbol}`);
      const { kind, lower, upper } = symbols.find((row) => row.name === symbol)!;
      expect(kind).toBe("rounding");
      // At most a full step, and never more than half a step either way where it is to nearest.
      expect(Number(upper) - Number(lower)).toBeLessThanOrEqual(1);
      expect(Number(lower)).toBeGreaterThanOrEqual(mode === "nearest" ? -0.5 : -1);
      expect(Number(upper)).toBeLessThanOrEqual(mode === "nearest" ? 0.5 : 0);
    }
    const floors = equation.shown.definitions.filter(({ infix }) => infix.includes("floor"));
    expect(floors.length).toBe(equation.quantisers.length);
  });

  test("has rows of both polarities, each inside its own band, bands apart or touching", () => {
    const voltages = rows.map(({ voltage }) => voltage);
    expect(voltages).toEqual([...voltages].sort((one, other) => one - other));
    expect(voltages.filter((voltage) => voltage < 0).length).toBeGreaterThan(10);
    const [[lowest, highest]] = document.measuringInterval as [[string, string]];
    for (const [index, { voltage, band }] of rows.entries()) {
      expect(Number(band.lower)).toBeLessThanOrEqual(voltage);
      expect(Number(band.upper)).toBeGreaterThanOrEqual(voltage);
      expect(Decimal.parse(band.lower).compare(Decimal.parse(lowest))).toBeGreaterThanOrEqual(0);
      expect(Decimal.parse(band.upper).compare(Decimal.parse(highest))).toBeLessThanOrEqual(0);
      const next = rows[index + 1]?.band.lower ?? highest;
      expect(Decimal.parse(band.upper).compare(Decimal.parse(next))).toBeLessThanOrEqual(0);
    }
  });

  test("has witnesses of every symbol but the roundings, inside the limits of their row", () => {
    const expected = symbols.filter(({ kind }) => kind !== "rounding").map(({ name }) => name);
    for (const row of rows) {
      for (const [, { witness }] of sidesOf(row)) {
        expect(Object.keys(witness).sort()).toEqual([...expected].sort());
        for (const symbol of symbols) {
          if (symbol.kind === "rounding") continue;
          const [lower, upper] = limitsOf(symbol, row).map(Number) as [number, number];
          // The limits of the box are the doubles next to the decimals, on their outer side.
          expect(witness[symbol.name]).toBeGreaterThanOrEqual(stepped(lower, -1));
          expect(witness[symbol.name]).toBeLessThanOrEqual(stepped(upper, 1));
        }
      }
    }
  });

  test("gives the witnessed errors again, every rounding clear of its edges", () => {
    for (const row of rows) {
      for (const [, { witness, witnessed }] of sidesOf(row)) {
        const { error, parts } = evaluate(witness);
        expect(Math.abs(error - witnessed)).toBeLessThan(1e-9);
        for (const { argument, mode } of equation.quantisers)
          expect(distanceToEdge(parts.get(argument)!, mode)).toBeGreaterThan(0.999e-6);
      }
    }
  });

  test("has the proven figures outside the witnessed ones, and the gap that they leave", () => {
    for (const row of rows) {
      const { high, low } = row;
      expect(high.proven).toBeGreaterThanOrEqual(high.witnessed);
      expect(low.proven).toBeLessThanOrEqual(low.witnessed);
      expect(high.proven).toBeGreaterThan(low.proven);
      for (const [, { proven, witnessed, gap }] of sidesOf(row))
        expect(gap).toBeCloseTo((proven - witnessed) / proven, 12);
      const larger = Math.abs(high.proven) >= Math.abs(low.proven) ? high : low;
      expect(row.provenError).toBe(Math.abs(larger.proven));
      expect(row.witnessedError).toBe(Math.abs(larger.witnessed));
      expect(row.gap).toBe(larger.gap);
      // Numbers to reach: 0.5 % everywhere, 0.1 % without adjustment.
      const reach = design.adjustment.kind === "none" ? 0.001 : 0.005;
      expect(Math.max(high.gap, low.gap)).toBeLessThanOrEqual(reach);
      expect(row.stopped).toBe("gap");
      expect(row.guaranteed).toBe(true);
    }
  });

  test("is the same document when it is made again", () => {
    const [one, other] = [
      ["34", "-126"],
      ["-126", "34"],
    ].map((voltages) =>
      JSON.stringify(
        budgetAt(
          exampleDesign(example, (changed) => {
            changed.requirements = [];
          }),
          voltages,
        ),
      ),
    );
    expect(one).toBe(other);
  });
});
