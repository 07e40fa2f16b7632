import { compareStatements } from "../decision/comparison.ts";
import type { ComparedStatement, Comparison } from "../decision/comparison.ts";
import type { AccuracyStatement } from "../design/accuracy-statement.ts";
import { formatFixed, formatQuantity } from "../quantity/format.ts";
import type { LineChart } from "./line-chart.ts";
import { PageText } from "./page-text.ts";
import type { PageOptions } from "./page-text.ts";
import { printableText } from "./printable-text.ts";
import { textTable } from "./text-table.ts";
import type { TextColumn } from "./text-table.ts";
import { voltageText } from "./voltage-text.ts";

function reach(at: ComparedStatement["exceedsBelow"]): string {
  if (at === "never") return "nowhere";
  return at === "always" ? "everywhere" : `below ${formatFixed(at, 1)} V`;
}

/**
 * Accuracy statements side by side for a person at a terminal: percent of the indication at each
 * voltage, and the voltage below which each permits more than the share asked for.
 *
 * Throws OutsideDomainError for a width outside 80 to 400.
 */
export function comparisonTable(comparison: Comparison, options: PageOptions): string {
  const page = new PageText(options);
  const { voltages, statements, share, scope } = comparison;
  const columns: readonly TextColumn<ComparedStatement>[] = [
    {
      head: ["% of indication at"],
      align: "left",
      flexible: { least: 16, overflow: "wrap" },
      cell: ({ name, text }) => printableText(name === "" ? text : `${name}: ${text}`),
    },
    ...voltages.map((voltage, index): TextColumn<ComparedStatement> => ({
      head: [`${voltageText(voltage)} V`],
      align: "right",
      cell: ({ shares }) => formatFixed(100 * shares[index]!, 2),
    })),
    {
      head: [`above ${formatQuantity(share, "ratio")}`],
      align: "left",
      cell: ({ exceedsBelow }) => reach(exceedsBelow),
    },
  ];
  return page.joined([[...textTable(columns, statements, page.width), ...page.paragraph(scope)]]);
}

/** Voltages of the lines, 24 to the decade. */
function drawnVoltages(from: number, to: number): readonly number[] {
  const count = Math.max(2, Math.ceil(24 * Math.log10(to / from)));
  return Array.from({ length: count + 1 }, (_, step) =>
    Number((from * (to / from) ** (step / count)).toPrecision(5)),
  );
}

/** The same as a picture: percent of the indication over the voltage. */
export function comparisonChart(
  statements: readonly AccuracyStatement[],
  options: { readonly share?: number; readonly from?: number; readonly to?: number } = {},
): LineChart {
  const { share = 0.05, from = 10, to = 450 } = options;
  const { statements: compared, voltages } = compareStatements(statements, {
    share,
    voltages: drawnVoltages(from, to),
  });
  const percent = formatQuantity(share, "ratio");
  return {
    title: "Accuracy statements against voltage",
    subtitle:
      "Permitted error of indication, each for its own conditions; loading is not part of it.",
    xLabel: "indication, V",
    yLabel: "% of indication",
    logarithmic: { x: true, y: true },
    lines: [
      ...compared.map(({ name, text, shares }) => ({
        name: name === "" ? text : name,
        points: voltages.map((x, index) => ({ x, y: 100 * shares[index]! })),
      })),
      {
        name: `${percent} of the indication`,
        points: [from, to].map((x) => ({ x, y: 100 * share })),
      },
    ].filter(({ points }) => points.every(({ y }) => y > 0)),
    prefix: "comparison-chart",
  };
}
