import { OutsideDomainError } from "../errors.ts";
import { above, below } from "./rounding.ts";

// Natural logarithms in two parts: the first is a multiple of 2^-42, so that its sums and its
// products with an exponent are exact; the second is the nearest double to the rest, off by less
// than 2^-97, which is far below every error counted here.
const LN2_HIGH = 3048493539143 / 4398046511104;
const LN2_LOW = 5.497923018708371e-14;
const LN_FOUR_THIRDS_HIGH = 1265239135053 / 4398046511104;
const LN_FOUR_THIRDS_LOW = 1.6445010155315012e-13;

/** Below this, exp(x) is less than half the smallest double; above the next one, it overflows. */
const EXP_VANISHES = -746;
const EXP_OVERFLOWS = 710;

const SMALLEST_NORMAL_EXPONENT = -1022;
const LARGEST_EXPONENT = 1023;

/** 2^k at index k + 1022, made by exact doubling. */
const POWERS_OF_TWO = new Float64Array(LARGEST_EXPONENT - SMALLEST_NORMAL_EXPONENT + 1);
POWERS_OF_TWO[0] = 2.2250738585072014e-308;
for (let index = 1; index < POWERS_OF_TWO.length; index += 1) {
  POWERS_OF_TWO[index] = 2 * POWERS_OF_TWO[index - 1]!;
}

function powerOfTwo(exponent: number): number {
  return POWERS_OF_TWO[exponent - SMALLEST_NORMAL_EXPONENT]!;
}

function outsideDomain(operation: string, permitted: string, received: number): never {
  const quantity = `the argument of ${operation}`;
  throw new OutsideDomainError({ path: "", quantity, permitted, received: String(received) });
}

/** y * 2^k for y near 1, rounded once where the result is subnormal and not at all elsewhere. */
function scaled(y: number, k: number): number {
  if (k > SMALLEST_NORMAL_EXPONENT && k <= LARGEST_EXPONENT) return y * powerOfTwo(k);
  if (k > 0) return y * powerOfTwo(k - 1) * 2;
  return y * powerOfTwo(k + 64) * powerOfTwo(-64);
}

/**
 * exp(x) with an error of less than one step to the next double, for -746 <= x <= 710.
 *
 * With x = k ln 2 + r, |r| < 0.3466, y = exp(r) and u = 2^-53: r is carried in two parts (error
 * below 2^-80); the Taylor series to r^14 leaves out less than 0.002 u; its roundings come to 0.13 u
 * (0.03 u for r^2/2, 0.04 u for the rest of the series, 0.06 u for their sum), the product left out
 * and the last two inner sums to 0.15 u; 1 + r is added without error. In all less than 0.3 u. The
 * rounding of y adds half a step, which is u/2 at least: less than 0.8 of a step together. Where
 * 2^k y is subnormal, the 0.8 shrink by half or more and half a step is added: less than 0.9.
 */
function expNearby(x: number): number {
  const k = Math.floor(x * Math.LOG2E + 0.5);
  // Exact: both terms are multiples of 2^-54 (x itself when k is 0) and the difference is small.
  const high = x - k * LN2_HIGH;
  const low = k * LN2_LOW;
  const r = high - low;
  const rest = high - r - low;
  const square = r * r;
  const tail =
    1 / 6 +
    r *
      (1 / 24 +
        r *
          (1 / 120 +
            r *
              (1 / 720 +
                r *
                  (1 / 5040 +
                    r *
                      (1 / 40320 +
                        r *
                          (1 / 362880 +
                            r *
                              (1 / 3628800 +
                                r *
                                  (1 / 39916800 +
                                    r *
                                      (1 / 479001600 +
                                        r * (1 / 6227020800 + r * (1 / 87178291200)))))))))));
  const curved = 0.5 * square + square * r * tail + (rest + rest * r);
  const sum = 1 + r;
  const lost = r - (sum - 1);
  return scaled(sum + (lost + curved), k);
}

/**
 * A double not above exp(x), within 2 units in the last place of it (3 where the result is below
 * 2^-1019). Computed from + - * / alone, so that neither the engine nor the machine changes it. 1
 * for 0, 0 for -Infinity, the largest double or the one next to it where exp(x) overflows.
 *
 * Throws OutsideDomainError for NaN.
 */
export function expBelow(x: number): number {
  if (x === 0) return 1;
  if (x > EXP_OVERFLOWS) return Number.MAX_VALUE;
  if (x < EXP_VANISHES) return 0;
  if (Number.isNaN(x)) outsideDomain("exp", "a number", x);
  return Math.max(0, below(expNearby(x)));
}

/**
 * A double not below exp(x), within 2 units in the last place of it (3 where the result is below
 * 2^-1019): the counterpart of {@link expBelow}. 1 for 0, 0 for -Infinity, Infinity where exp(x)
 * overflows.
 *
 * Throws OutsideDomainError for NaN.
 */
