import { Decimal } from "../quantity/decimal.ts";
import { formatFixed } from "../quantity/format.ts";

/** Decimals that show that many significant digits of a number other than zero; may be negative. */
export function decimalsFor(value: number, significantDigits: number): number {
  const exponent = Number(
    Math.abs(value)
      .toExponential(significantDigits - 1)
      .split("e")[1],
  );
  return significantDigits - 1 - exponent;
}

/** Text with that many decimals; a negative number of decimals rounds to tens, hundreds, ... */
function withDecimals(value: Decimal, decimals: number, up: boolean): string {
  if (decimals >= 0) return formatFixed(up ? value.roundUp(decimals) : value, decimals);
  const half = Decimal.ofScaled(5n, -decimals - 1);
  const sign = value.sign() < 0 ? -1 : 1;
  const size = value.absolute();
  const rounded = up ? size.roundUp(decimals) : size.add(half).roundDown(decimals);
  return (sign < 0 ? rounded.negate() : rounded).toString();
}

const shortest = (value: number): Decimal => Decimal.fromNumber(value).value;

/** An estimate with the decimals of its uncertainty, rounded to the nearest. */
export function printEstimate(estimate: number, decimals: number): string {
  return withDecimals(shortest(estimate), Math.min(decimals, 100), false);
}

/** A standard uncertainty to two significant digits, rounded to the nearest. */
export function printStandardUncertainty(value: number): string {
  if (value === 0) return "0";
  return withDecimals(shortest(value), Math.min(100, decimalsFor(value, 2)), false);
}

/**
 * An expanded uncertainty to two significant digits, never rounded down (project policy; JCGM 100,
 * 7.2.6 leaves it open).
 */
export function printExpandedUncertainty(value: number): string {
  if (value === 0) return "0";
  return withDecimals(shortest(value), Math.min(100, decimalsFor(value, 2)), true);
}
