import { permittedErrors } from "../design/requirement.ts";
import { Decimal } from "../quantity/decimal.ts";
import type { BudgetDocument, PermittedRange, RequirementRow, Verdict } from "./budget-document.ts";
import { printableText } from "./printable-text.ts";
import { statementText } from "./statement-text.ts";
import { voltageText } from "./voltage-text.ts";

/** Two signed errors at a true voltage, V. */
export interface ErrorSpan {
  readonly voltage: number;
  readonly low: number;
  readonly high: number;
}

/** Signed errors that are allowed at a true voltage, V; a side that is not known is undefined. */
export interface AllowedErrors {
  readonly voltage: number;
  readonly low: number | undefined;
  readonly high: number | undefined;
}

/** A requirement as it is drawn. */
export interface DrawnRequirement {
  /** Number that stands in the picture and in its key, from 1. */
  readonly number: number;
  readonly text: string;
  readonly verdict: Verdict;
  /** Where the margin is least, V. */
  readonly voltage: number;
  readonly side: "high" | "low";
  /** V. */
  readonly margin: number;
  /** "points": a bracket at each voltage; "range": two lines. */
  readonly over: "points" | "range";
  /** Ascending by voltage, one or more. */
  readonly allowed: readonly AllowedErrors[];
}

/** Another instrument's statement as it is drawn, symmetric about zero. */
export interface DrawnStatement {
  readonly label: string;
  /** Permitted magnitudes ascending by voltage, V. */
  readonly permitted: readonly { readonly voltage: number; readonly error: number }[];
}

/** The design's own accuracy statement as it is drawn. */
export interface DrawnAccuracy {
  readonly label: string;
  /**
   * Signed errors it allows at the true voltages of the rows for which it holds, V; the two
   * polarities apart where it does not hold at zero.
   */
  readonly branches: readonly (readonly ErrorSpan[])[];
}

/** A voltage at which published limits decide. */
export interface DrawnLimit {
  readonly voltage: number;
  /** "34 V". */
  readonly label: string;
  readonly ids: readonly string[];
}

/** The figures of the budget chart, all taken from the document, ascending by voltage. */
export interface BudgetChartData {
  readonly proven: readonly ErrorSpan[];
  readonly witnessed: readonly ErrorSpan[];
  readonly requirements: readonly DrawnRequirement[];
  readonly statements: readonly DrawnStatement[];
  readonly accuracy: DrawnAccuracy;
  readonly limits: readonly DrawnLimit[];
}

function byVoltage<Item extends { readonly voltage: number }>(
  items: readonly Item[],
): readonly Item[] {
  return [...items].sort((one, other) => one.voltage - other.voltage);
}

function bothSides({ voltage, lower, upper }: PermittedRange): AllowedErrors {
  return { voltage, low: lower, high: upper };
}

/** Without the places of the requirement only the binding side at the binding voltage is known. */
function bindingSide({ voltage, side, limit }: RequirementRow): AllowedErrors {
  return side === "high"
    ? { voltage, low: undefined, high: limit }
    : { voltage, low: -limit, high: undefined };
}

function drawnRequirement(row: RequirementRow, place: number): DrawnRequirement {
  const { text, verdict, voltage, side, margin, permitted } = row;
  const allowed = permitted?.errors.map(bothSides) ?? [bindingSide(row)];
  return {
    number: place + 1,
    text: printableText(text),
    verdict,
    voltage,
    side,
    margin,
    over: permitted?.over ?? "points",
    allowed: byVoltage(allowed),
  };
}

/** A share of the indication allows more above the true voltage than below it. */
function drawnAccuracy({ rows, statement }: BudgetDocument): DrawnAccuracy {
  const [share, volts] = [Decimal.parse(statement.share), Decimal.parse(statement.volts)];
  const [from, to] = [Number(statement.from), Number(statement.to)];
  const spans = byVoltage(rows)
    .filter(({ voltage }) => Math.abs(voltage) >= from && Math.abs(voltage) <= to)
    .map(({ voltage }) => {
      const pair = { kind: "indication", name: "", share, volts } as const;
      const { lower, upper } = permittedErrors(pair, voltage);
      return { voltage, low: lower, high: upper };
    });
  const positive = spans.filter(({ voltage }) => voltage >= 0);
  const negative = spans.filter(({ voltage }) => voltage < 0);
  const branches = from > 0 ? [negative, positive] : [spans];
  return {
    label: `accuracy statement ${statementText(statement)}`,
    branches: branches.filter((branch) => branch.length > 0),
  };
}

/**
 * The numbers that go into the chart of error against voltage: every one stands in the document
 * with the same value, a low error with its sign, or is what the accuracy statement there allows.
 */
export function budgetChartData(document: BudgetDocument): BudgetChartData {
  const { rows, requirements, comparisons } = document;
  return {
    proven: byVoltage(
      rows.map(({ voltage, low, high }) => ({ voltage, low: low.proven, high: high.proven })),
    ),
    witnessed: byVoltage(
      rows.map(({ voltage, low, high }) => ({ voltage, low: low.witnessed, high: high.witnessed })),
    ),
    requirements: requirements.map(drawnRequirement),
    statements: comparisons.map(({ name, text, errors }) => ({
      label: printableText(text === "" ? name : `${name}: ${text}`),
      permitted: byVoltage(
        rows.flatMap(({ voltage }, place) => {
          const error = errors[place];
          return error === undefined ? [] : [{ voltage, error }];
        }),
      ),
    })),
    accuracy: drawnAccuracy(document),
    limits: byVoltage(
      rows
        .filter(({ limits }) => limits.length > 0)
        .map(({ voltage, limits }) => ({
          voltage,
          label: `${voltageText(voltage).replace("-", "−")} V`,
          ids: limits,
        })),
    ),
  };
}
