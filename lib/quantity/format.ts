import { OutsideDomainError } from "../errors.ts";
import { Decimal } from "./decimal.ts";
import { dimensionRule } from "./dimension.ts";
import type { Dimension } from "./dimension.ts";
import type { PrintedUnit } from "./dimension-rule.ts";
import { exactDecimal } from "./exact-decimal.ts";
import { digitCount } from "./integer-arithmetic.ts";

const HALF = Decimal.parse("0.5");
/** Digits shown of a computed value when the caller does not say. */
const DIGITS_OF_COMPUTED = 6;

function checkedDecimals(decimals: number): number {
  if (Number.isInteger(decimals) && decimals >= 0 && decimals <= 100) return decimals;
  throw new OutsideDomainError({
    path: "",
    quantity: "number of decimals",
    permitted: "an integer from 0 to 100",
    received: String(decimals),
  });
}

/** Plain text of a decimal that has at most that many decimals, filled with zeros. */
function paddedText(value: Decimal, decimals: number): string {
  const text = value.toString();
  const point = text.indexOf(".");
  const present = point < 0 ? 0 : text.length - point - 1;
  const dot = point < 0 && decimals > 0 ? "." : "";
  return `${text}${dot}${"0".repeat(Math.max(0, decimals - present))}`;
}

/** Nearest decimal with that many decimals, halves away from zero. */
function rounded(value: Decimal, decimals: number): Decimal {
  const half = HALF.multiply(Decimal.ofScaled(1n, -decimals));
  const size = value.absolute().add(half).roundDown(decimals);
  return value.sign() < 0 ? size.negate() : size;
}

/** Power of ten of the leading digit; the value is not zero. */
function leadingExponent(value: Decimal): number {
  return digitCount(value.mantissa) + value.exponent - 1;
}

function roundedToDigits(value: Decimal, significantDigits: number): Decimal {
  return rounded(value, significantDigits - 1 - leadingExponent(value));
}

function shownDecimal(value: number | Decimal): Decimal {
  return typeof value === "number" ? Decimal.fromNumber(value).value : value;
}

function unitFor(value: Decimal, units: readonly PrintedUnit[]): PrintedUnit {
  const exponent = leadingExponent(value);
  const found = units.find((unit) => exponent >= unit.from) ?? units.at(-1);
  return found ?? { symbol: "", exponent: 0, from: 0 };
}

/**
 * Text with exactly that many decimals, 0 to 100, rounded to the nearest (halves away from zero);
 * never minus zero. Throws InvalidInputError for NaN and infinity.
 */
export function formatFixed(value: number | Decimal, decimals: number): string {
  return paddedText(rounded(shownDecimal(value), checkedDecimals(decimals)), decimals);
}

/** Volts with exactly that many decimals and their unit: "34.00 V". See {@link formatFixed}. */
export function formatVolts(value: number | Decimal, decimals: number): string {
  return `${formatFixed(value, decimals)} V`;
}

/**
 * A figure of at least the magnitude given, with exactly that many decimals: rounded away from
 * zero, so that a printed bound is never tighter than the bound. A double counts as the very value
 * it holds: the double next to 0.1 lies above 0.1, so that one decimal prints it as "0.2"; give a
 * Decimal for a limit that a person wrote. Throws InvalidInputError for NaN and infinity.
 */
export function printUp(value: number | Decimal, decimals: number): string {
  const exact = exactDecimal(value);
  const size = exact.absolute().roundUp(checkedDecimals(decimals));
  return paddedText(exact.sign() < 0 ? size.negate() : size, decimals);
}

/**
 * A figure of at most the magnitude given, with exactly that many decimals: rounded towards zero,
 * so that a printed witness or margin is never larger than the one found. See {@link printUp}.
 */
export function printDown(value: number | Decimal, decimals: number): string {
  const exact = exactDecimal(value);
  const size = exact.absolute().roundDown(checkedDecimals(decimals));
  return paddedText(exact.sign() < 0 ? size.negate() : size, decimals);
}

/** How many digits {@link formatQuantity} shows. */
export interface QuantityFormat {
  /**
   * Exactly this many significant digits, 1 to 100. When left out, a value of at most 15 digits is
   * shown as it is and any other rounded to 6.
   */
  readonly significantDigits?: number;
}

/**
 * A value, given in the unit used inside, for people: with the SI prefix that leaves one to three
 * digits before the point ("24.9 MΩ", "22 pF"), ratios in percent from 0.1 % and in ppm below,
 * rejections as the fraction that passes. Rounded to the nearest; for bounds use {@link printUp}.
 * Throws InvalidInputError for NaN and infinity.
 */
export function formatQuantity(
  value: number | Decimal,
  dimension: Dimension,
  { significantDigits }: QuantityFormat = {},
): string {
  const units = dimensionRule(dimension).printed;
  const given = shownDecimal(value);
  if (given.isZero()) {
    const plain = units.find((unit) => unit.exponent === 0) ?? units[0];
    return `0 ${plain?.symbol ?? ""}`.trimEnd();
  }
  if (significantDigits !== undefined && !(significantDigits >= 1 && significantDigits <= 100)) {
    throw new OutsideDomainError({
      path: "",
      quantity: "number of significant digits",
      permitted: "an integer from 1 to 100",
      received: String(significantDigits),
    });
  }
  const isComputed = typeof value === "number" && !Decimal.fromNumber(value).typed;
  const digits = significantDigits ?? (isComputed ? DIGITS_OF_COMPUTED : undefined);
  // Rounding comes before the choice of the prefix: 999.96 kΩ to four digits is 1.000 MΩ.
  const shown = digits === undefined ? given : roundedToDigits(given, digits);
  const unit = unitFor(shown, units);
  const figure = shown.multiply(Decimal.ofScaled(1n, -unit.exponent));
  const decimals =
    significantDigits === undefined ? 0 : significantDigits - 1 - leadingExponent(figure);
  const symbol = figure.equals(Decimal.one) ? (unit.singular ?? unit.symbol) : unit.symbol;
  return `${paddedText(figure, Math.max(0, decimals))} ${symbol}`;
}
