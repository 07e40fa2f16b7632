import { OutsideDomainError, UnboundedResultError, invariant } from "../errors.ts";
import { expAbove, expBelow, logAbove, logBelow, sqrtAbove, sqrtBelow } from "./elementary.ts";
import { above, below } from "./rounding.ts";

/**
 * A closed set of real numbers: all x with `lower` <= x <= `upper`. Immutable. An infinite end means
 * that the set has no limit on that side; infinity itself is not a member.
 *
 * The functions on intervals enclose: for all members of the operands, the exact result of the
 * operation is a member of the interval returned.
 */
export interface Interval {
  /** Least member, or -Infinity; never above `upper`, never Infinity. */
  readonly lower: number;
  /** Greatest member, or Infinity; never -Infinity. */
  readonly upper: number;
}

function isInterval(lower: number, upper: number): boolean {
  return lower <= upper && lower < Infinity && upper > -Infinity;
}

/** An interval that a function here has worked out; anything else is a fault of this package. */
function enclosure(lower: number, upper: number): Interval {
  // The sentence is written only when it is needed: writing numbers takes longer than adding them.
  if (!isInterval(lower, upper)) invariant(false, `[${lower}, ${upper}] is an interval`);
  return { lower, upper };
}

/**
 * The interval from `lower` to `upper`, both taken as the very values of the doubles. Throws
 * OutsideDomainError where an end is NaN, the ends are crossed, or the set would hold no number.
 */
export function interval(lower: number, upper: number): Interval {
  if (!isInterval(lower, upper)) {
    throw new OutsideDomainError({
      path: "",
      quantity: "the ends of an interval",
      permitted: "numbers, the lower not above the upper, with a real number between them",
      received: `[${lower}, ${upper}]`,
    });
  }
  return { lower, upper };
}

/** The interval that holds one finite number. Throws OutsideDomainError for NaN and infinities. */
export function point(value: number): Interval {
  return interval(value, value);
}

/** Product of two ends in the sense of intervals: 0 times an unlimited end is 0. Rounded down. */
function productBelow(a: number, b: number): number {
  if (a === 0 || b === 0) return 0;
  const lower = below(a * b);
  return a > 0 === b > 0 ? Math.max(0, lower) : lower;
}

/** As {@link productBelow}, rounded up. */
function productAbove(a: number, b: number): number {
  return 0 - productBelow(-a, b);
}

/** Quotient of two ends, not both infinite and the divisor not 0, rounded down. */
function quotientBelow(a: number, b: number): number {
  if (a === 0) return 0;
  const lower = below(a / b);
  return a > 0 === b > 0 ? Math.max(0, lower) : lower;
}

/** As {@link quotientBelow}, rounded up. */
function quotientAbove(a: number, b: number): number {
  return 0 - quotientBelow(-a, b);
}

/** All -x. Exact. */
export function negate(x: Interval): Interval {
  return enclosure(0 - x.upper, 0 - x.lower);
}

/** All x + y. */
export function add(x: Interval, y: Interval): Interval {
  return enclosure(below(x.lower + y.lower), above(x.upper + y.upper));
}

/** All x - y. */
export function subtract(x: Interval, y: Interval): Interval {
  return enclosure(below(x.lower - y.upper), above(x.upper - y.lower));
}

/** All x y. A factor that is 0 alone gives 0, however far the other reaches. */
export function multiply(x: Interval, y: Interval): Interval {
  const { lower: a, upper: b } = x;
  const { lower: c, upper: d } = y;
  return enclosure(
    Math.min(productBelow(a, c), productBelow(a, d), productBelow(b, c), productBelow(b, d)),
    Math.max(productAbove(a, c), productAbove(a, d), productAbove(b, c), productAbove(b, d)),
  );
}

/** All x / y. Throws {@link UnboundedResultError} where 0 is a member of `y`. */
export function divide(x: Interval, y: Interval): Interval {
  if (contains(y, 0)) {
    const box = { x: [x.lower, x.upper], y: [y.lower, y.upper] } as const;
    throw new UnboundedResultError("x / y", box);
  }
  if (y.upper < 0) return divide(negate(x), negate(y));
  return enclosure(
    quotientBelow(x.lower, x.lower >= 0 ? y.upper : y.lower),
    quotientAbove(x.upper, x.upper >= 0 ? y.lower : y.upper),
  );
}

/** All square roots. Throws OutsideDomainError where `x` has a member below 0. */
export function squareRoot(x: Interval): Interval {
  return enclosure(sqrtBelow(x.lower), sqrtAbove(x.upper));
}

/** All exp(x). */
export function exponential(x: Interval): Interval {
  return enclosure(expBelow(x.lower), expAbove(x.upper));
}

/**
 * All natural logarithms; without a lower limit where 0 is the lower end of `x`. Throws
 * OutsideDomainError where `x` has a member below 0 or no member above 0.
 */
