// Falsified by a bar that ends anywhere but at the proven error, a picture that is no well-formed
// SVG whatever the texts are, "NaN" or "undefined" in it, a missing title or text alternative, a
// label outside the picture or over another one, or two runs that differ.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { budgetChartData } from "../../../lib/report/budget-chart-data.ts";
import { budgetChartFrame } from "../../../lib/report/budget-chart-frame.ts";
import { budgetChart, termsChart } from "../../../lib/report/budget-chart.ts";
import type { BudgetDocument } from "../../../lib/report/budget-document.ts";
import { textWidth } from "../../../lib/report/chart-text.ts";
import { axisShare } from "../../../lib/report/symmetric-log.ts";
import { termBars } from "../../../lib/report/terms-chart.ts";
import { BUDGET } from "../../support/budget-fixture.ts";
import { budgets, HOSTILE_TEXTS } from "./budget-arbitrary.ts";

const RUNS = { numRuns: 25 };
const TAG = /<(\/?)([A-Za-z][\w:-]*)((?:\s+[\w:-]+="[^"<]*")*)\s*(\/?)>/g;
const TEXT = /^(?:[^<&]|&(?:amp|lt|gt|quot|apos|#\d+);)*$/;

/** Whether tags nest and no text or attribute holds a bare < or &: XML 1.0, 2.1 and 2.4. */
function isWellFormed(svg: string): boolean {
  const open: string[] = [];
  let end = 0;
  for (const match of svg.trim().matchAll(TAG)) {
    const [whole, closing, name = "", attributes = "", alone] = match;
    if (!TEXT.test(svg.slice(end, match.index)) || !TEXT.test(attributes)) return false;
    end = match.index + whole.length;
    if (closing === "/" && open.pop() !== name) return false;
    if (closing === "" && alone === "") open.push(name);
  }
  return open.length === 0 && svg.slice(end).trim() === "";
}

function textBetween(svg: string, element: string): string {
  return new RegExp(`<${element} id="[^"]*">([^<]*)</${element}>`).exec(svg)?.[1] ?? "";
}

function idsOf(svg: string): readonly (string | undefined)[] {
  return [...svg.matchAll(/ id="([^"]*)"/g)].map(([, id]) => id);
}

function heightOf(svg: string): number {
  return Number(/viewBox="0 0 900 ([\d.]+)"/.exec(svg)?.[1]);
}

/** Names at the right of the plot: x, y, and the text with its entities as one character each. */
function rightLabels(svg: string) {
  return [...svg.matchAll(/<tspan dy="0.35em" y="([^"]*)" x="([^"]*)">([^<]*)</g)].map((match) => ({
    y: Number(match[1]),
    x: Number(match[2]),
    text: (match[3] ?? "").replaceAll(/&[^;]+;/g, "W"),
  }));
}

/** Checks that no name leaves the picture or touches the next; returns their number of lines. */
async function checkedLabels(document: BudgetDocument): Promise<number> {
  const svg = await budgetChart(document);
  const { plot } = budgetChartFrame(budgetChartData(document));
  const labels = rightLabels(svg).sort((one, other) => one.y - other.y);
  for (const [place, { x, y, text }] of labels.entries()) {
    expect(x + textWidth(text, 11)).toBeLessThanOrEqual(900);
    expect(y).toBeGreaterThanOrEqual((labels[place - 1]?.y ?? 0) + 13.9);
    expect(y).toBeLessThanOrEqual(plot.bottom + 10);
  }
  return labels.length;
}

describe("the chart of error against voltage", () => {
  test("ends each bar where the proven error stands on its axis", async () => {
    const data = budgetChartData(BUDGET);
    const { plot, inset, voltage, error } = budgetChartFrame(data);
    const svg = await budgetChart(BUDGET);
    const caps = [...svg.matchAll(/M([\d.]+),([\d.]+)h12/g)].map(([, x, y]) => [
      Number(x) + 6,
      Number(y),
    ]);
    const width = plot.right - plot.left - 2 * inset;
    for (const { voltage: volts, low, high } of data.proven) {
      for (const end of [low, high]) {
        const x = plot.left + inset + width * axisShare(volts, voltage);
        const y = plot.bottom - (plot.bottom - plot.top) * axisShare(end, error);
        const nearest = Math.min(...caps.map(([a = 0, b = 0]) => Math.hypot(a - x, b - y)));
        expect(nearest, `${volts} V, ${end} V`).toBeLessThan(0.02);
      }
    }
  });

  test("is well-formed, finite and small whatever the figures and texts are", async () => {
    await fc.assert(
      fc.asyncProperty(budgets, async (document) => {
        const svg = await budgetChart(document);
        expect(isWellFormed(svg)).toBe(true);
        expect(svg).not.toMatch(/NaN|undefined|Infinity|\[object/);
        // Stricter than XML 1.0, 2.2, which allows some of them.
        expect(svg.replaceAll("\n", "")).not.toMatch(/[\p{Cc}\p{Cs}\uFFFE\uFFFF]/u);
        expect(svg.length).toBeLessThan(100_000);
        expect(svg.startsWith("<svg ")).toBe(true);
        expect(svg).toContain('xmlns="http://www.w3.org/2000/svg"');
      }),
      RUNS,
    );
  });

  test("keeps the names of its lines inside the picture and apart", async () => {
    await fc.assert(
      fc.asyncProperty(budgets, async (document) => {
        await checkedLabels(document);
      }),
      RUNS,
    );
    const text = "a long description of an instrument that goes on over several lines";
    const crowd = Array.from({ length: 14 }, (_, place) => ({
      name: `Statement ${place}`,
      text,
      errors: BUDGET.rows.map(() => 2 + place / 10),
      exceedsFivePercentBelow: "never" as const,
    }));
    expect(await checkedLabels({ ...BUDGET, comparisons: crowd })).toBeGreaterThan(40);
  });

  test("escapes every text of the document", async () => {
    for (const text of HOSTILE_TEXTS) {
      const [first] = BUDGET.requirements;
      const [statement] = BUDGET.comparisons;
      if (first === undefined || statement === undefined) throw new Error("fixture is too small");
      const document: BudgetDocument = {
        ...BUDGET,
        design: { ...BUDGET.design, name: text, revision: text },
        requirements: [{ ...first, text, id: text, source: text }],
        comparisons: [{ ...statement, name: text, text }],
        conditionalOn: [text],
      };
      const svg = await budgetChart(document);
      expect(isWellFormed(svg), text).toBe(true);
      expect(svg).not.toMatch(/<script|<b /);
    }
    const design = { ...BUDGET.design, name: 'A < B & "C"' };
    expect(textBetween(await budgetChart({ ...BUDGET, design }), "title")).toContain(
      "A &lt; B &amp;",
    );
  });

  test("has a title and a text alternative with the main figures and the verdicts", async () => {
    const svg = await budgetChart(BUDGET);
    expect(svg).toMatch(/ role="img"/);
    expect(svg).toContain('aria-labelledby="error-chart-title error-chart-description"');
    expect(textBetween(svg, "title")).toBe(
      "Error of indication against voltage: Fixture tester F1, revision C",
    );
    const words = textBetween(svg, "desc");
    expect(words).toContain("at 34 V from -1.300 V to 1.317 V");
    expect(words).toContain("2 % of indication at 60 V: does not hold, margin -0.284 V");
    expect(words).toContain("Recorder with 8 bits: 2 % of span 1000 V permits 20 V to 20 V");
    const conditional = words.indexOf("Conditional on divider.upper[0] voltage coefficient");
    expect(conditional).toBeGreaterThan(0);
    expect(conditional).toBeLessThan(words.indexOf("does not hold"));
    for (const verdict of [">holds: ", ">does not hold: ", ">not proven: "]) {
      expect(svg).toContain(verdict);
    }
  });

  test("says which statement lies outside the plot, and stays readable for the design", async () => {
    const far = { name: "Range instrument", text: "20 % of span 4000 V" } as const;
    const errors = BUDGET.rows.map(() => 800);
    const comparisons = [{ ...far, errors, exceedsFivePercentBelow: "always" as const }];
    const document = { ...BUDGET, comparisons };
    expect((await budgetChart(document)).replaceAll(/<[^>]*>/g, " ")).toMatch(
      /outside the plot, up +(?:to )? *(?:to )?±800 +V:/,
    );
    const { plot, error } = budgetChartFrame(budgetChartData(document));
    const height = (plot.bottom - plot.top) * (axisShare(1.3, error) - axisShare(-1.3, error));
    expect(height).toBeGreaterThan(50);
  });

  test("is the same twice, and shares no identifier with the chart of terms", async () => {
    const [row] = BUDGET.rows;
    if (row === undefined) throw new Error("the fixture has rows");
    const [first, second] = [await budgetChart(BUDGET), await budgetChart(BUDGET)];
    expect(second).toBe(first);
    const ids = [...idsOf(first), ...idsOf(await termsChart(row))];
    expect(new Set(ids).size).toBe(ids.length);
    for (const [, used] of first.matchAll(/url\(#([^)]*)\)/g)) expect(ids).toContain(used);
  });

  test("can be drawn of one voltage and of none", async () => {
    for (const count of [0, 1]) {
      const rows = BUDGET.rows.slice(0, count);
      const svg = await budgetChart({ ...BUDGET, rows, requirements: [], comparisons: [] });
      expect(isWellFormed(svg)).toBe(true);
      expect(heightOf(svg)).toBeGreaterThan(500);
      expect(svg).not.toMatch(/NaN|undefined/);
    }
  });
});

describe("the chart of the largest terms", () => {
  test("has a bar for each of the largest terms and one for the rest, none lost", () => {
    fc.assert(
      fc.property(budgets, ({ rows }) => {
        for (const row of rows) {
          const bars = termBars(row);
          expect(bars.length).toBeLessThanOrEqual(11);
          const drawn = bars.reduce((sum, { volts }) => sum + volts, 0);
          const given = row.terms.reduce((sum, { volts }) => sum + volts, 0);
          expect(drawn).toBeCloseTo(given, 9);
          const own = bars.filter(({ origin }) => origin !== "").map(({ volts }) => volts);
          expect(own).toEqual([...own].sort((one, other) => other - one));
        }
      }),
      { numRuns: 40 },
    );
    const [row] = BUDGET.rows;
    if (row === undefined) throw new Error("the fixture has rows");
    const own = row.terms.map(({ volts }) => volts);
    const bars = termBars(row, BUDGET.symbols);
    expect(own).toHaveLength(14);
    expect(bars.slice(0, 10).map(({ volts }) => volts)).toEqual(own.slice(0, 10));
    const rest = own.slice(10).reduce((sum, volts) => sum + volts, 0);
    expect(bars[10]).toEqual({ meaning: "4 smaller terms together", origin: "", volts: rest });
  });

  test("states volts and shares of what is allowed, and reads without the picture", async () => {
    const row = BUDGET.rows.find(({ voltage }) => voltage === 34);
    if (row === undefined) throw new Error("the fixture has a row at 34 V");
    const svg = await termsChart(row, { symbols: BUDGET.symbols, allowed: 1.6190476190476188 });
    expect(isWellFormed(svg)).toBe(true);
    // 0.3912 V of 1.61905 V is 24.163 %, printed upward.
    expect(svg).toContain(">0.3912 V, 24.2 %<");
    expect(svg).toContain("% of the allowed error");
    expect(textBetween(svg, "title")).toBe("Largest terms of the error at 34 V");
    expect(textBetween(svg, "desc")).toContain("leakage of the clamp at the node (currents.clamp");
    expect(await termsChart(row)).toContain("% of their sum");
  });

  test("is well-formed whatever the texts are", async () => {
    await fc.assert(
      fc.asyncProperty(budgets, async ({ rows }) => {
        const [row] = rows;
        if (row === undefined) return;
        const svg = await termsChart(row);
        expect(isWellFormed(svg)).toBe(true);
        expect(svg).not.toMatch(/NaN|undefined|Infinity/);
      }),
      RUNS,
    );
  });
});
