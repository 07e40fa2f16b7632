import { holdsWhereTried } from "../../properties/campaign/verdict.ts";
import type { ClaimResult, ClaimVerdict } from "../../properties/campaign/verdict.ts";
import { listedText } from "../../properties/campaign/listed.ts";
import { strengthText } from "../../properties/campaign/strength.ts";
import { printableText } from "../report/printable-text.ts";
import { textTable, wrappedText } from "../report/text-table.ts";
import type { TextColumn } from "../report/text-table.ts";

const VERDICTS: Readonly<Record<ClaimVerdict, string>> = {
  holds: "holds",
  doesNotHold: "does not hold",
  noVerdict: "no verdict",
};

function verdictText(result: ClaimResult): string {
  const { verdict, canary } = result;
  if (canary && verdict === "doesNotHold") return "fails, as it must";
  return holdsWhereTried(result) ? "holds where tried" : VERDICTS[verdict];
}

function runsOf({ methods }: ClaimResult): number {
  return methods.reduce((sum, { done }) => sum + done, 0);
}

const COLUMNS: readonly TextColumn<ClaimResult>[] = [
  { head: ["claim"], align: "left", cell: ({ id }) => printableText(id) },
  { head: ["runs"], align: "right", cell: (result) => String(runsOf(result)) },
  {
    head: ["worst margin"],
    align: "right",
    cell: ({ worst }) => (worst === null ? "" : worst.margin.toFixed(3)),
  },
  { head: ["verdict"], align: "left", cell: verdictText },
];

function detailsOf(result: ClaimResult, width: number): string[] {
  const wrap = (text: string): string[] => [
    ...wrappedText(printableText(text), { width, indent: 4 }),
  ];
  const { failure, reasons, id, canary, verdict } = result;
  if (failure !== null && !canary)
    return [
      `${id} does not hold: ${result.says}`,
      `  ${failure.smallest.because}`,
      `  scenario: ${failure.words.join("; ")}`,
    ].flatMap(wrap);
  if (reasons.length === 0) return [];
  if (verdict === "doesNotHold" && !canary)
    return wrap(`${id} does not hold for both builds: ${reasons.join("; ")}`);
  return wrap(`${id}: a run, not evidence, because ${reasons.join("; ")}`);
}

/** How close each claim about a proven error came to it, and what of finite lists was run. */
function reachLines(claims: readonly ClaimResult[], width: number): string[] {
  return claims.flatMap(({ id, strength, listed }) => {
    const texts = [strengthText(strength), listed === null ? undefined : listedText(listed)];
    return texts.flatMap((text) =>
      text === undefined ? [] : [...wrappedText(`${id}: ${text}`, { width, indent: 4 })],
    );
  });
}

/** What was found where a claim came closest to its end: latencies, errors, times. */
function worstLines(claims: readonly ClaimResult[], width: number): string[] {
  return claims.flatMap(({ id, worst, failure, canary }) =>
    worst === null || worst.margin >= 1 || failure !== null || canary
      ? []
      : wrappedText(printableText(`${id}: at the worst ${worst.because}`), { width, indent: 4 }),
  );
}

/**
 * The verdicts of a campaign as a table, with what was found at the worst and how close to the
 * proof it came, the failures and what keeps a run from evidence.
 */
export function campaignTable(claims: readonly ClaimResult[], width: number): string {
  const details = claims.flatMap((result) => detailsOf(result, width));
  const table = textTable(COLUMNS, claims, width);
  const parts = [worstLines(claims, width), reachLines(claims, width), details];
  return [...table, ...parts.flatMap((lines) => (lines.length === 0 ? [] : ["", ...lines]))].join(
    "\n",
  );
}
