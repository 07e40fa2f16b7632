// Falsified by a figure of the chart that is not the document's, a point that is missing or drawn
// twice, or points out of order.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { budgetChartData } from "../../../lib/report/budget-chart-data.ts";
import { BUDGET } from "../../support/budget-fixture.ts";
import { budgets } from "./budget-arbitrary.ts";

const RUNS = { numRuns: 60 };

function isAscending(items: readonly { readonly voltage: number }[]): boolean {
  return items.every(({ voltage }, place) => voltage >= (items[place - 1]?.voltage ?? -Infinity));
}

describe("the figures of the budget chart", () => {
  test("are the proven and witnessed errors of every row, ascending by voltage", () => {
    fc.assert(
      fc.property(budgets, (document) => {
        const data = budgetChartData(document);
        for (const points of [data.proven, data.witnessed, data.limits]) {
          expect(isAscending(points)).toBe(true);
        }
        expect(data.proven).toHaveLength(document.rows.length);
        for (const { voltage, low, high, limits } of document.rows) {
          const isHere = (point: { readonly voltage: number }) => point.voltage === voltage;
          const [proven, witnessed] = [data.proven.find(isHere), data.witnessed.find(isHere)];
          expect(proven).toEqual({ voltage, low: low.proven, high: high.proven });
          expect(witnessed).toEqual({ voltage, low: low.witnessed, high: high.witnessed });
          expect(data.limits.find(isHere)?.ids ?? []).toEqual(limits);
        }
      }),
      RUNS,
    );
  });

  test("are what each other statement permits at the voltage of each row", () => {
    fc.assert(
      fc.property(budgets, (document) => {
        const { statements } = budgetChartData(document);
        expect(statements).toHaveLength(document.comparisons.length);
        for (const [place, { permitted }] of statements.entries()) {
          expect(isAscending(permitted)).toBe(true);
          for (const [order, { voltage }] of document.rows.entries()) {
            const found = permitted.find((point) => point.voltage === voltage);
            expect(found?.error).toBe(document.comparisons[place]?.errors[order]);
          }
        }
      }),
      RUNS,
    );
  });

  test("are what each requirement allows, and the binding side alone where no more is known", () => {
    fc.assert(
      fc.property(budgets, (document) => {
        const { requirements } = budgetChartData(document);
        for (const [place, asked] of document.requirements.entries()) {
          const { voltage, side, limit, permitted, verdict, margin } = asked;
          const drawn = requirements[place];
          expect(drawn).toMatchObject({ number: place + 1, verdict, margin, voltage, side });
          const known =
            permitted?.errors.map((one) => [one.voltage, one.lower, one.upper]) ??
            (side === "high" ? [[voltage, undefined, limit]] : [[voltage, -limit, undefined]]);
          expect(drawn?.allowed.map((one) => [one.voltage, one.low, one.high])).toEqual(known);
          expect(drawn?.over).toBe(permitted?.over ?? "points");
        }
      }),
      RUNS,
    );
  });

  test("are the errors at which the accuracy statement is used up, where it holds", () => {
    const { accuracy } = budgetChartData(BUDGET);
    const voltages = accuracy.branches.map((branch) => branch.map(({ voltage }) => voltage));
    expect(voltages).toEqual([
      [-440, -320, -126, -60, -34],
      [34, 45, 60, 126, 240, 320, 400, 440],
    ]);
    for (const { voltage, low, high } of accuracy.branches.flat()) {
      // |e| = 0.0087 |V + e| + 1.1 V on both sides.
      expect(high).toBeCloseTo(0.0087 * Math.abs(voltage + high) + 1.1, 12);
      expect(-low).toBeCloseTo(0.0087 * Math.abs(voltage + low) + 1.1, 12);
    }
    const whole = { ...BUDGET, statement: { ...BUDGET.statement, from: "0" } };
    expect(budgetChartData(whole).accuracy.branches).toHaveLength(1);
  });

  test("name the limit voltages as a person would", () => {
    const labels = budgetChartData(BUDGET).limits.map(({ label }) => label);
    expect(labels).toEqual(["−60 V", "−34 V", "34 V", "45 V", "60 V", "126 V"]);
  });
});
