import { Decimal } from "../quantity/decimal.ts";
import { formatFixed } from "../quantity/format.ts";

/** A microvolt is far below what any tester of mains voltages resolves. */
const CHOSEN = 6;
/** A hundredth of a volt says well enough where a search ended. */
const FOUND = 2;

/**
 * A voltage that somebody chose, in V without unit, without needless zeros: "34", "-125.582". Not
 * for bounds: it is rounded to the nearest microvolt. Throws InvalidInputError for NaN and
 * infinity.
 */
export function voltageText(voltage: number): string {
  return Decimal.parse(formatFixed(voltage, CHOSEN)).toString();
}

/** A voltage that a search found, to the nearest hundredth of a volt; else as {@link voltageText}. */
export function foundVoltageText(voltage: number): string {
  return Decimal.parse(formatFixed(voltage, FOUND)).toString();
}

/** Characters from the decimal point on. */
function tailLength(text: string): number {
  return text.includes(".") ? text.length - text.indexOf(".") : 0;
}

/** Texts of figures filled with spaces, so that their points stand one below the other. */
export function alignedAtPoint(texts: readonly string[]): readonly string[] {
  const longest = Math.max(0, ...texts.map(tailLength));
  return texts.map((text) => text + " ".repeat(longest - tailLength(text)));
}
