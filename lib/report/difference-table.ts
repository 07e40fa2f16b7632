import { formatFixed } from "../quantity/format.ts";
import type {
  Both,
  BudgetDifference,
  ComparedDesign,
  DifferenceRow,
  ErrorOrder,
  RequirementDifference,
  TermDifference,
} from "./budget-difference.ts";
import { decimalsFor, textNotAbove, textNotBelow } from "./outward-text.ts";
import { PageText } from "./page-text.ts";
import type { PageOptions } from "./page-text.ts";
import { printableText } from "./printable-text.ts";
import { statementText } from "./statement-text.ts";
import { cutBefore, textTable } from "./text-table.ts";
import type { TextColumn } from "./text-table.ts";
import { VERDICT_WORDS } from "./verdict-words.ts";
import { alignedAtPoint, voltageText } from "./voltage-text.ts";

/** Terms shown one by one; the others are summed. */
const SHOWN_TERMS = 12;
const RIGHT = { align: "right" } as const;

const ORDER_WORDS: Readonly<Record<ErrorOrder, string>> = {
  smaller: "smaller",
  larger: "larger",
  same: "the same",
  open: "not told apart",
};

const DESIGNS = [
  { key: "a", letter: "A" },
  { key: "b", letter: "B" },
] as const;

/** A difference of two figures, its sign always there; nearest, as it is no bound. */
function changeText(change: number, decimals: number): string {
  const text = formatFixed(change, decimals);
  return Number(text) > 0 ? `+${text}` : text;
}

function titleOf({ name, revision, sha256, measuringInterval }: ComparedDesign): string {
  const version = revision === "" ? "" : `, revision ${revision}`;
  const intervals = measuringInterval.map(([lower, upper]) => `${lower} V to ${upper} V`);
  return `${name}${version}, ${intervals.join(" and ")} (document sha256 ${sha256.slice(0, 12)})`;
}

function bothText({ a, b }: Both<string>): string {
  return `${a ?? "not stated"} in A, ${b ?? "not stated"} in B`;
}

function head(page: PageText, { designs, conditions }: BudgetDifference): readonly string[] {
  const entries = conditions.map(({ name, stated }) => `${name} ${bothText(stated)}`);
  return [
    ...DESIGNS.flatMap(({ key, letter }) => page.list(letter, [titleOf(designs[key])])),
    ...page.list(
      "Conditions that differ",
      entries.length === 0 ? ["none, as far as stated"] : entries,
    ),
  ];
}

function rowColumns(rows: readonly DifferenceRow[]): readonly TextColumn<DifferenceRow>[] {
  const decimals = decimalsFor(rows.flatMap(({ a, b }) => [a.provenError, b.provenError]));
  const texts = alignedAtPoint(rows.map((row) => voltageText(row.voltage)));
  const voltages = new Map(rows.map((row, place) => [row, texts[place] ?? ""]));
  const figures = DESIGNS.flatMap(({ key, letter }): TextColumn<DifferenceRow>[] => [
    {
      head: [`${letter} proven`, "low, V"],
      ...RIGHT,
      cell: (row) => textNotAbove(row[key].low.proven, decimals),
    },
    {
      head: [`${letter} proven`, "high, V"],
      ...RIGHT,
      cell: (row) => textNotBelow(row[key].high.proven, decimals),
    },
  ]);
  const change = (name: "low" | "high"): TextColumn<DifferenceRow> => ({
    head: ["change", `${name}, V`],
    ...RIGHT,
    cell: (row) => changeText(row.change[name], decimals),
  });
  return [
    { head: ["voltage", "V"], ...RIGHT, cell: (row) => voltages.get(row) ?? "" },
    ...figures,
    change("low"),
    change("high"),
    { head: ["largest error", "of B is"], align: "left", cell: (row) => ORDER_WORDS[row.order] },
  ];
}

function voltagesApart({ designs }: BudgetDifference): readonly string[] {
  return DESIGNS.flatMap(({ key, letter }) => {
    const { voltagesApart: apart } = designs[key];
    if (apart.length === 0) return [];
    return [`only in ${letter} ${apart.map((voltage) => `${voltageText(voltage)} V`).join(", ")}`];
  });
}

