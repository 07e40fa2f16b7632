import { createHash } from "node:crypto";
import { mkdirSync, readFileSync, readdirSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { budgetChartData, budgetOf, budgetTable, readDesign } from "../lib/index.ts";
import type { BudgetDocument } from "../lib/index.ts";

/** Folders of the demo designs that make a budget. */
export const DEMOS: readonly string[] = readdirSync(new URL(".", import.meta.url)).filter((name) =>
  /^0[1-4]-/.test(name),
);

/** Budget of a demo design. */
export function demoBudget(demo: string): BudgetDocument {
  const bytes = readFileSync(new URL(`${demo}/design.json`, import.meta.url));
  const sha256 = createHash("sha256").update(bytes).digest("hex");
  return budgetOf(readDesign(JSON.parse(bytes.toString("utf8"))), {
    sha256,
    version: "demo",
    uncertainty: {},
  });
}

/** Figures with six digits: the last ones of a double may differ between engines. */
function sixDigits(value: unknown): unknown {
  return typeof value === "number" ? Number(value.toPrecision(6)) : value;
}

/** The table and the data of the chart, as they are committed. */
export function expectedOf(budget: BudgetDocument): {
  readonly table: string;
  readonly chart: string;
} {
  const table = `${budgetTable(budget, { colour: false, width: 100 })}\n`;
  const data = budgetChartData(budget);
  return { table, chart: `${JSON.stringify(data, (_, value) => sixDigits(value), 1)}\n` };
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  for (const demo of DEMOS) {
    const folder = new URL(`${demo}/expected/`, import.meta.url);
    mkdirSync(folder, { recursive: true });
    const { table, chart } = expectedOf(demoBudget(demo));
    writeFileSync(new URL("budget.txt", folder), table);
    writeFileSync(new URL("chart.json", folder), chart);
  }
}
