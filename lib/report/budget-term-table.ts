import type { SymbolRow } from "./budget-document.ts";
import { decimalsFor, percentOf, textNotBelow } from "./outward-text.ts";
import { printableText } from "./printable-text.ts";
import { termGroups } from "./term-groups.ts";
import type { DemandingRow, TermGroup } from "./term-groups.ts";
import { cutBefore, textTable } from "./text-table.ts";
import type { TextColumn } from "./text-table.ts";

/** Groups shown one by one; the others are summed. */
const SHOWN = 8;

interface TermLine {
  readonly part: string;
  readonly kind: string;
  readonly volts: number;
  /** Meaning of the largest quantity, and how many more there are. */
  readonly largest: string;
  readonly more: number;
}

function meaningOf(group: TermGroup, symbols: readonly SymbolRow[]) {
  const [first, ...others] = group.terms;
  const symbol = symbols.find((one) => one.name === first?.symbol);
  const meaning = symbol === undefined || symbol.meaning === "" ? first?.symbol : symbol.meaning;
  return { largest: printableText(meaning ?? ""), more: others.length };
}

function termLines(
  groups: readonly TermGroup[],
  symbols: readonly SymbolRow[],
): readonly TermLine[] {
  const isLong = groups.length > SHOWN + 1;
  const shown = isLong ? groups.slice(0, SHOWN) : groups;
  const lines = shown.map((group) => ({
    part: printableText(group.part),
    kind: group.kind,
    volts: group.volts,
    ...meaningOf(group, symbols),
  }));
  if (!isLong) return lines;
  const rest = groups.slice(SHOWN);
  const volts = rest.reduce((sum, group) => sum + group.volts, 0);
  const count = rest.reduce((sum, group) => sum + group.terms.length, 0);
  return [...lines, { part: "others", kind: "", volts, largest: `${count} terms`, more: 0 }];
}

function termColumns(
  lines: readonly TermLine[],
  whole: { readonly words: string; readonly volts: number },
): readonly TextColumn<TermLine>[] {
  const decimals = Math.min(4, decimalsFor(lines.map((line) => line.volts)));
  const right = { align: "right" } as const;
  return [
    { head: ["part"], align: "left", most: 22, cell: (line) => line.part },
    { head: ["kind"], align: "left", cell: (line) => line.kind },
    { head: ["error, V"], ...right, cell: (line) => textNotBelow(line.volts, decimals) },
    {
      head: [whole.words],
      ...right,
      cell: (line) => percentOf(line.volts, whole.volts, 1) ?? "-",
    },
    {
      head: ["largest quantity in it"],
      align: "left",
      flexible: { least: 12, overflow: "cut" },
      cell: ({ largest, more }, room) => cutBefore(more === 0 ? "" : ` +${more}`, largest, room),
    },
  ];
}

/**
 * The largest terms of one row by part and kind, as shares of what is allowed there, or of the sum
 * of all where nothing is asked at that voltage.
 */
export function budgetTermTable(
  { row, requirement }: DemandingRow,
  { symbols, width }: { readonly symbols: readonly SymbolRow[]; readonly width: number },
): readonly string[] {
  const lines = termLines(
    termGroups(row).filter((group) => group.volts > 0),
    symbols,
  );
  const allowed = requirement?.limit ?? 0;
  const whole =
    allowed > 0
      ? { words: "% of allowed", volts: allowed }
      : { words: "% of their sum", volts: row.linearSum };
  return textTable(termColumns(lines, whole), lines, width);
}
