import * as fc from "fast-check";
import { Decimal } from "../../lib/quantity/decimal.ts";

/**
 * A rational number for checks that share no code with the decimals: `top / bottom`, bottom above
 * zero.
 */
export interface Rational {
  readonly top: bigint;
  readonly bottom: bigint;
}

/** Reads plain or exponent notation into a rational, by its own rules. */
export function rationalOfText(text: string): Rational {
  const [coefficient = "", power = "0"] = text.toLowerCase().split("e");
  const [whole = "", fraction = ""] = coefficient.split(".");
  const exponent = Number(power) - fraction.length;
  const digits = BigInt(`${whole}${fraction}`);
  return exponent >= 0
    ? { top: digits * 10n ** BigInt(exponent), bottom: 1n }
    : { top: digits, bottom: 10n ** BigInt(-exponent) };
}

/** The value of a finite double, from its bits. */
export function rationalOfDouble(value: number): Rational {
  const bits = new BigUint64Array(new Float64Array([value]).buffer)[0] ?? 0n;
  const sign = bits >> 63n === 1n ? -1n : 1n;
  const field = (bits >> 52n) & 2047n;
  const fraction = bits & (2n ** 52n - 1n);
  const significand = field === 0n ? fraction : fraction + 2n ** 52n;
  const power = (field === 0n ? 1n : field) - 1075n;
  return power >= 0n
    ? { top: sign * significand * 2n ** power, bottom: 1n }
    : { top: sign * significand, bottom: 2n ** -power };
}

/** Sign of `a - b`. */
export function compareRationals(a: Rational, b: Rational): -1 | 0 | 1 {
  const [left, right] = [a.top * b.bottom, b.top * a.bottom];
  if (left === right) return 0;
  return left < right ? -1 : 1;
}

/** The double with these 64 bits. */
function doubleOfBits(bits: bigint): number {
  return new Float64Array(new BigUint64Array([bits]).buffer)[0] ?? 0;
}

/** The double next to a finite one, upwards. */
export function nextAbove(value: number): number {
  if (value === 0) return Number.MIN_VALUE;
  const bits = new BigUint64Array(new Float64Array([value]).buffer)[0] ?? 0n;
  return doubleOfBits(value > 0 ? bits + 1n : bits - 1n);
}

/** Every finite double, subnormal ones and the largest included, by its bits. */
export const finiteDoubles = fc
  .bigInt({ min: 0n, max: 2n ** 64n - 1n })
  .map(doubleOfBits)
  .filter((value) => Number.isFinite(value));

/** Decimals as documents hold them: up to 18 digits, from 1e-30 to 1e30. */
export const decimals = fc
  .tuple(fc.bigInt({ min: -(10n ** 18n), max: 10n ** 18n }), fc.integer({ min: -30, max: 12 }))
  .map(([mantissa, exponent]) => Decimal.ofScaled(mantissa, exponent));

/** Decimals over and beyond the range of the doubles, up to 40 digits. */
export const wideDecimals = fc
  .tuple(fc.bigInt({ min: -(10n ** 40n), max: 10n ** 40n }), fc.integer({ min: -370, max: 268 }))
  .map(([mantissa, exponent]) => Decimal.ofScaled(mantissa, exponent));
