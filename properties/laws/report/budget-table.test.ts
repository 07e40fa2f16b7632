// Falsified by a printed bound inside the bound, a verdict that is not there in words or comes
// before what it is conditional on, a line wider than asked, "NaN" or "undefined" in the text, a
// control character of a user that reaches the terminal, or a colour that changes a word.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { InvalidInputError, OutsideDomainError } from "../../../lib/errors.ts";
import { Decimal } from "../../../lib/quantity/decimal.ts";
import type { BudgetDocument } from "../../../lib/report/budget-document.ts";
import { budgetTable } from "../../../lib/report/budget-table.ts";
import { BUDGET } from "../../support/budget-fixture.ts";
import { budgets, HOSTILE_TEXTS } from "./budget-arbitrary.ts";

const PLAIN = { colour: false, width: 100 };
const RULE = /^─+$/;
const VERDICTS = { holds: "holds", doesNotHold: "does not hold", notProven: "not proven" };
/** A document holds dozens of figures and texts, each drawn anew. */
const RUNS = { numRuns: 30 };
const widths = fc.integer({ min: 80, max: 160 });

/** Places on a terminal: the usual wide scripts take two, marks over a letter none. */
function shownWidth(line: string): number {
  const wide = /[\u1100-\u115F\u2E80-\uA4CF\uAC00-\uD7A3\uF900-\uFAFF\uFE30-\uFE6F\uFF00-\uFF60]/u;
  const letters = [...line].filter((character) => !/\p{M}/u.test(character));
  return letters.reduce((sum, character) => sum + (wide.test(character) ? 2 : 1), 0);
}

function linesAfterRule(text: string, title: RegExp): readonly string[] {
  const lines = text.split("\n");
  const head = lines.findIndex((line) => title.test(line));
  const rule = lines.findIndex((line, place) => place >= head && RULE.test(line));
  return head < 0 ? [] : lines.slice(rule + 1);
}

function rowFigures(text: string, document: BudgetDocument): readonly (readonly string[])[] {
  const lines = linesAfterRule(text, /^voltage +proven/).slice(0, document.rows.length);
  return lines.map((line) => line.trim().split(/\s+/).slice(0, 7));
}

const orderOf = (printed: string | undefined, value: number | Decimal) =>
  Decimal.parse(printed ?? "").compare(typeof value === "number" ? Decimal.ofDouble(value) : value);

