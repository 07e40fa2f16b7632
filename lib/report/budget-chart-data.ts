import type { BudgetDocument, PermittedRange, RequirementRow, Verdict } from "./budget-document.ts";
import { printableText } from "./printable-text.ts";
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

/**
 * The numbers that go into the chart of error against voltage: every one stands in the document
 * with the same value, a low error with its sign.
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
