import { OutsideDomainError } from "../errors.ts";

/**
 * Largest power of ten that is formed: far beyond any double (1e308), far below a memory problem.
 */
const LARGEST_EXPONENT = 20_000;

const CACHED_POWERS: readonly bigint[] = Array.from({ length: 400 }, (_, i) => 10n ** BigInt(i));

/** 10 to the power of `exponent`, an integer from 0 to 20 000. */
export function powerOfTen(exponent: number): bigint {
  if (!Number.isInteger(exponent) || exponent < 0 || exponent > LARGEST_EXPONENT) {
    throw new OutsideDomainError({
      path: "",
      quantity: "power of ten",
      permitted: `an integer from 0 to ${LARGEST_EXPONENT}`,
      received: String(exponent),
    });
  }
  return CACHED_POWERS[exponent] ?? 10n ** BigInt(exponent);
}

/** Magnitude of an integer. */
export function magnitude(value: bigint): bigint {
  return value < 0n ? -value : value;
}

/** Number of decimal digits of the magnitude; 1 for zero. */
export function digitCount(value: bigint): number {
  return magnitude(value).toString().length;
}

/** Number of binary digits of a positive integer. */
export function bitCount(value: bigint): number {
  const hexadecimal = value.toString(16);
  return (
    4 * (hexadecimal.length - 1) + Number.parseInt(hexadecimal[0] ?? "0", 16).toString(2).length
  );
}

/**
 * Quotient rounded towards minus infinity ("down") or plus infinity ("up"); the divisor is not
 * zero.
 */
export function divideDirected(
  dividend: bigint,
  divisor: bigint,
  direction: "down" | "up",
): bigint {
  const quotient = dividend / divisor;
  const remainder = dividend - quotient * divisor;
  if (remainder === 0n) return quotient;
  const exactIsBelow = remainder < 0n !== divisor < 0n;
  if (direction === "down") return exactIsBelow ? quotient - 1n : quotient;
  return exactIsBelow ? quotient : quotient + 1n;
}

/** Largest integer whose square does not exceed `value`, which is not negative. */
export function integerSquareRoot(value: bigint): bigint {
  if (value < 2n) return value;
  // Newton from above falls strictly until it reaches the root; each step halves the relative
  // error or better, so the limit below is never reached.
  let root = 1n << BigInt(Math.ceil(bitCount(value) / 2));
  for (let step = 0; step < LARGEST_EXPONENT; step += 1) {
    const next = (root + value / root) >> 1n;
    if (next >= root) break;
    root = next;
  }
  return root;
}
