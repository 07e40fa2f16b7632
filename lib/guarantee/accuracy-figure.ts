import { Decimal } from "../quantity/decimal.ts";
import { digitCount } from "../quantity/integer-arithmetic.ts";

/** Significant digits of a figure on a data sheet: "0.53 %", "1.2 V". */
const FIGURE_DIGITS = 2;

/** Least figure of two significant digits not below numerator / divisor; the divisor not zero. */
export function figureAbove(numerator: Decimal, divisor: Decimal = Decimal.one): Decimal {
  return numerator.divide(divisor, FIGURE_DIGITS, "up");
}

/**
 * The next smaller figure of two significant digits: 0.52 for 0.53, 0.99 for 1. The figure given is
 * above zero and has at most two significant digits itself.
 */
export function figureBefore(figure: Decimal): Decimal {
  const spare = FIGURE_DIGITS - digitCount(figure.mantissa);
  const digits = figure.mantissa * 10n ** BigInt(spare);
  const exponent = figure.exponent - spare;
  return digits === 10n
    ? Decimal.ofScaled(99n, exponent - 1)
    : Decimal.ofScaled(digits - 1n, exponent);
}
