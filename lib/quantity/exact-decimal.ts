import { Decimal } from "./decimal.ts";

/**
 * A figure given either way, as exact decimal: a plain number stands for the very value the double
 * holds, so that a bound computed from it is a bound. Throws InvalidInputError for NaN and
 * infinity.
 */
export function exactDecimal(value: number | Decimal): Decimal {
  return typeof value === "number" ? Decimal.ofDouble(value) : value;
}