export function expAbove(x: number): number {
  if (x === 0) return 1;
  if (x > EXP_OVERFLOWS) return Number.POSITIVE_INFINITY;
  if (x < EXP_VANISHES) return x === Number.NEGATIVE_INFINITY ? 0 : Number.MIN_VALUE;
  if (Number.isNaN(x)) outsideDomain("exp", "a number", x);
  return above(expNearby(x));
}

/** Scratch for the bits of one double; a DataView reads alike on machines of either byte order. */
const scratch = new DataView(new ArrayBuffer(8));

/**
 * ln(x) with an error of less than one step to the next double, for 0 < x < Infinity.
 *
 * x = 2^k m with 0.8 < m <= 1.6, and ln m = ln(3/4 m) + ln(4/3) where m > 1.2. With f = m - 1 or
 * 3/4 m - 1, both exact, |f| < 0.2001, s = f / (2 + f), |s| < 0.112: ln(1 + f) = 2 atanh s =
 * f - (f^2/2 - s (f^2/2 + R)), R = 2/3 s^2 + 2/5 s^4 + ... + 2/19 s^18.
 *
 * In units of u f^2, u = 2^-53: f^2/2 is off by 0.5, the product with s by 0.56, their difference by
 * 0.58 and the terms left out by less than 0.01: less than 1.65. Without other terms, |ln x| is
 * more than 4.5 f^2, so that this is less than 0.37 of a step, and half a step is added for the last
 * sum. With other terms, |ln x| > 0.18; two inner sums add 0.032 u, which makes 0.1 u or 0.4 of the
 * least step, u/4, and half a step for the last sum. The leading terms are added without error.
 */
function logNearby(x: number): number {
  let exponent = 0;
  let normal = x;
  if (normal < 2.2250738585072014e-308) {
    normal *= 18014398509481984;
    exponent = -54;
  }
  scratch.setFloat64(0, normal);
  const top = scratch.getUint32(0);
  exponent += (top >>> 20) - 1023;
  scratch.setUint32(0, (top & 0xfffff) | 0x3ff00000);
  let mantissa = scratch.getFloat64(0);
  if (mantissa > 1.6) {
    mantissa *= 0.5;
    exponent += 1;
  }
  let f = mantissa - 1;
  let high = exponent * LN2_HIGH;
  let low = exponent * LN2_LOW;
  if (mantissa > 1.2) {
    f -= 0.25 * mantissa;
    high += LN_FOUR_THIRDS_HIGH;
    low += LN_FOUR_THIRDS_LOW;
  }
  const s = f / (2 + f);
  const z = s * s;
  const series =
    z *
    (2 / 3 +
      z *
        (2 / 5 +
          z *
            (2 / 7 +
              z *
                (2 / 9 +
                  z * (2 / 11 + z * (2 / 13 + z * (2 / 15 + z * (2 / 17 + z * (2 / 19)))))))));
  const half = 0.5 * f * f;
  const curved = half - s * (half + series);
  const sum = high + f;
  const lost = f - (sum - high);
  return sum + (lost + (low - curved));
}

/**
 * A double not above the natural logarithm of x, within 2 units in the last place of it. Computed
 * from + - * / alone. 0 for 1, -Infinity for 0, the logarithm of the largest double for Infinity.
 *
 * Throws OutsideDomainError for a negative number and for NaN.
 */
export function logBelow(x: number): number {
  if (x === 1) return 0;
  if (x > 0) return below(logNearby(Math.min(x, Number.MAX_VALUE)));
  if (x === 0) return Number.NEGATIVE_INFINITY;
  return outsideDomain("log", "zero or above", x);
}

/**
 * A double not below the natural logarithm of x, within 2 units in the last place of it: the
 * counterpart of {@link logBelow}. 0 for 1, -Infinity for 0, Infinity for Infinity.
 *
 * Throws OutsideDomainError for a negative number and for NaN.
 */
export function logAbove(x: number): number {
  if (x === 1) return 0;
  if (x === Number.POSITIVE_INFINITY) return x;
  if (x > 0) return above(logNearby(x));
  if (x === 0) return Number.NEGATIVE_INFINITY;
  return outsideDomain("log", "zero or above", x);
}

/**
 * A double not above the square root of x: the step below the correctly rounded root, 0 for 0.
 * Throws OutsideDomainError for a negative number and for NaN.
 *
 * Source: IEEE 754-2019, 5.4.1 (squareRoot is correctly rounded). ECMAScript leaves the accuracy of
 * Math.sqrt to the engine; the tests compare it with exact integers.
 */
export function sqrtBelow(x: number): number {
  if (x > 0) return below(Math.sqrt(x));
  if (x === 0) return 0;
  return outsideDomain("sqrt", "zero or above", x);
}

/**
 * A double not below the square root of x, the counterpart of {@link sqrtBelow}; 0 for 0.
 * Throws OutsideDomainError for a negative number and for NaN.
 */
export function sqrtAbove(x: number): number {
  if (x > 0) return above(Math.sqrt(x));
  if (x === 0) return 0;
  return outsideDomain("sqrt", "zero or above", x);
}
