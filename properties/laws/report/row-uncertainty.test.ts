// Falsified by: a row whose shares do not add up, whose figures the schema refuses or whose interval
// leaves the proven bound; a printed expanded figure below the exact one; an odd figure without its
// sentence, or a sentence without an odd figure; a line wider than asked.
import { parse } from "valibot";
import { describe, expect, test } from "vitest";
import { budgetDocumentSchema } from "../../../lib/report/budget-schema.ts";
import { budgetTable } from "../../../lib/report/budget-table.ts";
import { demoBudget } from "../../../examples/expected.ts";
import type { BudgetRow } from "../../../lib/report/budget-document.ts";
import { sharesChart } from "../../../lib/report/terms-chart.ts";
import { uncertaintyNotes } from "../../../lib/report/uncertainty-notes.ts";

const budget = demoBudget("03-good-at-34-volts");

describe("rows with uncertainty", () => {
  test("have shares that add up, an interval inside the proven bound, and fit the schema", () => {
    expect(() => parse(budgetDocumentSchema, budget)).not.toThrow();
    for (const row of budget.rows) {
      expect(row.shares!.reduce((sum, { share }) => sum + share, 0)).toBeCloseTo(1, 9);
      expect(row.coverageInterval!.lower).toBeGreaterThanOrEqual(row.low.proven);
      expect(row.coverageInterval!.upper).toBeLessThanOrEqual(row.high.proven);
      expect(row.expandedUncertainty).toBeCloseTo(
        row.coverageFactor! * row.combinedStandardUncertainty!,
        12,
      );
      expect(row.effectiveDegreesOfFreedom).toBe("infinite");
    }
  });

  test("print no expanded figure below the exact one, and no line too wide", () => {
    for (const width of [80, 90, 100, 140]) {
      const text = budgetTable(budget, { colour: false, width });
      for (const line of text.split("\n")) expect(line.length).toBeLessThanOrEqual(width);
    }
    const text = budgetTable(budget, { colour: false, width: 100 });
    for (const { voltage, expandedUncertainty } of budget.rows) {
      const line = text.split("\n").find((one) => one.trimStart().startsWith(`${voltage} `))!;
      const printed = Number(line.trim().split(/\s+/).at(-1));
      expect(printed).toBeGreaterThanOrEqual(expandedUncertainty!);
      expect(printed).toBeLessThan(expandedUncertainty! + 1e-4);
    }
  });
});

describe("the sentences", () => {
  const calm = (row: BudgetRow): BudgetRow => ({ ...row, validated: true });
  const notesOf = (change: (row: BudgetRow) => BudgetRow) =>
    uncertaintyNotes(budget.rows.map((row) => change(calm(row)))).join("\n");

  test("say nothing odd where nothing is", () => {
    expect(notesOf((row) => row)).not.toMatch(/beyond|fails/);
  });

  test("name the term that makes the expanded figure exceed the proven bound", () => {
    const shares = [{ symbol: "big", part: "p", kind: "production", share: 0.97 } as const];
    const wide = (row: BudgetRow): BudgetRow =>
      row.voltage === 34 ? { ...row, shares, expandedUncertainty: 2 * row.provenError } : row;
    expect(notesOf(wide)).toMatch(/^At 34 V the expanded .*beyond.*big 97 % .*at 34 V/m);
  });

  test("tell a validation that fails by rounding from one that fails otherwise", () => {
    const failed = (kind: "rounding" | "production") => (row: BudgetRow) => ({
      ...row,
      validated: false,
      shares: [{ symbol: "s", part: "p", kind, share: 1 } as const],
    });
    expect(notesOf(failed("rounding"))).toMatch(/^At every voltage .*rounding, up to 100 %/m);
    expect(notesOf(failed("production"))).toMatch(/fails .*not normally distributed/);
  });
});

test("the bars of the shares are the largest shares, and a row without uncertainty has none", async () => {
  const row = budget.rows.find(({ voltage }) => voltage === 34)!;
  const svg = await sharesChart(row, budget.symbols);
  expect(svg).toContain("Shares of the variance of the error at 34 V");
  for (const { share } of row.shares!.slice(0, 8))
    expect(svg).toContain(`${(100 * share).toFixed(1)} %`);
  const { shares: _, ...bare } = row;
  expect(await sharesChart(bare)).toBeUndefined();
});
