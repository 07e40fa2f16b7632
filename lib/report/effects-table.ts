import type { BracketedEffect, Effect, EffectRow } from "../guarantee/effects.ts";
import { Decimal } from "../quantity/decimal.ts";
import { exactDecimal } from "../quantity/exact-decimal.ts";
import { decimalsFor, percentNotBelow, textNotAbove, textNotBelow } from "./outward-text.ts";
import { PageText } from "./page-text.ts";
import type { PageOptions } from "./page-text.ts";
import { printableText } from "./printable-text.ts";
import { textTable } from "./text-table.ts";
import type { TextColumn } from "./text-table.ts";
import { alignedAtPoint, voltageText } from "./voltage-text.ts";

const HUNDRED = Decimal.ofInteger(100);

interface EffectLine {
  /** Filled at the first line of a voltage. */
  readonly voltage: string;
  readonly name: string;
  readonly row: EffectRow;
}

function percentNotAbove(share: number, decimals: number): string {
  return textNotAbove(exactDecimal(share).multiply(HUNDRED), decimals);
}

/** "89.8 to 90.2": the true share lies between; one figure where both print alike. */
function shareText({ ofDesigned }: EffectRow): string {
  if (ofDesigned === undefined) return "-";
  const least = percentNotAbove(ofDesigned.least, 1);
  const most = percentNotBelow(ofDesigned.most, 1);
  return least === most ? least : `${least} to ${most}`;
}

/** Voltage by voltage, so that the lines that belong together stand together. */
function linesOf(effects: readonly BracketedEffect[]): readonly EffectLine[] {
  const rows = effects[0]?.rows ?? [];
  const texts = alignedAtPoint(rows.map((row) => voltageText(row.voltage)));
  return rows.flatMap((_, place) =>
    effects.flatMap(({ name, rows: own }, order): EffectLine[] => {
      const row = own[place];
      if (row === undefined) return [];
      return [{ voltage: order === 0 ? (texts[place] ?? "") : "", name: printableText(name), row }];
    }),
  );
}

function columnsOf(lines: readonly EffectLine[]): readonly TextColumn<EffectLine>[] {
  const decimals = decimalsFor(lines.map(({ row }) => row.provenError));
  const right = { align: "right" } as const;
  return [
    { head: ["voltage", "V"], ...right, cell: ({ voltage }) => voltage },
    {
      head: ["circumstances"],
      align: "left",
      flexible: { least: 12, overflow: "wrap" },
      cell: ({ name }) => name,
    },
    {
      head: ["proven", "low, V"],
      ...right,
      cell: ({ row }) => textNotAbove(row.low.proven, decimals),
    },
    {
      head: ["witnessed", "low, V"],
      ...right,
      cell: ({ row }) => textNotBelow(row.low.witnessed, decimals),
    },
    {
      head: ["witnessed", "high, V"],
      ...right,
      cell: ({ row }) => textNotAbove(row.high.witnessed, decimals),
    },
    {
      head: ["proven", "high, V"],
      ...right,
      cell: ({ row }) => textNotBelow(row.high.proven, decimals),
    },
    { head: ["% of as", "designed"], ...right, cell: ({ row }) => shareText(row) },
  ];
}

function notesOf(effects: readonly Effect[]): readonly string[] {
  const bracketed = effects.filter((effect) => effect.outcome === "bracketed");
  const estimated = bracketed.some(({ guaranteed }) => !guaranteed);
  const stopped = bracketed.filter(({ rows }) => rows.some((row) => row.stopped === "work"));
  const refused = effects.filter((effect) => effect.outcome === "notPossible");
  return [
    "The share is that of the largest error, between its least and its most as both errors are" +
      " bracketed. Everything not named stays as designed.",
    ...(estimated ? ["Estimated, not guaranteed: a figure had no exact decimal."] : []),
    ...stopped.map(
      ({ name }) => `Work limit reached ${name}: bounds may be loose by up to the gap.`,
    ),
    ...refused.map(({ name, reason }) => `Not possible ${name}: ${reason}.`),
  ];
}

/**
 * What the circumstances of a design do to its error, for a person at a terminal: voltage by
 * voltage both sides of the error, and which share of the error as designed it is. Every printed
 * bound is at least the bound; what is not possible stands below with its reason.
 *
 * Throws OutsideDomainError for a width outside 80 to 400, InvalidInputError for a figure that is
 * not finite.
 */
export function effectsTable(effects: readonly Effect[], options: PageOptions): string {
  const page = new PageText(options);
  const lines = linesOf(effects.filter((effect) => effect.outcome === "bracketed"));
  const head = page.list("What adjustment, temperature and time do to the error", [
    "proven and witnessed",
  ]);
  const table =
    lines.length === 0 ? ["no voltages"] : textTable(columnsOf(lines), lines, page.width);
  return page.joined([
    [...head, ...table, ...notesOf(effects).flatMap((one) => page.paragraph(one))],
  ]);
}
