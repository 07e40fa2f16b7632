import type { BudgetDocument, ComparisonRow } from "./budget-document.ts";
import { decimalsFor, textNotAbove, textNotBelow } from "./outward-text.ts";
import { printableText } from "./printable-text.ts";
import { textTable } from "./text-table.ts";
import type { TextColumn } from "./text-table.ts";
import { foundVoltageText, voltageText } from "./voltage-text.ts";

/** Voltages that fit beside a name. */
const SHOWN_VOLTAGES = 5;

interface StatementLine {
  readonly name: string;
  /** Largest error by place of the row; the design's own is proven. */
  readonly errors: readonly number[];
  readonly isOwn: boolean;
  readonly reach: string;
}

function reachText(reach: ComparisonRow["exceedsFivePercentBelow"]): string {
  if (reach === "never") return "nowhere";
  if (reach === "always") return "everywhere";
  return `below ${foundVoltageText(reach)} V`;
}

/** Places of the limit voltages and of the greatest voltage, at most five, spread evenly. */
function shownPlaces({ rows }: BudgetDocument): readonly number[] {
  const isUpward = rows.some((row) => row.voltage > 0);
  const places = rows.map((_, place) => place);
  const sided = places.filter((place) => (rows[place]?.voltage ?? 0) > 0 === isUpward);
  const sorted = sided.sort(
    (one, other) => Math.abs(rows[one]?.voltage ?? 0) - Math.abs(rows[other]?.voltage ?? 0),
  );
  const wanted = sorted.filter(
    (place, order) => (rows[place]?.limits.length ?? 0) > 0 || order === sorted.length - 1,
  );
  const pool = wanted.length >= 2 ? wanted : sorted;
  if (pool.length <= SHOWN_VOLTAGES) return pool;
  const step = (pool.length - 1) / (SHOWN_VOLTAGES - 1);
  return Array.from({ length: SHOWN_VOLTAGES }, (_, order) => pool[Math.round(order * step)] ?? 0);
}

/** Another instrument's promise is printed not above, the design's own error not below. */
function comparisonColumns(
  document: BudgetDocument,
  lines: readonly StatementLine[],
): readonly TextColumn<StatementLine>[] {
  const places = shownPlaces(document);
  const shown = lines.flatMap((line) => places.map((place) => line.errors[place] ?? 0));
  const decimals = Math.min(2, decimalsFor(shown));
  const errorAt = (line: StatementLine, place: number): string => {
    const error = line.errors[place];
    if (error === undefined) return "-";
    return line.isOwn ? textNotBelow(error, decimals) : textNotAbove(error, decimals);
  };
  return [
    {
      head: ["error, V, at"],
      align: "left",
      flexible: { least: 10, overflow: "wrap" },
      cell: (line) => line.name,
    },
    ...places.map((place): TextColumn<StatementLine> => {
      const voltage = voltageText(document.rows[place]?.voltage ?? 0);
      return {
        head: [`${voltage} V`],
        align: "right",
        cell: (line) => errorAt(line, place),
      };
    }),
    { head: ["above 5 %"], align: "left", cell: (line) => line.reach },
  ];
}

/** The design's own proven error beside what other statements permit at the same voltages. */
export function budgetComparisonTable(document: BudgetDocument, width: number): readonly string[] {
  const own: StatementLine = {
    name: "this design, proven",
    errors: document.rows.map((row) => row.provenError),
    isOwn: true,
    reach: "",
  };
  const others = document.comparisons.map((one) => ({
    name: printableText(one.text === "" ? one.name : `${one.name}: ${one.text}`),
    errors: one.errors,
    isOwn: false,
    reach: reachText(one.exceedsFivePercentBelow),
  }));
  const lines = [own, ...others];
  return textTable(comparisonColumns(document, lines), lines, width);
}
