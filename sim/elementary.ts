/**
 * Exponential and circular functions from the four operations alone. The language leaves the last
 * bits of its own to each engine; these give the same bits wherever doubles follow IEC 60559.
 */

const LN2_HIGH = 6.93147180369123816e-1;
const LN2_LOW = 1.90821492927058770002e-10;
const INVERSE_LN2 = Math.LOG2E;
const HALF_PI = 1.5707963267948966;

/** 1 / k! for k = 2 to 14. */
const F2 = 1 / 2;
const F3 = 1 / 6;
const F4 = 1 / 24;
const F5 = 1 / 120;
const F6 = 1 / 720;
const F7 = 1 / 5040;
const F8 = 1 / 40320;
const F9 = 1 / 362880;
const F10 = 1 / 3628800;
const F11 = 1 / 39916800;
const F12 = 1 / 479001600;
const F13 = 1 / 6227020800;
const F14 = 1 / 87178291200;
const F15 = 1 / 1307674368000;
const F16 = 1 / 20922789888000;
const F17 = 1 / 355687428096000;

const FIRST_POWER = -1074;
const LAST_POWER = 1023;

/** Powers of two from the smallest double to the largest; each is exact. */
const POWERS = Float64Array.from({ length: LAST_POWER - FIRST_POWER + 1 }, (_, index) => {
  let power = 1;
  const exponent = index + FIRST_POWER;
  for (let step = 0; step < Math.abs(exponent); step += 1) power *= exponent < 0 ? 0.5 : 2;
  return power;
});

/** e^x to about one unit in the last place; infinite above 709.78, zero below -745. */
export function exponential(x: number): number {
  if (x !== x) return x;
  if (x > 709.78) return Infinity;
  if (x < -745) return 0;
  const power = Math.round(x * INVERSE_LN2);
  const high = x - power * LN2_HIGH;
  const low = power * LN2_LOW;
  const r = high - low;
  const lost = high - r - low;
  const q =
    F6 + r * (F7 + r * (F8 + r * (F9 + r * (F10 + r * (F11 + r * (F12 + r * (F13 + r * F14)))))));
  const p = r * r * (F2 + r * (F3 + r * (F4 + r * (F5 + r * q))));
  const value = 1 + (r + (p + lost));
  // Two factors, because two to the 1024 is no double while a little less times 1.4 is.
  if (power > LAST_POWER) return value * 2 * POWERS[power - 1 - FIRST_POWER]!;
  if (power < FIRST_POWER) return value * 0.5 * POWERS[0]!;
  return value * POWERS[power - FIRST_POWER]!;
}

function sineNearZero(x: number): number {
  const q = x * x;
  const tail = F5 - q * (F7 - q * (F9 - q * (F11 - q * (F13 - q * (F15 - q * F17)))));
  return x - x * q * (F3 - q * tail);
}

function cosineNearZero(x: number): number {
  const q = x * x;
  const tail = F4 - q * (F6 - q * (F8 - q * (F10 - q * (F12 - q * (F14 - q * F16)))));
  return 1 - q * (F2 - q * tail);
}

/** Cosine of an angle in turns, so that whole turns are dropped without error. */
export function cosineOfTurns(turns: number): number {
  const quarters = (turns - Math.round(turns)) * 4;
  const nearest = Math.round(quarters);
  const rest = (quarters - nearest) * HALF_PI;
  switch (nearest & 3) {
    case 0:
      return cosineNearZero(rest);
    case 1:
      return -sineNearZero(rest);
    case 2:
      return -cosineNearZero(rest);
    default:
      return sineNearZero(rest);
  }
}

/** Sine of an angle in turns. */
export function sineOfTurns(turns: number): number {
  const quarters = (turns - Math.round(turns)) * 4;
  const nearest = Math.round(quarters);
  const rest = (quarters - nearest) * HALF_PI;
  switch (nearest & 3) {
    case 0:
      return sineNearZero(rest);
    case 1:
      return cosineNearZero(rest);
    case 2:
      return -sineNearZero(rest);
    default:
      return -cosineNearZero(rest);
  }
}

/** Natural logarithm of a positive double, to about two units in the last place. */
export function logarithm(x: number): number {
  if (!(x > 0)) return x === 0 ? -Infinity : NaN;
  if (x === Infinity) return x;
  let mantissa = x;
  let power = 0;
  // Bisection over the exact powers of two: eleven steps at most.
  for (let step = 10; step >= 0; step -= 1) {
    const size = 2 ** step;
    const up = POWERS[Math.min(size, LAST_POWER) - FIRST_POWER]!;
    if (mantissa >= up && size <= LAST_POWER) {
      mantissa /= up;
      power += size;
    }
  }
  for (let step = 0; mantissa < 1 && step < 1100; step += 1) {
    mantissa *= 2;
    power -= 1;
  }
  if (mantissa > Math.SQRT2) {
    mantissa /= 2;
    power += 1;
  }
  const s = (mantissa - 1) / (mantissa + 1);
  const q = s * s;
  let sum = 0;
  for (let odd = 25; odd >= 3; odd -= 2) sum = q * (1 / odd + sum);
  return power * LN2_HIGH + (2 * s + (2 * s * sum + power * LN2_LOW));
}
