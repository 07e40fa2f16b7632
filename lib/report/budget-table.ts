import pc from "picocolors";
import { OutsideDomainError } from "../errors.ts";
import { formatFixed } from "../quantity/format.ts";
import { budgetComparisonTable } from "./budget-comparison-table.ts";
import type { BudgetDocument, BudgetRow } from "./budget-document.ts";
import { budgetRequirementTable } from "./budget-requirement-table.ts";
import type { VerdictPaint } from "./budget-requirement-table.ts";
import { budgetRowTable } from "./budget-row-table.ts";
import { budgetTermTable } from "./budget-term-table.ts";
import { decimalsFor, textNotAbove } from "./outward-text.ts";
import { printableText } from "./printable-text.ts";
import { shareTable } from "./share-table.ts";
import { statementPart, statementText } from "./statement-text.ts";
import { demandingRow } from "./term-groups.ts";
import { wrappedText } from "./text-table.ts";
import { verdictCount } from "./verdict-words.ts";
import { voltageText } from "./voltage-text.ts";

/** How the table is written. */
export interface BudgetTableOptions {
  /** Adds colour to what the words already say. */
  readonly colour: boolean;
  /** Characters per line, 80 to 400. */
  readonly width: number;
}

const LEAST_WIDTH = 80;
const GREATEST_WIDTH = 400;

/** Everything a section needs to write itself. */
interface Page {
  readonly document: BudgetDocument;
  readonly width: number;
  readonly paint: ReturnType<typeof pc.createColors>;
}

function paragraph({ width }: Page, text: string): readonly string[] {
  return wrappedText(text, { width, indent: 0 });
}

/** "Name: one; two; three" with later lines set in; whole sentences follow each other as such. */
function list(page: Page, name: string, entries: readonly string[]): readonly string[] {
  if (entries.length === 0) return [];
  const joined = entries.map(printableText).join("; ").replaceAll(".; ", ". ");
  const text = `${name}: ${joined}`;
  const [first, ...rest] = wrappedText(text, { width: page.width, indent: 2 });
  return [(first ?? "").replace(`${name}:`, page.paint.bold(`${name}:`)), ...rest];
}

function head(page: Page): readonly string[] {
  const { design, conditions, measuringInterval } = page.document;
  const revision = design.revision === "" ? "" : `, revision ${design.revision}`;
  const intervals = measuringInterval.map(([lower, upper]) => `${lower} V to ${upper} V`);
  const title = `${design.name}${revision}, ${intervals.join(" and ")}`;
  const hash = ` (document sha256 ${design.sha256.slice(0, 12)})`;
  const [first, ...rest] = wrappedText(printableText(title + hash), {
    width: page.width,
    indent: 2,
  });
  const entries = Object.entries(conditions).map(([name, value]) => `${name} ${value}`);
  return [page.paint.bold(first ?? ""), ...rest, ...list(page, "Conditions", entries)];
}

function rowSection(page: Page): readonly string[] {
  const { rows, uncertaintyFor } = page.document;
  const { table, notes } = budgetRowTable(rows, page.width);
  const subject = uncertaintyFor === undefined ? [] : [uncertaintyFor];
  return [
    ...table,
    ...notes.flatMap((note) => paragraph(page, note)),
    ...list(page, "Interval and expanded uncertainty for", subject),
  ];
}

function verdictPaint({ paint }: Page): VerdictPaint {
  return (text, verdict) => {
    if (verdict === "holds") return paint.cyan(text);
    return verdict === "notProven" ? paint.yellow(text) : paint.bold(paint.magenta(text));
  };
}

/** What a data sheet may say, and what else it could. */
function statementLines(page: Page): readonly string[] {
  const { statement } = page.document;
  const ends = statement.ends.map(statementText).join(" and ");
  const entries = [
    `${statementText(statement)} for ${statementPart(statement)}`,
    ends === "" ? "" : `ends of the curve of pairs ${ends}`,
  ];
  return [
    ...list(
      page,
      "Accuracy statement, proven",
      entries.filter((entry) => entry !== ""),
    ),
    ...paragraph(page, printableText(statement.objective)),
  ];
}

