import type { BudgetRow, ShareRow, SymbolRow } from "./budget-document.ts";
import { printableText } from "./printable-text.ts";
import { cutBefore, textTable } from "./text-table.ts";
import { OCCASION_WORDS } from "./occasion-words.ts";

/** Shares shown one by one; the others are summed. */
const SHOWN = 8;
/** Characters of the bar of the whole variance. */
const BAR = 24;

interface ShareLine {
  readonly words: string;
  readonly part: string;
  /** The part, and the reading that the quantity belongs to. */
  readonly origin: string;
  readonly share: number;
  readonly total?: number;
}

/** The largest shares, and the others together. */
export function shareLines(
  shares: readonly ShareRow[],
  symbols: readonly SymbolRow[],
): readonly ShareLine[] {
  const known = new Map(symbols.map((symbol) => [symbol.name, symbol]));
  const shown = shares.length > SHOWN + 1 ? shares.slice(0, SHOWN) : shares;
  const rest = shares.slice(shown.length);
  const lines = shown.map(({ symbol, part, share, total }) => {
    const { meaning = "", occasion = "all" } = known.get(symbol) ?? {};
    const words = printableText(meaning === "" ? symbol : meaning);
    const origin = printableText(`${part}${OCCASION_WORDS[occasion]}`);
    return {
      words,
      part: printableText(part),
      origin,
      share,
      ...(total === undefined ? {} : { total }),
    };
  });
  if (rest.length === 0) return lines;
  const share = rest.reduce((sum, one) => sum + one.share, 0);
  return [...lines, { words: `${rest.length} smaller ones together`, part: "", origin: "", share }];
}

function percent(share: number | undefined): string {
  return share === undefined ? "-" : (100 * share).toFixed(1);
}

/** Which quantities make the variance of the error at one voltage, with bars. */
export function shareTable(
  { shares = [] }: BudgetRow,
  { symbols, width }: { readonly symbols: readonly SymbolRow[]; readonly width: number },
): readonly string[] {
  const lines = shareLines(shares, symbols);
  const right = { align: "right" } as const;
  return textTable<ShareLine>(
    [
      { head: ["share", "%"], ...right, cell: ({ share }) => percent(share) },
      ...(shares.some(({ total }) => total !== undefined)
        ? [{ head: ["total", "%"], ...right, cell: ({ total }: ShareLine) => percent(total) }]
        : []),
      {
        head: ["of the variance"],
        align: "left",
        cell: ({ share }) => "\u2588".repeat(Math.round(BAR * Math.min(1, share))).padEnd(BAR),
      },
      { head: ["part"], align: "left", most: 22, cell: ({ part }) => part },
      {
        head: ["quantity"],
        align: "left",
        flexible: { least: 12, overflow: "cut" },
        cell: ({ words }, room) => cutBefore("", words, room),
      },
    ],
    lines,
    width,
  );
}
