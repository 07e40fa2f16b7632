import { Decimal } from "../quantity/decimal.ts";
import { exactDecimal } from "../quantity/exact-decimal.ts";
import { printDown, printUp } from "../quantity/format.ts";

const HUNDRED = Decimal.ofInteger(100);
/** Digits kept of a quotient before it is rounded for print. */
const QUOTIENT_DIGITS = 40;

/**
 * The signed figure with that many decimals, never below the value: for an upper bound, and for the
 * witness of a lower one. Throws InvalidInputError for NaN and infinity.
 */
export function textNotBelow(value: number | Decimal, decimals: number): string {
  return exactDecimal(value).sign() < 0 ? printDown(value, decimals) : printUp(value, decimals);
}

/**
 * The signed figure with that many decimals, never above the value: for a lower bound, a margin,
 * and the witness of an upper bound. Throws InvalidInputError for NaN and infinity.
 */
export function textNotAbove(value: number | Decimal, decimals: number): string {
  return exactDecimal(value).sign() < 0 ? printUp(value, decimals) : printDown(value, decimals);
}

/** A share in percent, never below the share. Throws InvalidInputError for NaN and infinity. */
export function percentNotBelow(share: number, decimals: number): string {
  return textNotBelow(exactDecimal(share).multiply(HUNDRED), decimals);
}

/**
 * What the magnitude of `part` is of that of `whole`, in percent, never below the exact quotient;
 * undefined where the whole is zero. Throws InvalidInputError for NaN and infinity.
 */
export function percentOf(part: number, whole: number, decimals: number): string | undefined {
  const divisor = exactDecimal(whole).absolute();
  if (divisor.isZero()) return undefined;
  const quotient = exactDecimal(part).multiply(HUNDRED).absolute();
  const percent = quotient.divide(divisor, QUOTIENT_DIGITS, "up");
  return printUp(percent, decimals);
}

/** Power of ten of the leading digit; a size above zero. */
function exponentOf(size: number): number {
  return Math.floor(Math.log10(size));
}

/**
 * How many decimals show a column of figures well: four significant digits of their median and at
 * least two of the smallest, but no more than five of the largest; 1 to 5. Zeros do not count; a
 * column of zeros gets 3.
 */
export function decimalsFor(figures: readonly number[]): number {
  const sizes = figures
    .map(Math.abs)
    .filter((size) => size > 0)
    .sort((one, other) => one - other);
  const smallest = sizes[0];
  const median = sizes[Math.floor(sizes.length / 2)];
  const largest = sizes.at(-1);
  if (smallest === undefined || median === undefined || largest === undefined) return 3;
  const wanted = Math.max(3 - exponentOf(median), 1 - exponentOf(smallest));
  return Math.max(1, Math.min(5, wanted, 4 - exponentOf(largest)));
}
