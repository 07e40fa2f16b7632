import { OutsideDomainError } from "../errors.ts";
import { above, below } from "./rounding.ts";

/** 2^-53: a correctly rounded operation is off by at most this much, relative to its result. */
const UNIT_ROUNDOFF = Number.EPSILON / 2;

// The natural logarithm of 2 in two parts. The first has 42 bits, so that its product with an
// exponent (11 bits) is exact; the second is the nearest double to the rest, whose error of less
// than 2^-97 is far below every margin here.
const LN2_HIGH = 3048493539143 / 4398046511104;
const LN2_LOW = 5.497923018708371e-14;

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

/** The whole number of times that ln 2 goes into x, to the nearest; -1076 to 1024. */
function binaryExponentOfExp(x: number): number {
  return Math.floor(x * Math.LOG2E + 0.5);
}

/**
 * exp(x) / 2^k with the stated margin added, to nearest; between 0.7 and 1.42.
 *
 * With r = x - k ln 2, |r| < 0.3466, and u = 2^-53: the reduced argument is carried in two parts
 * (error below 2^-80); the Taylor series to r^14 leaves out less than 0.002 u; its roundings, r^2/2
 * first, come to 0.21 u, and the last sums and the product left out to 0.12 u. The terms 1 + r are
 * added without error. In all less than u/2, apart from the rounding of the sum returned.
 */
function scaledExp(x: number, k: number, margin: number): number {
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
  return sum + (lost + curved + margin);
}

/** At least u/2, see {@link scaledExp}. */
const EXP_MARGIN = UNIT_ROUNDOFF / 2;

/**
 * A double not above exp(x), within 3 units in the last place of it (within 3 steps of 2^-1074
 * where the result is subnormal). Computed from + - * / alone, so that neither the engine nor the
 * machine changes it. 1 for 0, 0 for -Infinity, the largest double where exp(x) overflows.
 *
 * Throws OutsideDomainError for NaN.
 */
export function expBelow(x: number): number {
  if (x === 0) return 1;
  if (x > EXP_OVERFLOWS) return Number.MAX_VALUE;
  if (x < EXP_VANISHES) return 0;
  if (Number.isNaN(x)) outsideDomain("exp", "a number", x);
  const k = binaryExponentOfExp(x);
  const mantissa = below(scaledExp(x, k, -EXP_MARGIN));
  if (k > SMALLEST_NORMAL_EXPONENT && k < LARGEST_EXPONENT) return mantissa * powerOfTwo(k);
  if (k > 0) return Math.min(mantissa * powerOfTwo(k - 1) * 2, Number.MAX_VALUE);
  // Here the product can be subnormal and is rounded once more.
  return Math.max(0, below(mantissa * powerOfTwo(k + 64) * powerOfTwo(-64)));
}

/**
 * A double not below exp(x), within 3 units in the last place of it: the counterpart of
 * {@link expBelow}. 1 for 0, 0 for -Infinity, Infinity where exp(x) overflows.
 *
 * Throws OutsideDomainError for NaN.
 */
export function expAbove(x: number): number {
  if (x === 0) return 1;
  if (x > EXP_OVERFLOWS) return Number.POSITIVE_INFINITY;
  if (x < EXP_VANISHES) return x === Number.NEGATIVE_INFINITY ? 0 : Number.MIN_VALUE;
  if (Number.isNaN(x)) outsideDomain("exp", "a number", x);
  const k = binaryExponentOfExp(x);
  const mantissa = above(scaledExp(x, k, EXP_MARGIN));
  if (k > SMALLEST_NORMAL_EXPONENT && k < LARGEST_EXPONENT) return mantissa * powerOfTwo(k);
  if (k > 0) return mantissa * powerOfTwo(k - 1) * 2;
  return above(mantissa * powerOfTwo(k + 64) * powerOfTwo(-64));
}

/** Scratch for the bits of one double; a DataView reads alike on machines of either byte order. */
const scratch = new DataView(new ArrayBuffer(8));

/**
 * ln(x) with a margin for its error added downwards (`side` -1) or upwards (`side` 1), to nearest;
 * for 0 < x < Infinity.
 *
 * x = 2^k m with m next to 1, f = m - 1 exactly, s = f / (2 + f), and then
 * ln m = 2 atanh s = f - (f^2/2 - s (f^2/2 + R)) with R = 2/3 s^2 + 2/5 s^4 + ... + 2/21 s^20.
 * With |f| < 0.4143, |s| < 0.1716 and u = 2^-53, in units of u f^2: f^2/2 is off by 0.5, the product
 * with s by 0.92, their difference by 0.63, the terms left out by 0.03, the sum with the margin by
 * 0.63; less than 3 in all. Where k is not 0, k ln 2 joins in two parts, and the sums that join it
 * round by less than u/4. The leading terms k ln 2 and f are added without error.
 */
function logTowards(x: number, side: -1 | 1): number {
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
  if (mantissa > Math.SQRT2) {
    mantissa *= 0.5;
    exponent += 1;
  }
  const f = mantissa - 1;
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
                  z *
                    (2 / 11 +
                      z * (2 / 13 + z * (2 / 15 + z * (2 / 17 + z * (2 / 19 + z * (2 / 21))))))))));
  const square = f * f;
  const half = 0.5 * square;
  const curved = half - s * (half + series);
  const high = exponent * LN2_HIGH;
  const sum = high + f;
  const lost = f - (sum - high);
  const margin = UNIT_ROUNDOFF * (3 * square + (exponent === 0 ? 0 : 0.25));
  return sum + (lost + (exponent * LN2_LOW - curved) + side * margin);
}

/**
 * A double not above the natural logarithm of x, within 5 units in the last place of it. Computed
 * from + - * / alone. 0 for 1, -Infinity for 0, the logarithm of the largest double for Infinity.
 *
 * Throws OutsideDomainError for a negative number and for NaN.
 */
export function logBelow(x: number): number {
  if (x === 1) return 0;
  if (x > 0) return below(logTowards(Math.min(x, Number.MAX_VALUE), -1));
  if (x === 0) return Number.NEGATIVE_INFINITY;
  return outsideDomain("log", "zero or above", x);
}

/**
 * A double not below the natural logarithm of x, within 5 units in the last place of it: the
 * counterpart of {@link logBelow}. 0 for 1, -Infinity for 0, Infinity for Infinity.
 *
 * Throws OutsideDomainError for a negative number and for NaN.
 */
export function logAbove(x: number): number {
  if (x === 1) return 0;
  if (x === Number.POSITIVE_INFINITY) return x;
  if (x > 0) return above(logTowards(x, 1));
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
