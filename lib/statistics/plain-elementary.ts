const LOG2_E = Math.LOG2E;
/** log 2 in two parts; the first has so many trailing zeros that its products are exact. */
const LOG_2_HIGH = 0.6931471803691238;
const LOG_2_LOW = 1.9082149292705877e-10;
/** 1.5 * 2^52: adding and subtracting it rounds to an integer. */
const ROUNDER = 6_755_399_441_055_744;
const ROOT_2 = Math.SQRT2;
const SMALLEST_NORMAL = 2 ** -1022;

/** Coefficients, so that other forms of the same calculation take them from here. */
export const PLAIN_ELEMENTARY = {
  log2e: LOG2_E,
  log2High: LOG_2_HIGH,
  log2Low: LOG_2_LOW,
  rounder: ROUNDER,
  root2: ROOT_2,
  smallestNormal: SMALLEST_NORMAL,
  /** 1/13! down to 1/0!. */
  exponential: [
    1 / 6_227_020_800,
    1 / 479_001_600,
    1 / 39_916_800,
    1 / 3_628_800,
    1 / 362_880,
    1 / 40_320,
    1 / 5_040,
    1 / 720,
    1 / 120,
    1 / 24,
    1 / 6,
    1 / 2,
    1,
    1,
  ],
  /** 2/21 down to 2/3. */
  logarithm: [2 / 21, 2 / 19, 2 / 17, 2 / 15, 2 / 13, 2 / 11, 2 / 9, 2 / 7, 2 / 5, 2 / 3],
} as const;

const bits = new DataView(new ArrayBuffer(8));

/** 2 to an integer power from -1022 to 1023. */
function powerOfTwo(exponent: number): number {
  bits.setInt32(0, (exponent + 1023) << 20);
  bits.setInt32(4, 0);
  return bits.getFloat64(0);
}

/**
 * e to the power x from + - * only, so that every engine gives the same bits; within 2 units in
 * the last place. For Monte Carlo; bounds use lib/interval.
 */
export function plainExp(x: number): number {
  const bounded = Math.min(Math.max(x, -746), 710);
  const k = bounded * LOG2_E + ROUNDER - ROUNDER;
  const r = bounded - k * LOG_2_HIGH - k * LOG_2_LOW;
  let sum: number = PLAIN_ELEMENTARY.exponential[0];
  for (let index = 1; index < 14; index += 1) sum = sum * r + PLAIN_ELEMENTARY.exponential[index]!;
  // In two factors, because 2^k alone may be beyond the doubles while the product is not.
  const half = k >> 1;
  return sum * powerOfTwo(half) * powerOfTwo((k | 0) - half);
}

/**
 * Natural logarithm from + - * / only, so that every engine gives the same bits; within 2 units
 * in the last place. -Infinity at 0, NaN below. For Monte Carlo; bounds use lib/interval.
 */
export function plainLog(x: number): number {
  if (!(x >= 0)) return Number.NaN;
  if (x === 0) return -Infinity;
  if (x === Infinity) return Infinity;
  const isSmall = x < SMALLEST_NORMAL;
  bits.setFloat64(0, isSmall ? x * 2 ** 54 : x);
  const high = bits.getInt32(0);
  let exponent = (high >> 20) - (isSmall ? 1023 + 54 : 1023);
  bits.setInt32(0, (high & 0xfffff) | 0x3ff00000);
  let mantissa = bits.getFloat64(0);
  if (mantissa >= ROOT_2) {
    mantissa *= 0.5;
    exponent += 1;
  }
  const s = (mantissa - 1) / (mantissa + 1);
  const z = s * s;
  let sum: number = PLAIN_ELEMENTARY.logarithm[0];
  for (let index = 1; index < 10; index += 1) sum = sum * z + PLAIN_ELEMENTARY.logarithm[index]!;
  return exponent * LOG_2_HIGH + (2 * s + (s * (z * sum) + exponent * LOG_2_LOW));
}

/** 1/21! down to 1/1!, signs alternating. */
const SINE = Array.from({ length: 11 }, (_, index) => {
  let coefficient = index % 2 === 0 ? 1 : -1;
  for (let factor = 2; factor <= 21 - 2 * index; factor += 1) coefficient /= factor;
  return coefficient;
});

/**
 * Sine of a half turn times t, for t from -1/2 to 1/2, from + - * only, so that every engine gives
 * the same bits; within 2^-51. For Monte Carlo.
 */
export function plainSineOfHalfTurns(t: number): number {
  const x = Math.PI * t;
  const z = x * x;
  let sum = SINE[0]!;
  for (let index = 1; index < 11; index += 1) sum = sum * z + SINE[index]!;
  return x * sum;
}
