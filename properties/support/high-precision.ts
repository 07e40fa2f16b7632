// exp and ln in whole numbers of 2^-192, for comparison with enclosures in doubles. Everything is
// a short sum of rational terms cut off below 2^-150; nothing is shared with the library.
import { Rational } from "./rational.ts";

const FRACTION_BITS = 192;
const ONE = 1n << BigInt(FRACTION_BITS);

/** The real number `significand * 2^exponent`, known to about 2^-100 of itself. */
export interface BinaryFigure {
  readonly significand: bigint;
  readonly exponent: number;
}

const float = new Float64Array(1);
const bits = new BigUint64Array(float.buffer);

/** A finite double as a figure, exactly. */
function figureOf(value: number): BinaryFigure {
  float[0] = Math.abs(value);
  const field = Number(bits[0]! >> 52n);
  const fraction = bits[0]! & 0xfffffffffffffn;
  const significand = field === 0 ? fraction : fraction | (1n << 52n);
  return {
    significand: value < 0 ? -significand : significand,
    exponent: Math.max(field, 1) - 1075,
  };
}

/** A figure in whole numbers of 2^-192, rounded down. */
function toFixed(figure: BinaryFigure): bigint {
  const shift = figure.exponent + FRACTION_BITS;
  return shift >= 0 ? figure.significand << BigInt(shift) : figure.significand >> BigInt(-shift);
}

/** Twice the inverse hyperbolic tangent of `numerator / denominator`, at most 1/3. */
function twiceArtanh(numerator: bigint, denominator: bigint): bigint {
  const w = (numerator << BigInt(FRACTION_BITS)) / denominator;
  const square = (w * w) >> BigInt(FRACTION_BITS);
  let power = w;
  let sum = 0n;
  for (let n = 1n; power !== 0n && power !== -1n && n < 400n; n += 2n) {
    sum += power / n;
    power = (power * square) >> BigInt(FRACTION_BITS);
  }
  return 2n * sum;
}

/** ln 2 = 2 artanh(1/3). */
const LN2 = twiceArtanh(1n, 3n);

/** exp of a fixed-point number: 2^k times a fixed-point number between 1 and 2. */
function fixedExp(x: bigint): { fixed: bigint; k: number } {
  const k = x / LN2 - (x < 0n ? 1n : 0n);
  // Ten halvings bring the rest below 2^-10; ten squarings undo them.
  const rest = (x - k * LN2) >> 10n;
  let term = ONE;
  let sum = ONE;
  for (let n = 1n; term !== 0n && n < 60n; n += 1n) {
    term = ((term * rest) >> BigInt(FRACTION_BITS)) / n;
    sum += term;
  }
  for (let squaring = 0; squaring < 10; squaring += 1) {
    sum = (sum * sum) >> BigInt(FRACTION_BITS);
  }
  return { fixed: sum, k: Number(k) };
}

/** exp of a finite double. */
export function exactExp(x: number): BinaryFigure {
  const { fixed, k } = fixedExp(toFixed(figureOf(x)));
  return { significand: fixed, exponent: k - FRACTION_BITS };
}

/**
 * ln of a finite double above zero. Starts from any approximation y and corrects it by the series
 * of ln(x exp(-y)), so the approximation's own error does not enter.
 */
export function exactLog(x: number): BinaryFigure {
  const { significand, exponent } = figureOf(x);
  const length = significand.toString(2).length;
  const mantissa = toFixed({ significand, exponent: 1 - length });
  const start = toFixed(figureOf(Math.log(Number(mantissa >> 130n) / 2 ** 62)));
  const { fixed, k } = fixedExp(start);
  const reference = k >= 0 ? fixed << BigInt(k) : fixed >> BigInt(-k);
  const correction = twiceArtanh(mantissa - reference, mantissa + reference);
  const whole = BigInt(exponent + length - 1) * LN2;
  return { significand: whole + start + correction, exponent: -FRACTION_BITS };
}

/** A figure as a rational number, exactly. */
export function rationalOfFigure({ significand, exponent }: BinaryFigure): Rational {
  return exponent >= 0
    ? Rational.of(significand << BigInt(exponent))
    : Rational.of(significand, 1n << BigInt(-exponent));
}

/** Sign of `value - figure`, exactly; an infinity lies beyond every figure. */
export function compareToFigure(value: number, figure: BinaryFigure): -1 | 0 | 1 {
  if (!Number.isFinite(value)) return value > 0 ? 1 : -1;
  const own = figureOf(value);
  const shift = own.exponent - figure.exponent;
  const left = shift >= 0 ? own.significand << BigInt(shift) : own.significand;
  const right = shift >= 0 ? figure.significand : figure.significand << BigInt(-shift);
  if (left === right) return 0;
  return left < right ? -1 : 1;
}
