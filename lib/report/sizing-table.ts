import { formatQuantity, printUp } from "../quantity/format.ts";
import type { PageOptions } from "./page-text.ts";
import type { ProvenRow, SizingDocument, SizingRow } from "./sizing-document.ts";
import { textTable, wrappedText } from "./text-table.ts";
import type { TextColumn } from "./text-table.ts";

/** Rows of a frontier that are printed; the JSON has all. */
const MOST_ROWS = 24;

/** A sum of costs without the last digits of its doubles. */
export const costText = (cost: number): string => String(Number(cost.toPrecision(10)));

const partsOf = ({ parts, upper, lower }: SizingRow): string =>
  [...parts.map(({ id }) => id), upper, lower].filter((text) => text !== undefined).join("; ");

const COLUMNS: readonly TextColumn<SizingRow>[] = [
  { head: ["cost"], align: "right", cell: ({ cost }) => costText(cost) },
  {
    head: ["of the allowed", "error %"],
    align: "right",
    cell: ({ used }) => printUp(100 * used, 1),
  },
  {
    head: ["smallest", "product"],
    align: "right",
    cell: ({ capacitance }) => formatQuantity(capacitance, "capacitance"),
  },
  {
    head: ["parts"],
    align: "left",
    cell: partsOf,
    flexible: { least: 30, overflow: "wrap" },
  },
];

/** Every so many rows, so that a long frontier keeps its shape; the ends and the chosen always. */
function shown(rows: readonly SizingRow[], chosen: number): readonly SizingRow[] {
  if (rows.length <= MOST_ROWS) return rows;
  const last = rows.length - 1;
  const places = new Set([chosen]);
  for (let place = 0; place < MOST_ROWS; place += 1)
    places.add(Math.round((place * last) / (MOST_ROWS - 1)));
  return rows.filter((_, place) => places.has(place));
}

function proofLines({ requirements }: ProvenRow): readonly string[] {
  const words = { holds: "holds", doesNotHold: "does not hold", notProven: "is not proven" };
  return requirements.map(
    ({ text, proven, limit, verdict }) =>
      `  ${text}: ${words[verdict]}, proven ${printUp(proven, 4)} V of ${limit.toFixed(4)} V allowed`,
  );
}

function chosenLines(document: SizingDocument, width: number): readonly string[] {
  const { cheapest, nearest, leastCapacitance } = document;
  const wrap = (text: string): readonly string[] => wrappedText(text, { width, indent: 2 });
  if (cheapest !== undefined) {
    const lead = document.complete ? "Cheapest that meets it" : "Cheapest found so far";
    return [
      ...wrap(`${lead}, cost ${costText(cheapest.cost)}: ${partsOf(cheapest)}`),
      ...proofLines(cheapest),
    ];
  }
  const lead = document.complete
    ? "No combination meets it."
    : "No combination found so far meets it.";
  const smallest =
    leastCapacitance === undefined
      ? []
      : wrap(
          "The error alone can be met, down to a product of " +
            `${formatQuantity(leastCapacitance.capacitance, "capacitance")} at cost ` +
            `${costText(leastCapacitance.cost)}: ${partsOf(leastCapacitance)}`,
        );
  if (nearest === undefined) return [`${lead} None that is asked for can be built.`, ...smallest];
  const terms = nearest.terms.map(({ symbol, volts }) => `${symbol} ${volts.toFixed(3)} V`);
  return [
    ...wrap(
      `${lead} The nearest takes ${printUp(100 * nearest.used, 1)} % of the allowed error, ` +
        `cost ${costText(nearest.cost)}: ${partsOf(nearest)}`,
    ),
    ...proofLines(nearest),
    ...wrap(`  largest terms: ${terms.join(", ")}`),
    ...smallest,
  ];
}

function frontier(title: string, rows: readonly SizingRow[], width: number): readonly string[] {
  if (rows.length === 0) return [];
  const some = shown(
    rows,
    rows.findIndex(({ used }) => used <= 1),
  );
  const more = some.length < rows.length ? [`${some.length} of ${rows.length} rows`] : [];
  return ["", title, ...textTable(COLUMNS, some, width), ...more];
}

/** The frontiers of a search and what was chosen, as plain text. */
export function sizingTable(document: SizingDocument, { width }: PageOptions): string {
  const { searched, combinations, loading } = document;
  const percent = printUp(100 * loading, 2).replace(/\.?0+$/, "");
  return [
    document.template,
    `Requirement: ${document.require.join(" and ")}`,
    ...(document.complete
      ? []
      : [
          `Ended early: ${searched.structures} of ${searched.ofStructures} structures searched; ` +
            "cheaper combinations may exist.",
        ]),
    ...wrappedText(
      `${combinations} combinations, ${searched.looked} looked at together or alone, ` +
        `${searched.proven} proven one by one; the others ` +
        `${document.complete ? "" : "of what was searched "}are no better than one that is proven.`,
      { width, indent: 2 },
    ),
    ...document.excluded.flatMap(({ reason, structures }) =>
      wrappedText(`left out, ${structures} structures: ${reason}`, { width, indent: 2 }),
    ),
    ...frontier("Cost against guaranteed error", document.byError, width),
    ...frontier(
      `Cost against the smallest product (the tester takes at most ${percent} %), requirement met`,
      document.byCapacitance,
      width,
    ),
    "",
    ...chosenLines(document, width),
    "",
    "Figures are design aids; a licensed or competent person and the current standard decide.",
  ].join("\n");
}
