// Falsified by any change of a printed table or of a figure in a chart of a demo design.
import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { DEMOS, demoBudget, expectedOf } from "../../examples/expected.ts";

const committed = (demo: string, file: string): string =>
  readFileSync(new URL(`../../examples/${demo}/expected/${file}`, import.meta.url), "utf8");

test("there are four demo designs", () => {
  expect(DEMOS).toHaveLength(4);
});

test.each(DEMOS)("%s prints the table and draws the chart that are committed", (demo) => {
  const { table, chart } = expectedOf(demoBudget(demo));
  expect(table).toBe(committed(demo, "budget.txt"));
  expect(JSON.parse(chart)).toEqual(JSON.parse(committed(demo, "chart.json")));
});