function rowSection(page: PageText, difference: BudgetDifference): readonly string[] {
  const { rows } = difference;
  const apart = page.list("Voltages without comparison", voltagesApart(difference));
  if (rows.length === 0) return ["The designs have no voltage in common.", ...apart];
  const estimated = DESIGNS.filter(({ key }) => rows.some((row) => !row[key].guaranteed));
  return [
    ...textTable(rowColumns(rows), rows, page.width),
    ...page.paragraph(
      "Smaller: B is proven to stay below what A reaches. Larger: B reaches more than A is proven" +
        " to keep to. Each within the band of its own row round the voltage.",
    ),
    ...estimated.flatMap(({ letter }) =>
      page.paragraph(`Estimated, not guaranteed, in ${letter}: a figure had no exact decimal.`),
    ),
    ...apart,
  ];
}

function verdictText({ judged }: RequirementDifference, key: "a" | "b"): string {
  const found = judged[key];
  return found === undefined ? "not asked" : VERDICT_WORDS[found.verdict];
}

function requirementText({ id, judged, askedDifferently }: RequirementDifference): string {
  const texts = [judged.a?.text, judged.b?.text].filter((text) => text !== undefined);
  const asked = askedDifferently ? `A ${texts[0]}; B ${texts[1]}` : (texts[0] ?? "");
  const lead = asked === id ? "" : `${id}: `;
  return printableText(`${lead}${asked}`);
}

function requirementColumns(
  requirements: readonly RequirementDifference[],
): readonly TextColumn<RequirementDifference>[] {
  const margins = requirements.flatMap(({ judged }) =>
    [judged.a, judged.b].flatMap((found) => (found === undefined ? [] : [found.margin])),
  );
  const decimals = decimalsFor(margins);
  const margin = ({ judged }: RequirementDifference, key: "a" | "b"): string => {
    const found = judged[key];
    return found === undefined ? "-" : textNotAbove(found.margin, decimals);
  };
  return [
    { head: ["verdict", "A"], align: "left", cell: (one) => verdictText(one, "a") },
    { head: ["verdict", "B"], align: "left", cell: (one) => verdictText(one, "b") },
    {
      head: ["requirement"],
      align: "left",
      flexible: { least: 11, overflow: "wrap" },
      cell: requirementText,
    },
    { head: ["margin", "A, V"], ...RIGHT, cell: (one) => margin(one, "a") },
    { head: ["margin", "B, V"], ...RIGHT, cell: (one) => margin(one, "b") },
  ];
}

/** "1 verdict changes, 1 only in A": what a reader looks for first. */
function requirementCount(requirements: readonly RequirementDifference[]): string {
  const changed = requirements.filter((one) => one.verdictChanges).length;
  const apart = DESIGNS.flatMap(({ key, letter }) => {
    const count = requirements.filter((one) => one.onlyIn === key).length;
    return count === 0 ? [] : [`${count} only in ${letter}`];
  });
  const verdicts = changed === 1 ? "1 verdict changes" : `${changed} verdicts change`;
  return [changed === 0 ? "no verdict changes" : verdicts, ...apart].join(", ");
}

/** Once where both designs rest on the same. */
function conditionalLines(page: PageText, { designs }: BudgetDifference): readonly string[] {
  const { a, b } = designs;
  if (a.conditionalOn.join("\n") === b.conditionalOn.join("\n"))
    return page.list("Both are conditional on", a.conditionalOn);
  return DESIGNS.flatMap(({ key, letter }) =>
    page.list(`${letter} is conditional on`, designs[key].conditionalOn),
  );
}

/** What the statements and the verdicts rest on comes before them. */
function requirementSection(page: PageText, difference: BudgetDifference): readonly string[] {
  const { designs, requirements } = difference;
  const statements = DESIGNS.flatMap(({ key, letter }) => {
    const { statement } = designs[key];
    const part = `${statement.from} V to ${statement.to} V`;
    return page.list(`Accuracy statement of ${letter}, proven`, [
      `${statementText(statement)} for ${part}`,
    ]);
  });
  const asked =
    requirements.length === 0
      ? ["Neither design states a requirement."]
      : [
          ...page.list("Requirements", [requirementCount(requirements)]),
          ...textTable(requirementColumns(requirements), requirements, page.width),
        ];
  return [...conditionalLines(page, difference), ...statements, ...asked];
}

