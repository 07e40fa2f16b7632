import type { RequirementRow, Verdict } from "./budget-document.ts";
import { decimalsFor, textNotAbove, textNotBelow } from "./outward-text.ts";
import { printableText } from "./printable-text.ts";
import { textTable } from "./text-table.ts";
import type { TextColumn } from "./text-table.ts";
import { VERDICT_WORDS, verdictMeaning } from "./verdict-words.ts";
import { alignedAtPoint, foundVoltageText } from "./voltage-text.ts";

/** Identifiers longer than this were made from the text and would repeat it. */
const LONGEST_SHOWN_ID = 12;

/** Adds colour to a verdict that its words already state. */
export type VerdictPaint = (text: string, verdict: Verdict) => string;

function requirementText({ id, text }: RequirementRow): string {
  const lead = id === "" || id.length > LONGEST_SHOWN_ID ? "" : `${id}: `;
  return printableText(`${lead}${text}`);
}

function requirementColumns(
  requirements: readonly RequirementRow[],
  paint: VerdictPaint,
): readonly TextColumn<RequirementRow>[] {
  const decimals = decimalsFor(
    requirements.flatMap(({ limit, proven, witnessed }) => [limit, proven, witnessed]),
  );
  const texts = alignedAtPoint(requirements.map((one) => foundVoltageText(one.voltage)));
  const voltages = new Map(requirements.map((one, place) => [one, texts[place] ?? ""]));
  const right = { align: "right" } as const;
  return [
    {
      head: ["verdict"],
      align: "left",
      cell: ({ verdict }) => VERDICT_WORDS[verdict],
      paint: (text, { verdict }) => paint(text, verdict),
    },
    {
      head: ["requirement"],
      align: "left",
      flexible: { least: 11, overflow: "wrap" },
      cell: requirementText,
    },
    { head: ["tightest", "at V"], ...right, cell: (one) => voltages.get(one) ?? "" },
    { head: ["side"], align: "left", cell: ({ side }) => side },
    { head: ["allowed", "V"], ...right, cell: ({ limit }) => textNotAbove(limit, decimals) },
    { head: ["proven", "V"], ...right, cell: ({ proven }) => textNotBelow(proven, decimals) },
    {
      head: ["witnessed", "V"],
      ...right,
      cell: ({ witnessed }) => textNotAbove(witnessed, decimals),
    },
    { head: ["margin", "V"], ...right, cell: ({ margin }) => textNotAbove(margin, decimals) },
  ];
}

/** Requirements with their verdicts in words, and what the one unusual verdict means. */
export function budgetRequirementTable(
  requirements: readonly RequirementRow[],
  { paint, width }: { readonly paint: VerdictPaint; readonly width: number },
): { readonly table: readonly string[]; readonly notes: readonly string[] } {
  const isOpen = requirements.some((one) => one.verdict === "notProven");
  return {
    table: textTable(requirementColumns(requirements, paint), requirements, width),
    notes: isOpen ? [`${verdictMeaning("notProven")}.`] : [],
  };
}
