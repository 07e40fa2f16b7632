// Part of the checker of certificates, which shares no code with the search.
/** An interval in units of 2^-128. */
export interface Fixed {
  readonly low: bigint;
  readonly high: bigint;
}

export type Box = readonly Fixed[];

export const BITS = 128n;
export const ONE = 1n << BITS;
export const ZERO: Fixed = { low: 0n, high: 0n };
export const UNIT: Fixed = { low: ONE, high: ONE };

/** Quotient of integers, rounded down; the divisor not zero. */
export function floorDivide(a: bigint, b: bigint): bigint {
  const q = a / b;
  return q * b !== a && a < 0n !== b < 0n ? q - 1n : q;
}

/** The same, rounded up. */
export function ceilDivide(a: bigint, b: bigint): bigint {
  return -floorDivide(-a, b);
}

export const least = (...values: bigint[]): bigint => values.reduce((a, b) => (b < a ? b : a));
export const most = (...values: bigint[]): bigint => values.reduce((a, b) => (b > a ? b : a));
export const add = (a: Fixed, b: Fixed): Fixed => ({ low: a.low + b.low, high: a.high + b.high });
export const negate = (a: Fixed): Fixed => ({ low: -a.high, high: -a.low });
export const subtract = (a: Fixed, b: Fixed): Fixed => add(a, negate(b));
export const isZero = (a: Fixed): boolean => a.low === 0n && a.high === 0n;

/** A product of two ends, rounded down or up. */
export const down = (a: bigint, b: bigint): bigint => (a * b) >> BITS;
export const up = (a: bigint, b: bigint): bigint => -((-a * b) >> BITS);

/** Product, rounded outward. */
export function multiply(a: Fixed, b: Fixed): Fixed {
  if (isZero(a) || isZero(b)) return ZERO;
  if (a.low >= 0n) {
    return {
      low: down(b.low >= 0n ? a.low : a.high, b.low),
      high: up(b.high >= 0n ? a.high : a.low, b.high),
    };
  }
  if (a.high <= 0n) return negate(multiply(negate(a), b));
  if (b.low >= 0n) return { low: down(a.low, b.high), high: up(a.high, b.high) };
  if (b.high <= 0n) return { low: down(a.high, b.low), high: up(a.low, b.low) };
  return {
    low: least(down(a.low, b.high), down(a.high, b.low)),
    high: most(up(a.low, b.low), up(a.high, b.high)),
  };
}

/** A step that cannot be confirmed. */
export class Refusal extends Error {}

/** Ends the check of a side: the step cannot be confirmed. */
export function refuse(what: string): never {
  throw new Refusal(what);
}

/** Quotient, rounded outward; refused where the divisor can be zero. */
export function divide(a: Fixed, b: Fixed): Fixed {
  if (b.low <= 0n && b.high >= 0n) refuse("a division by an interval that contains zero");
  const tops = [a.low << BITS, a.high << BITS] as const;
  const quotients = tops.flatMap((top) => [b.low, b.high].map((bottom) => [top, bottom] as const));
  return {
    low: least(...quotients.map(([top, bottom]) => floorDivide(top, bottom))),
    high: most(...quotients.map(([top, bottom]) => ceilDivide(top, bottom))),
  };
}

/** exp(x) for |x| <= 1: the series, its rest below twice the first term left out. */
function smallExponential(x: Fixed): Fixed {
  let sum = UNIT;
  let term = UNIT;
  for (let n = 1n; n <= 34n; n += 1n) {
    const next = multiply(term, x);
    term = { low: floorDivide(next.low, n), high: ceilDivide(next.high, n) };
    sum = add(sum, term);
  }
  const rest = 2n * most(-term.low, term.high, 1n);
  return { low: sum.low - rest, high: sum.high + rest };
}

function pointExponential(x: Fixed): Fixed {
  let halvings = 0;
  let reduced = x;
  while (most(-reduced.low, reduced.high) > ONE) {
    reduced = { low: reduced.low >> 1n, high: -(-reduced.high >> 1n) };
    halvings += 1;
    if (halvings > 12) refuse("an exponent beyond 4096");
  }
  let result = smallExponential(reduced);
  for (let count = 0; count < halvings; count += 1) result = multiply(result, result);
  return result;
}

/** exp rises: its ends are those of the interval. */
export function exponential({ low, high }: Fixed): Fixed {
  return {
    low: pointExponential({ low, high: low }).low,
    high: pointExponential({ low: high, high }).high,
  };
}

/** Natural logarithm of a point: halvings or doublings into [1, 2), then 2 artanh((m-1)/(m+1)). */
export function pointLogarithm(value: bigint): Fixed {
  if (value <= 0n) refuse("the logarithm of a number that is not positive");
  const shift = value.toString(2).length - 1 - Number(BITS);
  const mantissa: Fixed =
    shift >= 0
      ? { low: value >> BigInt(shift), high: (value >> BigInt(shift)) + 1n }
      : { low: value << BigInt(-shift), high: value << BigInt(-shift) };
  const series = (m: Fixed): Fixed => {
    const z = divide(subtract(m, UNIT), add(m, UNIT));
    const square = multiply(z, z);
    let power = z;
    let sum = z;
    for (let n = 3n; n <= 93n; n += 2n) {
      power = multiply(power, square);
      sum = add(sum, { low: floorDivide(power.low, n), high: ceilDivide(power.high, n) });
    }
    const rest = 2n * most(-power.low, power.high, 1n);
    return { low: 2n * (sum.low - rest), high: 2n * (sum.high + rest) };
  };
  const count = BigInt(shift);
  const ofTwo = series({ low: 2n * ONE, high: 2n * ONE });
  const twos =
    count >= 0n ? [ofTwo.low * count, ofTwo.high * count] : [ofTwo.high * count, ofTwo.low * count];
  return add(series(mantissa), { low: twos[0]!, high: twos[1]! });
}

/** The enclosure of decimal text. */
export function decimalOf(text: string): Fixed {
  const [, sign = "", whole = "", fraction = ""] = /^(-?)(\d*)\.?(\d*)$/.exec(text) ?? refuse(text);
  const numerator = BigInt(`${sign}${whole}${fraction}`) << BITS;
  const denominator = 10n ** BigInt(fraction.length);
  return {
    low: floorDivide(numerator, denominator),
    high: ceilDivide(numerator, denominator),
  };
}

/** A double as it is; finer than 2^-126 it is rounded outward. */
export function doubleOf(value: number): Fixed {
  if (!Number.isFinite(value)) refuse(`the number ${value}`);
  const scaled = value * 2 ** 100;
  if (Number.isInteger(scaled)) {
    const exact = BigInt(scaled) << (BITS - 100n);
    return { low: exact, high: exact };
  }
  const whole = BigInt(Math.floor(value * 2 ** 126));
  return { low: whole << (BITS - 126n), high: (whole + 1n) << (BITS - 126n) };
}

/** Magnitudes of an interval. */
export function absolute(a: Fixed): Fixed {
  if (a.low >= 0n) return a;
  return a.high <= 0n ? negate(a) : { low: 0n, high: most(-a.low, a.high) };
}

/** A power with a whole exponent, zero or above. */
export function power(a: Fixed, exponent: number): Fixed {
  let result = UNIT;
  for (let count = 0; count < exponent; count += 1) result = multiply(result, a);
  return exponent % 2 === 0 && result.low < 0n ? { low: 0n, high: result.high } : result;
}
