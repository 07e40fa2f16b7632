import type { ClaimUse, FaultOutcome, FaultTable } from "../../properties/faults/fault-table.ts";
import { generatedText } from "./generated-text.ts";
import { printableText } from "../report/printable-text.ts";
import { textTable, wrappedText } from "../report/text-table.ts";
import type { TextColumn } from "../report/text-table.ts";

/** Claims named in a row of the table; the rest are counted. */
const NAMED = 2;

function noticedText({ outcome, noticedBy }: FaultOutcome): string {
  if (outcome === "survives") return "NOTHING NOTICES IT";
  if (outcome === "refused") return "cannot be compiled";
  if (outcome === "accepted") return "nothing, and need not be";
  const named = noticedBy.slice(0, NAMED).map(({ claim }) => claim);
  const more = noticedBy.length - named.length;
  return `${named.join(", ")}${more > 0 ? ` and ${more} more` : ""}`;
}

/** Fewest runs after which some claim noticed. */
function soonest({ noticedBy }: FaultOutcome): string {
  return noticedBy.length === 0 ? "" : String(Math.min(...noticedBy.map(({ after }) => after)));
}

const COLUMNS: readonly TextColumn<FaultOutcome>[] = [
  { head: ["fault"], align: "left", cell: ({ id }) => printableText(id) },
  { head: ["in the"], align: "left", cell: ({ where }) => where },
  { head: ["runs"], align: "right", cell: soonest },
  { head: ["noticed by"], align: "left", cell: noticedText },
];

function claimText({ id, alone, followsFrom }: ClaimUse): string {
  if (alone.length > 0) return `${id}: ${alone.join(", ")}`;
  if (followsFrom.length > 0) return `${id}: none, it follows from ${followsFrom.join(" and ")}`;
  return `${id}: none`;
}

/** Faults against claims as text, with what each claim notices alone and the verdict. */
export function faultTableText(table: FaultTable, width: number): string {
  const { faults, claims, verdict, reasons } = table;
  const wrap = (text: string): readonly string[] =>
    wrappedText(printableText(text), { width, indent: 4 });
  const caught = faults.filter(({ outcome }) => outcome === "caught").length;
  const words = { holds: "evidence", doesNotHold: "does not hold", noVerdict: "no verdict" };
  return [
    ...textTable(COLUMNS, faults, width),
    "",
    "Faults that one claim alone notices:",
    ...claims.flatMap((claim) => wrap(`  ${claimText(claim)}`)),
    "",
    ...(table.generated === undefined ? [] : generatedText(table.generated, width)),
    `${caught} of ${faults.length} faults are noticed; ` +
      (table.baseline.length === 0
        ? "without a fault every claim holds on the same draws."
        : "without a fault, too, some claim fails."),
    ...wrap(`${words[verdict]}${reasons.length === 0 ? "" : `: ${reasons.join("; ")}`}`),
  ].join("\n");
}
