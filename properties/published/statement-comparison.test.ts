// Falsified by: a percentage of the indication, or a voltage below which a statement permits more
// than a share, that differs from the arithmetic of the trade's usual statements.
// The statements are common practice, no source; the arithmetic is checked.
import { describe, expect, test } from "vitest";
import { compareStatements } from "../../lib/decision/comparison.ts";
import type { AccuracyStatement } from "../../lib/design/accuracy-statement.ts";
import { InvalidInputError } from "../../lib/errors.ts";
import { Decimal } from "../../lib/quantity/decimal.ts";
import { comparisonChart, comparisonTable } from "../../lib/report/comparison-table.ts";
import { lineChart } from "../../lib/report/line-chart.ts";

const decimal = (text: string): Decimal => Decimal.parse(text);
const OF_SPAN: AccuracyStatement = {
  kind: "fiducial",
  name: "recorder",
  share: decimal("0.015"),
  fiducial: "span",
  value: decimal("800"),
};
const OF_READING: AccuracyStatement = {
  kind: "indication",
  name: "tester",
  share: decimal("0.02"),
  volts: decimal("0.8"),
};
const COARSE: AccuracyStatement = {
  kind: "indication",
  name: "meter",
  share: decimal("0.015"),
  volts: decimal("4"),
};
const EIGHT_BITS: AccuracyStatement = {
  kind: "resolution",
  name: "8 bits",
  bits: 8,
  span: decimal("800"),
  codes: "one",
};
const ALL = [OF_READING, OF_SPAN, COARSE, EIGHT_BITS];

describe("accuracy statements side by side", () => {
  const { statements } = compareStatements(ALL, { voltages: [30, 34, 50, 126], share: 0.05 });
  const percent = (statement: number, voltage: number) =>
    100 * statements[statement]!.shares[voltage]!;

  test("1.5 % of an 800 V span are 12 V: 9.5 % of 126 V and 35 % of 34 V", () => {
    expect(statements[1]!.errors).toEqual([12, 12, 12, 12]);
    expect(percent(1, 3)).toBeCloseTo(9.52, 2);
    expect(percent(1, 1)).toBeCloseTo(35.29, 2);
    expect(statements[1]!.exceedsBelow).toBeCloseTo(240, 9);
    expect(statements[1]!.text).toBe("±1.5 % of the span 800 V");
  });

  test("2 % of reading and 0.8 V: 4.67 % at 30 V, 4.35 % at 34 V, 2.63 % at 126 V", () => {
    expect(percent(0, 0)).toBeCloseTo(4.67, 2);
    expect(percent(0, 1)).toBeCloseTo(4.35, 2);
    expect(percent(0, 3)).toBeCloseTo(2.63, 2);
    expect(statements[0]!.exceedsBelow).toBeCloseTo(0.8 / 0.03, 9);
  });

  test("1.5 % of reading and 4 V: 9.5 % at 50 V", () => {
    expect(percent(2, 2)).toBeCloseTo(9.5, 9);
  });

  test("8 bits over 800 V: 3.125 V for one code, resolution alone", () => {
    expect(statements[3]!.errors[0]).toBe(3.125);
    expect(statements[3]!.text).toContain("resolution alone");
  });

  test("the voltage below which a share is passed is where it is passed", () => {
    for (const share of [0.02, 0.03, 0.05, 0.1]) {
      for (const { exceedsBelow, name } of compareStatements(ALL, { share }).statements) {
        if (typeof exceedsBelow !== "number") continue;
        const statement = ALL.find((one) => one.name === name)!;
        const around = [exceedsBelow * 0.999, exceedsBelow * 1.001];
        const [below, above] = compareStatements([statement], { voltages: around }).statements[0]!
          .shares as [number, number];
        expect(below).toBeGreaterThan(share);
        expect(above).toBeLessThan(share);
      }
    }
    expect(compareStatements([OF_READING], { share: 0.02 }).statements[0]!.exceedsBelow).toBe(
      "always",
    );
  });

  test("table and picture say what is compared, and name every fiducial value", async () => {
    const comparison = compareStatements(ALL);
    const table = comparisonTable(comparison, { colour: false, width: 100 });
    expect(table.replaceAll(/\s+/g, " ")).toContain("loading of the product");
    expect(table).toContain("recorder");
    expect(table.replaceAll(/\s+/g, " ")).toContain("the span 800 V");
    const picture = await lineChart(comparisonChart(ALL));
    for (const { name } of ALL) expect(picture).toContain(`>${name}<`);
    expect(picture).not.toMatch(/NaN|Infinity|undefined/);
    expect(await lineChart(comparisonChart(ALL))).toBe(picture);
  });

  test("bad questions are refused, all faults at once", () => {
    expect(() => compareStatements([], { share: 0, voltages: [3, 2] })).toThrow(/3 faults/);
    expect(() => compareStatements(ALL, { voltages: [] })).toThrow(InvalidInputError);
  });
});
