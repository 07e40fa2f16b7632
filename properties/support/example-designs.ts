import { readFileSync } from "node:fs";
import type { Design } from "../../lib/design/design.ts";
import type { DesignDocument } from "../../lib/design/document-schema.ts";
import { readDesign } from "../../lib/design/read-design.ts";
import { Decimal } from "../../lib/quantity/decimal.ts";
import { budgetOf } from "../../lib/report/budget.ts";
import type { BudgetDocument } from "../../lib/report/budget-document.ts";

/** Folders of the demo designs. */
export const EXAMPLES = [
  "01-no-adjustment",
  "02-two-point",
  "03-good-at-34-volts",
  "04-percent-of-range",
] as const;

/** One of the demo designs. */
export type Example = (typeof EXAMPLES)[number];

/** A document whose fields may be changed. */
export type Editable<T> = T extends object ? { -readonly [K in keyof T]: Editable<T[K]> } : T;

/** The document of a demo design, a fresh copy. */
export function exampleDocument(example: Example): Editable<DesignDocument> {
  const file = new URL(`../../examples/${example}/design.json`, import.meta.url);
  return JSON.parse(readFileSync(file, "utf8")) as Editable<DesignDocument>;
}

/** A demo design, its document changed before it is read. */
export function exampleDesign(
  example: Example,
  change: (document: Editable<DesignDocument>) => void = () => undefined,
): Design {
  const document = exampleDocument(example);
  change(document);
  return readDesign(document);
}

/**
 * The budget of a design at some voltages, else at the default ones. Its accuracy statement is asked
 * for the top of the range only: here the rows are looked at.
 */
export function budgetAt(design: Design, voltages?: readonly string[]): BudgetDocument {
  const { upper } = design.measuringInterval;
  return budgetOf(design, {
    sha256: "0".repeat(64),
    version: "0.0.0",
    statement: { from: upper.multiply(Decimal.parse("0.98")) },
    ...(voltages === undefined
      ? {}
      : { voltages: voltages.map((voltage) => Decimal.parse(voltage)) }),
  });
}