/** What the statement and the verdicts rest on comes before them. */
function requirementSection(page: Page): readonly string[] {
  const { requirements, conditionalOn } = page.document;
  const conditional = [...list(page, "Conditional on", conditionalOn), ...statementLines(page)];
  if (requirements.length === 0) return [...conditional, "No requirement is stated."];
  const count = verdictCount(requirements.map((one) => one.verdict));
  const options = { paint: verdictPaint(page), width: page.width };
  const { table, notes } = budgetRequirementTable(requirements, options);
  return [
    ...conditional,
    ...list(page, "Requirements", [count]),
    ...table,
    ...notes.flatMap((note) => paragraph(page, note)),
  ];
}

/** "falls short of the witnessed error by 8.3 %", or how far it exceeds it. */
function shortfall({ linearSum, witnessedError }: BudgetRow): string {
  if (witnessedError === 0) return "there is no witnessed error to hold it against";
  const share = (linearSum - witnessedError) / witnessedError;
  const percent = `${formatFixed(Math.abs(share) * 100, 1)} %`;
  return share < 0
    ? `the linear sum falls short of the witnessed error by ${percent}`
    : `the linear sum exceeds the witnessed error by ${percent}`;
}

function termSection(page: Page): readonly string[] {
  const demanding = demandingRow(page.document);
  if (demanding === undefined) return [];
  const { row, requirement } = demanding;
  const options = { symbols: page.document.symbols, width: page.width };
  const reason = requirement === undefined ? "" : `, hardest: ${requirement.text}`;
  const decimals = decimalsFor([row.linearSum, row.rootSumSquare]);
  const [sum, square] = [row.linearSum, row.rootSumSquare].map((one) => formatFixed(one, decimals));
  return [
    ...list(page, "Largest terms", [`at ${voltageText(row.voltage)} V${reason}`]),
    ...budgetTermTable(demanding, options),
    ...paragraph(
      page,
      `Common practice would have said at ${voltageText(row.voltage)} V: linear sum ${sum} V,` +
        ` root-sum-square ${square} V; witnessed is ${textNotAbove(row.witnessedError, decimals)}` +
        ` V, so ${shortfall(row)}.`,
    ),
  ];
}

/** What makes the variance, where the rows have uncertainty. */
function shareSection(page: Page): readonly string[] {
  const row = demandingRow(page.document)?.row;
  if (row?.shares === undefined) return [];
  const { symbols } = page.document;
  return [
    ...list(page, "Shares of the variance", [`at ${voltageText(row.voltage)} V, first order`]),
    ...shareTable(row, { symbols, width: page.width }),
    ...paragraph(
      page,
      "Total: sampled through the real roundings, with interactions; larger than the share where " +
        "quantities act together, and none for a rounding, which is no quantity there.",
    ),
  ];
}

function comparisonSection(page: Page): readonly string[] {
  const { comparisons, rows } = page.document;
  if (comparisons.length === 0 || rows.length === 0) return [];
  return budgetComparisonTable(page.document, page.width);
}

function closing(page: Page): readonly string[] {
  const { assumptions, notModelled, cautions } = page.document;
  return [
    ...list(page, "Assumed", assumptions),
    ...list(page, "Not modelled", notModelled),
    ...list(page, "Caution", cautions),
  ];
}

/**
 * The budget for a person at a terminal: what was asked, the error at each voltage, the verdicts,
 * the largest terms, other accuracy statements, and what the figures do not cover. Every printed
 * bound is at least the bound. Works without colour; no line is wider than `width`.
 *
 * Throws OutsideDomainError for a width outside 80 to 400, InvalidInputError for a figure that is
 * not finite.
 */
export function budgetTable(document: BudgetDocument, options: BudgetTableOptions): string {
  const { colour, width } = options;
  if (!Number.isInteger(width) || width < LEAST_WIDTH || width > GREATEST_WIDTH) {
    throw new OutsideDomainError({
      path: "width",
      quantity: "width of the table",
      received: String(width),
      permitted: `a whole number of characters from ${LEAST_WIDTH} to ${GREATEST_WIDTH}`,
    });
  }
  const page: Page = { document, width, paint: pc.createColors(colour) };
  const sections = [
    head,
    rowSection,
    requirementSection,
    termSection,
    shareSection,
    comparisonSection,
    closing,
  ];
  const written = sections.map((section) => section(page)).filter((lines) => lines.length > 0);
  return `${written.map((lines) => lines.join("\n")).join("\n\n")}\n`;
}