describe("the table of a budget", () => {
  test("prints every bound at least as wide as it is, and no witness beyond the one found", () => {
    fc.assert(
      fc.property(budgets, widths, (document, width) => {
        const printed = rowFigures(budgetTable(document, { colour: false, width }), document);
        expect(printed).toHaveLength(document.rows.length);
        for (const [place, row] of document.rows.entries()) {
          const [voltage, low, lowWitness, highWitness, high, gap, share] = printed[place] ?? [];
          expect(Number(voltage)).toBe(row.voltage);
          expect(orderOf(low, row.low.proven)).toBeLessThanOrEqual(0);
          expect(orderOf(lowWitness, row.low.witnessed)).toBeGreaterThanOrEqual(0);
          expect(orderOf(highWitness, row.high.witnessed)).toBeLessThanOrEqual(0);
          expect(orderOf(high, row.high.proven)).toBeGreaterThanOrEqual(0);
          const hundred = Decimal.ofInteger(100);
          expect(orderOf(gap, Decimal.ofDouble(row.gap).multiply(hundred))).not.toBe(-1);
          if (row.voltage === 0) expect(share).toBe("-");
          else {
            const covered = Decimal.parse(share ?? "").multiply(Decimal.ofDouble(row.voltage));
            const needed = Decimal.ofDouble(row.provenError).multiply(hundred);
            expect(covered.absolute().compare(needed)).not.toBe(-1);
          }
        }
      }),
      RUNS,
    );
  });

  test("gives every requirement its verdict in words and figures that do not flatter it", () => {
    fc.assert(
      fc.property(budgets, widths, (document, width) => {
        const text = budgetTable(document, { colour: false, width });
        const words = /^(holds|does not hold|not proven) {2,}.* (\S+) +(\S+) +(\S+) +(\S+)$/;
        const found = linesAfterRule(text, /^verdict +requirement/)
          .map((line) => words.exec(line))
          .filter((match) => match !== null)
          .slice(0, document.requirements.length);
        expect(found).toHaveLength(document.requirements.length);
        for (const [place, match] of found.entries()) {
          const asked = document.requirements[place];
          if (asked === undefined) throw new Error("more verdicts than requirements");
          const [, verdict, limit, proven, witnessed, margin] = match;
          expect(verdict).toBe(VERDICTS[asked.verdict]);
          expect(orderOf(limit, asked.limit)).toBeLessThanOrEqual(0);
          expect(orderOf(proven, asked.proven)).toBeGreaterThanOrEqual(0);
          expect(orderOf(witnessed, asked.witnessed)).toBeLessThanOrEqual(0);
          expect(orderOf(margin, asked.margin)).toBeLessThanOrEqual(0);
        }
      }),
      RUNS,
    );
  });

  test("is never wider than asked, and lets no control character of a user through", () => {
    fc.assert(
      fc.property(budgets, widths, (document, width) => {
        const text = budgetTable(document, { colour: false, width });
        for (const line of text.split("\n")) {
          expect(shownWidth(line)).toBeLessThanOrEqual(width);
          expect(line).not.toMatch(/[\p{Cc}\p{Cf}\p{Co}\p{Cs}\u2028\u2029]/u);
          expect(line).not.toMatch(/NaN|undefined|Infinity|\[object/);
        }
      }),
      RUNS,
    );
  });

  test("says the same without colour", () => {
    fc.assert(
      fc.property(budgets, widths, (document, width) => {
        const coloured = budgetTable(document, { colour: true, width });
        const stripped = coloured.replaceAll(/\u001B\[\d+m/g, ""); // oxlint-disable-line no-control-regex
        expect(stripped).toBe(budgetTable(document, { colour: false, width }));
      }),
      RUNS,
    );
    expect(budgetTable(BUDGET, { ...PLAIN, colour: true })).toContain("\u001B[");
  });

  test("states what the verdicts are conditional on before the first of them", () => {
    const text = budgetTable(BUDGET, PLAIN);
    const conditional = text.indexOf("Conditional on: divider.upper[0] voltage coefficient");
    expect(conditional).toBeGreaterThan(0);
    for (const words of ["holds", "does not hold", "not proven"]) {
      expect(text.indexOf(words), words).toBeGreaterThan(conditional);
    }
    const without = budgetTable({ ...BUDGET, conditionalOn: [] }, PLAIN);
    expect(without).not.toContain("Conditional on");
  });

  test("states the accuracy the design can promise, after what it is conditional on", () => {
    const text = budgetTable(BUDGET, PLAIN).replaceAll(/\s+/g, " ");
    const statement = text.indexOf(
      "Accuracy statement, proven: ±(0.87 % of indication + 1.1 V) for 34 V to 440 V",
    );
    expect(statement).toBeGreaterThan(text.indexOf("Conditional on"));
    expect(text).toContain("ends of the curve of pairs ±4.2 V and ±4.1 % of indication");
    expect(text).toContain(BUDGET.statement.objective);
  });

  test("names the hardest voltage, its largest terms, and what common practice would have said", () => {
    const text = budgetTable(BUDGET, PLAIN);
    // 2 % at 60 V misses by the largest share of what it allows: (1.176 - 1.460) / 1.176.
    expect(text).toContain("Largest terms: at 60 V, hardest: 2 % of indication at 60 V");
    // 0.3912 V of 1.176470... V allowed is 33.252 %.
    expect(text).toMatch(/^currents\.clamp +environment +0\.3912 +33\.3 +leakage of the clamp/m);
    // Sum of the fourteen terms of the fixture at 60 V: 1.0533 V + 60 * 0.00592 V.
    expect(text).toMatch(/linear sum 1\.40[89] V/);
    expect(text).toMatch(/falls short of the\s+witnessed error by 5\.3 %/);
  });

  test("marks estimates, searches that ended early and limits that were only recalled", () => {
    const text = budgetTable(BUDGET, PLAIN);
    expect(text).toContain("Estimated, not guaranteed, at 240 V");
    expect(text).toContain("Work limit reached at 126 V");
    expect(text).toMatch(/^ +34 .*IEC 60335-1, 22\.5 \+1\*$/m);
    expect(text).toContain("* recalled and not read in the standard");
    const rows = BUDGET.rows.filter(({ voltage }) => voltage === 320);
    const plain = budgetTable({ ...BUDGET, rows, comparisons: [] }, PLAIN);
    expect(plain).not.toMatch(/Estimated|Work limit|recalled/);
  });

  test("shows other statements beside the design's own proven error, and every caution", () => {
    const text = budgetTable(BUDGET, PLAIN);
    expect(text).toMatch(/^this design, proven +1\.32 +1\.40 +1\.49 +1\.95 +4\.11$/m);
    expect(text).toMatch(/^Recorder with 8 bits: 2 % of span 1000 V .* 20\.00 +below 400 V$/m);
    const flat = text.replaceAll(/\s+/g, " ");
    for (const words of [...BUDGET.notModelled, ...BUDGET.cautions]) expect(flat).toContain(words);
  });

  test("has no percentage of 0 V", () => {
    expect(budgetTable(BUDGET, PLAIN)).toMatch(/^ +0 +-1\.072 .* 1\.070 +0\.10 +-$/m);
  });

  test("fits on two screens", () => {
    expect(budgetTable(BUDGET, PLAIN).split("\n").length).toBeLessThan(75);
  });

  test("refuses a figure that is not finite and a width that holds no table", () => {
    const [row] = BUDGET.rows;
    if (row === undefined) throw new Error("the fixture has rows");
    const broken = { ...row, high: { ...row.high, proven: Number.NaN } };
    expect(() => budgetTable({ ...BUDGET, rows: [broken] }, PLAIN)).toThrow(InvalidInputError);
    for (const width of [79, 401, 100.5, Number.NaN]) {
      expect(() => budgetTable(BUDGET, { colour: false, width })).toThrow(OutsideDomainError);
    }
  });

  test("keeps a hostile name on its line", () => {
    for (const name of HOSTILE_TEXTS) {
      const design = { ...BUDGET.design, name };
      const text = budgetTable({ ...BUDGET, design }, PLAIN);
      expect(text.split("Conditions:")[0]?.split("\n").length).toBeLessThan(6);
    }
  });
});