export function logarithm(x: Interval): Interval {
  if (x.lower < 0 || x.upper <= 0) {
    throw new OutsideDomainError({
      path: "",
      quantity: "the argument of log",
      permitted: "zero or above, and not zero alone",
      received: `[${x.lower}, ${x.upper}]`,
    });
  }
  return enclosure(logBelow(x.lower), logAbove(x.upper));
}

/** All |x|. Exact. */
export function absolute(x: Interval): Interval {
  if (x.lower >= 0) return x;
  if (x.upper <= 0) return negate(x);
  return enclosure(0, Math.max(-x.lower, x.upper));
}

/** All min(x, y). Exact. */
export function minimum(x: Interval, y: Interval): Interval {
  return enclosure(Math.min(x.lower, y.lower), Math.min(x.upper, y.upper));
}

/** All max(x, y). Exact. */
export function maximum(x: Interval, y: Interval): Interval {
  return enclosure(Math.max(x.lower, y.lower), Math.max(x.upper, y.upper));
}

/** From the floor of the lower to that of the upper end. Exact at both ends. */
export function floorOf(x: Interval): Interval {
  return enclosure(Math.floor(x.lower), Math.floor(x.upper));
}

/** A power of a number that is not negative, by repeated squaring, each product rounded down. */
function powerBelow(base: number, exponent: number): number {
  let [result, square] = [1, base];
  for (let rest = exponent; rest > 0; rest = Math.floor(rest / 2)) {
    if (rest % 2 === 1) result = result === 1 ? square : productBelow(result, square);
    square = productBelow(square, square);
  }
  return result;
}

/** As {@link powerBelow}, rounded up. */
function powerAbove(base: number, exponent: number): number {
  let [result, square] = [1, base];
  for (let rest = exponent; rest > 0; rest = Math.floor(rest / 2)) {
    if (rest % 2 === 1) result = result === 1 ? square : productAbove(result, square);
    square = productAbove(square, square);
  }
  return result;
}

/** All 1 / p for a power p without 0, whose end may have become 0 by underflow. */
function reciprocal(p: Interval): Interval {
  if (p.lower < 0) return negate(reciprocal(negate(p)));
  const upper = p.lower === 0 ? Number.POSITIVE_INFINITY : quotientAbove(1, p.lower);
  return enclosure(quotientBelow(1, p.upper), upper);
}

/**
 * All x^n for a whole number n; an even power is never below 0, and x^0 is 1. Throws
 * OutsideDomainError where n is not a whole number of less than 2^53, and
 * {@link UnboundedResultError} where n is negative and 0 is a member of `x`.
 */
export function power(x: Interval, n: number): Interval {
  if (!Number.isSafeInteger(n)) {
    const permitted = "a whole number between -2^53 and 2^53";
    const fault = { path: "", quantity: "the exponent", permitted, received: String(n) };
    throw new OutsideDomainError(fault);
  }
  if (n < 0) {
    if (contains(x, 0)) throw new UnboundedResultError(`x^(${n})`, { x: [x.lower, x.upper] });
    return reciprocal(power(x, -n));
  }
  if (n % 2 === 0) {
    const size = absolute(x);
    return enclosure(powerBelow(size.lower, n), powerAbove(size.upper, n));
  }
  return enclosure(
    x.lower >= 0 ? powerBelow(x.lower, n) : 0 - powerAbove(-x.lower, n),
    x.upper >= 0 ? powerAbove(x.upper, n) : 0 - powerBelow(-x.upper, n),
  );
}

/** The smallest interval that holds both. Exact. */
export function hull(x: Interval, y: Interval): Interval {
  return enclosure(Math.min(x.lower, y.lower), Math.max(x.upper, y.upper));
}

/** The members that both have, or undefined where they have none in common. Exact. */
export function intersect(x: Interval, y: Interval): Interval | undefined {
  const lower = Math.max(x.lower, y.lower);
  const upper = Math.min(x.upper, y.upper);
  return lower <= upper ? enclosure(lower, upper) : undefined;
}

/** Whether a number is a member; never for NaN and infinities. */
export function contains(x: Interval, value: number): boolean {
  return Number.isFinite(value) && x.lower <= value && value <= x.upper;
}

/** `upper - lower`, rounded up; 0 for one number, Infinity without a limit. */
export function width(x: Interval): number {
  return x.lower === x.upper ? 0 : above(x.upper - x.lower);
}

/** A finite member in the middle, to nearest; an end without limit counts as the largest double. */
export function midpoint(x: Interval): number {
  const lower = Math.max(x.lower, -Number.MAX_VALUE);
  const upper = Math.min(x.upper, Number.MAX_VALUE);
  // Half of a subnormal number is rounded, so the sum can fall just outside the ends.
  return Math.min(Math.max(lower / 2 + upper / 2, lower), upper);
}

/** The largest |x|. Exact. */
export function magnitude(x: Interval): number {
  return Math.max(Math.abs(x.lower), Math.abs(x.upper));
}
