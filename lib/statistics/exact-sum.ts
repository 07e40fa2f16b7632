import { doubleOfFraction, partsOfDouble } from "../quantity/double-of-fraction.ts";

/** Every finite double is an integer multiple of 2^-1074. */
const LOWEST_EXPONENT = 1074;

/** The nearest double to `numerator / denominator`; the denominator is positive. */
export function nearestDouble(numerator: bigint, denominator: bigint): number {
  if (numerator === 0n) return 0;
  if (numerator < 0n) return -doubleOfFraction({ numerator: -numerator, denominator }, "nearest");
  return doubleOfFraction({ numerator, denominator }, "nearest");
}

/** A finite double as a count of 2^-1074. */
export function countOfDouble(value: number): bigint {
  const { significand, exponent } = partsOfDouble(value);
  return significand << BigInt(exponent + LOWEST_EXPONENT);
}

/** 1 as a count of 2^-1074. */
export const ONE_AS_COUNT = 1n << BigInt(LOWEST_EXPONENT);

/**
 * A sum of doubles without any rounding, so that neither the order of the terms nor the way in
 * which partial sums are merged can change it.
 */
export class ExactSum {
  private count = 0n;

  /** Adds a finite number. */
  add(value: number): void {
    this.count += countOfDouble(value);
  }

  /** Adds what another sum holds. */
  merge(other: ExactSum): void {
    this.count += other.count;
  }

  /** The sum divided by a positive integer, rounded once to the nearest double. */
  dividedBy(divisor: number): number {
    return nearestDouble(this.count, ONE_AS_COUNT * BigInt(divisor));
  }

  /** The sum, rounded once to the nearest double. */
  value(): number {
    return this.dividedBy(1);
  }
}
