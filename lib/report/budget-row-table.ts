import { EDITION_ADVICE } from "../design/published-limit.ts";
import { printDown, printUp } from "../quantity/format.ts";
import type { BudgetRow } from "./budget-document.ts";
import { limitNames } from "./limit-names.ts";
import {
  decimalsFor,
  percentNotBelow,
  percentOf,
  textNotAbove,
  textNotBelow,
} from "./outward-text.ts";
import { printableText } from "./printable-text.ts";
import { cutBefore, tableWidth, textTable } from "./text-table.ts";
import type { TextColumn } from "./text-table.ts";
import { uncertaintyNotes, percentText } from "./uncertainty-notes.ts";
import { alignedAtPoint, voltageText } from "./voltage-text.ts";

/** Marks a limit that was recalled and not read. */
const RECALLED = "*";
/** Characters for the limits of one voltage. */
const LIMIT_ROOM = 48;

/** "IEC 60335-1, 22.5 +1*": the first limit by name, the rest by number. */
function limitText(ids: readonly string[], room: number): string {
  const names = limitNames(ids);
  const [first, ...others] = names;
  if (first === undefined) return "";
  const more = others.length === 0 ? "" : ` +${others.length}`;
  const mark = names.some((one) => one.isRecalled) ? RECALLED : "";
  return cutBefore(`${more}${mark}`, printableText(first.name), room);
}

const right = { align: "right" } as const;

type Columns = readonly TextColumn<BudgetRow>[];

/** A rounded indication less a voltage leaves a rest far behind the point, which says nothing. */
function settled(value: number): number {
  return Number(value.toPrecision(12));
}

/** The probabilistic figures, never rounded to the smaller side. */
function uncertaintyColumns(rows: readonly BudgetRow[], decimals: number): Columns {
  if (rows.some((row) => row.coverageInterval === undefined)) return [];
  const percent = percentText(rows[0]?.coverageProbability ?? 0);
  return [
    {
      head: [percent, "low, V"],
      ...right,
      cell: ({ coverageInterval }) => printDown(settled(coverageInterval?.lower ?? 0), decimals),
    },
    {
      head: [percent, "high, V"],
      ...right,
      cell: ({ coverageInterval }) => printUp(settled(coverageInterval?.upper ?? 0), decimals),
    },
    {
      head: ["expanded", "\u00B1, V"],
      ...right,
      cell: ({ expandedUncertainty }) => textNotBelow(expandedUncertainty ?? 0, decimals),
    },
  ];
}

function voltageCells(rows: readonly BudgetRow[]): ReadonlyMap<BudgetRow, string> {
  const texts = alignedAtPoint(rows.map((row) => voltageText(row.voltage)));
  return new Map(rows.map((row, place) => [row, texts[place] ?? ""]));
}

/**
 * The columns in their order. Where a line has no room for all, the figures that follow from
 * others are left out first, then those that are no bounds.
 */
function rowColumns(rows: readonly BudgetRow[], width: number): Columns {
  const decimals = decimalsFor(rows.map((row) => row.provenError));
  const voltages = voltageCells(rows);
  const bracket: Columns = [
    { head: ["voltage", "V"], ...right, cell: (row) => voltages.get(row) ?? "" },
    { head: ["proven", "low, V"], ...right, cell: ({ low }) => textNotAbove(low.proven, decimals) },
    {
      head: ["witnessed", "low, V"],
      ...right,
      cell: ({ low }) => textNotBelow(low.witnessed, decimals),
    },
    {
      head: ["witnessed", "high, V"],
      ...right,
      cell: ({ high }) => textNotAbove(high.witnessed, decimals),
    },
    {
      head: ["proven", "high, V"],
      ...right,
      cell: ({ high }) => textNotBelow(high.proven, decimals),
    },
  ];
  const derived: Columns = [
    { head: ["gap", "%"], ...right, cell: (row) => percentNotBelow(row.gap, 2) },
    {
      head: ["proven, %", "of voltage"],
      ...right,
      cell: (row) => percentOf(row.provenError, row.voltage, 2) ?? "-",
    },
  ];
  const probable = uncertaintyColumns(rows, decimals);
  const choices = [
    [...bracket, ...derived, ...probable],
    [...bracket, ...derived.slice(0, 1), ...probable],
    [...bracket, ...probable],
    [...bracket, ...derived],
  ];
  return choices.find((columns) => tableWidth(columns, rows) <= width) ?? bracket;
}