interface TermLine extends Pick<TermDifference, "part" | "kind" | "volts" | "change"> {
  readonly quantity: string;
}

function apartText({ onlyIn }: TermDifference): string {
  return onlyIn === undefined ? "" : `only in ${onlyIn.toUpperCase()}: `;
}

function termLines(terms: readonly TermDifference[]): readonly Partial<TermLine>[] {
  return terms.map((term) => ({
    part: printableText(term.part),
    kind: term.kind,
    volts: term.volts,
    change: term.change,
    quantity: printableText(`${apartText(term)}${term.symbol}, ${term.meaning}`),
  }));
}

/** The changes that are shown, and the sum of the rest in one line. */
function shownTerms(terms: readonly TermDifference[]): readonly Partial<TermLine>[] {
  const changed = terms.filter((term) => term.change !== 0 || term.onlyIn !== undefined);
  if (changed.length <= SHOWN_TERMS + 1) return termLines(changed);
  const rest = changed.slice(SHOWN_TERMS);
  const sum = (key: "a" | "b") => rest.reduce((whole, { volts }) => whole + (volts[key] ?? 0), 0);
  const [a, b] = [sum("a"), sum("b")];
  const others = {
    part: "others",
    volts: { a, b },
    change: b - a,
    quantity: `${rest.length} terms`,
  };
  return [...termLines(changed.slice(0, SHOWN_TERMS)), others];
}

function termColumns(
  lines: readonly Partial<TermLine>[],
): readonly TextColumn<Partial<TermLine>>[] {
  const figures = lines.flatMap(({ volts }) => [volts?.a ?? 0, volts?.b ?? 0]);
  const decimals = Math.min(4, decimalsFor(figures));
  const volts = (line: Partial<TermLine>, key: "a" | "b"): string => {
    const found = line.volts?.[key];
    return found === undefined ? "-" : formatFixed(found, decimals);
  };
  return [
    { head: ["part"], align: "left", most: 22, cell: ({ part }) => part ?? "" },
    { head: ["kind"], align: "left", cell: ({ kind }) => kind ?? "" },
    { head: ["A, V"], ...RIGHT, cell: (line) => volts(line, "a") },
    { head: ["B, V"], ...RIGHT, cell: (line) => volts(line, "b") },
    { head: ["change, V"], ...RIGHT, cell: ({ change }) => changeText(change ?? 0, decimals) },
    {
      head: ["quantity"],
      align: "left",
      flexible: { least: 12, overflow: "cut" },
      cell: ({ quantity }, room) => cutBefore("", quantity ?? "", room),
    },
  ];
}

function termSection(page: PageText, { terms }: BudgetDifference): readonly string[] {
  if (terms === undefined) return [];
  const { voltage, requirement } = terms;
  const lines = shownTerms(terms.terms);
  const reason = requirement === undefined ? "" : `, hardest for requirement ${requirement}`;
  const place = `at ${voltageText(voltage)} V${reason}`;
  if (lines.length === 0) return page.list("Terms that change", [`none ${place}`]);
  return [
    ...page.list("Terms that change", [`${place}, largest change first`]),
    ...textTable(termColumns(lines), lines, page.width),
    ...page.paragraph(
      "A term is the error that goes when the quantity alone returns to its nominal value. Terms" +
        " do not add up to the error where quantities act on each other.",
    ),
  ];
}

/**
 * The difference of two designs for a person at a terminal: the conditions that differ, the error
 * of both at each voltage, what both are conditional on, the verdicts side by side, and the terms
 * that change. Every printed bound is at least the bound; terms and
 * changes are to the nearest.
 *
 * Throws OutsideDomainError for a width outside 80 to 400, InvalidInputError for a figure that is
 * not finite.
 */
export function differenceTable(difference: BudgetDifference, options: PageOptions): string {
  const page = new PageText(options);
  return page.joined([
    head(page, difference),
    rowSection(page, difference),
    requirementSection(page, difference),
    termSection(page, difference),
    page.list("Caution", difference.cautions),
  ]);
}
