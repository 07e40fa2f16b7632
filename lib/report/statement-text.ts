import { Decimal } from "../quantity/decimal.ts";
import type { StatementDocument, StatementFigures } from "./budget-document.ts";

const HUNDRED = Decimal.ofInteger(100);

/**
 * "±(0.87 % of indication + 1.1 V)", exactly the figures given; a part that is zero is left out.
 * Throws InvalidInputError for text that is no decimal number.
 */
export function statementText({ share, volts }: StatementFigures): string {
  const percent = Decimal.parse(share).multiply(HUNDRED);
  const constant = Decimal.parse(volts);
  const shareText = `${percent.toString()} % of indication`;
  const voltsText = `${constant.toString()} V`;
  if (percent.isZero()) return `±${voltsText}`;
  return constant.isZero() ? `±${shareText}` : `±(${shareText} + ${voltsText})`;
}

/** "34 V to 440 V": the magnitudes of true voltage for which a statement holds. */
export function statementPart({ from, to }: StatementDocument): string {
  return `${Decimal.parse(from).toString()} V to ${Decimal.parse(to).toString()} V`;
}