/** Names of limits, in the room that is left. */
const LIMIT_COLUMN: TextColumn<BudgetRow> = {
  head: ["published limit there"],
  align: "left",
  flexible: { least: 8, overflow: "cut" },
  cell: (row, room) => limitText(row.limits, room),
};
/** With less room the limits stand below the table. */
const LEAST_LIMIT_ROOM = 20;

/** The published limits at the voltages of the rows, each voltage once. */
function limitList(rows: readonly BudgetRow[]): string {
  const named = rows.filter(({ limits }) => limits.length > 0);
  const sizes = [...new Set(named.map(({ voltage }) => Math.abs(voltage)))];
  const entries = sizes
    .sort((one, other) => one - other)
    .map((size) => {
      const row = named.find(({ voltage }) => Math.abs(voltage) === size);
      return `${voltageText(size)} V ${limitText(row?.limits ?? [], LIMIT_ROOM)}`;
    });
  return entries.length === 0 ? "" : `Published limits at these voltages: ${entries.join("; ")}.`;
}

function voltageList(rows: readonly BudgetRow[]): string {
  return rows.map((row) => `${voltageText(row.voltage)} V`).join(", ");
}

/** The band of one row as an example: the lowest limit voltage above 0 V, or the first row. */
function bandSentence(rows: readonly BudgetRow[]): string {
  const limits = rows.filter((row) => row.limits.length > 0 && row.voltage > 0);
  const row = [...limits].sort((one, other) => one.voltage - other.voltage)[0] ?? rows[0];
  if (row === undefined) return "";
  const band = `${printableText(row.band.lower)} V to ${printableText(row.band.upper)} V`;
  return ` The row of ${voltageText(row.voltage)} V stands for ${band}, the others likewise.`;
}

/** What a reader must know to read the figures right; only what applies. */
function rowNotes(rows: readonly BudgetRow[]): readonly string[] {
  const estimated = rows.filter((row) => !row.guaranteed);
  const stopped = rows.filter((row) => row.stopped === "work");
  const isRecalled = rows.some((row) => limitNames(row.limits).some((one) => one.isRecalled));
  return [
    "Error is indication minus true voltage. Within the declared limits none passes a proven" +
      ` figure; a witnessed one is reached.${bandSentence(rows)}`,
    ...(estimated.length === 0
      ? []
      : [
          `Estimated, not guaranteed, at ${voltageList(estimated)}: a figure had no exact decimal.`,
        ]),
    ...(stopped.length === 0
      ? []
      : [
          `Work limit reached at ${voltageList(stopped)}: the bound may be loose by up to the gap.`,
        ]),
    ...uncertaintyNotes(rows),
    ...(isRecalled ? [`${RECALLED} ${EDITION_ADVICE}.`] : []),
  ];
}

/** The table with one row per voltage, and the notes below it. */
export function budgetRowTable(
  rows: readonly BudgetRow[],
  width: number,
): { readonly table: readonly string[]; readonly notes: readonly string[] } {
  if (rows.length === 0) return { table: ["no voltages"], notes: [] };
  const columns = rowColumns(rows, width);
  const [first = "", ...notes] = rowNotes(rows);
  if (width - tableWidth([...columns], rows) >= 2 + LEAST_LIMIT_ROOM)
    return { table: textTable([...columns, LIMIT_COLUMN], rows, width), notes: [first, ...notes] };
  const list = [limitList(rows)].filter((text) => text !== "");
  return { table: textTable(columns, rows, width), notes: [first, ...list, ...notes] };
}
