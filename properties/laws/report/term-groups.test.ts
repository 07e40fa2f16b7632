// Falsified by a term that is lost or counted twice, a smaller group before a larger one, or a row
// called the hardest while a requirement elsewhere has less margin for what it allows.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { limitNames } from "../../../lib/report/limit-names.ts";
import { demandingRow, termGroups } from "../../../lib/report/term-groups.ts";
import { BUDGET } from "../../support/budget-fixture.ts";
import { budgets } from "./budget-arbitrary.ts";

describe("terms by part and kind", () => {
  test("hold every term once, the largest group first", () => {
    fc.assert(
      fc.property(budgets, (document) => {
        for (const row of document.rows) {
          const groups = termGroups(row);
          const terms = groups.flatMap((group) => group.terms);
          expect(terms).toHaveLength(row.terms.length);
          expect(new Set(terms)).toEqual(new Set(row.terms));
          for (const [place, { part, kind, volts, terms: own }] of groups.entries()) {
            expect(volts).toBeLessThanOrEqual(groups[place - 1]?.volts ?? Infinity);
            expect(own.every((term) => term.part === part && term.kind === kind)).toBe(true);
            const sum = own.reduce((total, term) => total + term.volts, 0);
            expect(volts).toBeCloseTo(sum, 9);
          }
        }
      }),
      { numRuns: 40 },
    );
  });
});

describe("the hardest voltage", () => {
  test("is that of the requirement with the least margin for what it allows", () => {
    const found = demandingRow(BUDGET);
    expect(found?.row.voltage).toBe(60);
    expect(found?.requirement?.id).toBe("R-60");
  });

  test("goes by the share of what is allowed, not by volts", () => {
    const [first, second] = BUDGET.requirements;
    if (first === undefined || second === undefined) throw new Error("fixture is too small");
    const wide = { ...first, voltage: 320, limit: 16, margin: 1 };
    const tight = { ...second, voltage: 45, limit: 30, margin: 1.5 };
    // 1.5 V of 30 V is 5 % to spare, 1 V of 16 V is 6.25 %.
    expect(demandingRow({ ...BUDGET, requirements: [wide, tight] })?.row.voltage).toBe(45);
    const none = { ...first, voltage: 126, limit: 0, margin: -1 };
    expect(demandingRow({ ...BUDGET, requirements: [wide, none] })?.row.voltage).toBe(126);
  });

  test("without requirements is the limit voltage with the largest error for its size", () => {
    const found = demandingRow({ ...BUDGET, requirements: [] });
    // 1.3165 / 34 = 3.87 %, against 3.09 % at 45 V and 2.48 % at 60 V.
    expect(found?.row.voltage).toBe(34);
    expect(found?.requirement).toBeUndefined();
  });

  test("without limit voltages is that of the largest error", () => {
    const rows = BUDGET.rows.map((row) => ({ ...row, limits: [] }));
    expect(demandingRow({ ...BUDGET, rows, requirements: [] })?.row.voltage).toBe(440);
    expect(demandingRow({ ...BUDGET, rows: [] })).toBeUndefined();
  });
});

describe("names of published limits", () => {
  test("put what was read before what was only recalled, and keep what is not known", () => {
    const ids = ["iec-60335-1-22.5-electronic/plug", "own line", "iec-60335-1-22.5/plug"];
    expect(limitNames(ids)).toEqual([
      { name: "own line", isRecalled: false },
      { name: "IEC 60335-1, 22.5", isRecalled: false },
      { name: "IEC 60335-1, 22.5", isRecalled: true },
    ]);
  });
});
