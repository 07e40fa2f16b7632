import { bitCount } from "./integer-arithmetic.ts";

/** How a real number is carried to the doubles. */
export type DoubleRounding = "towardsZero" | "awayFromZero" | "nearest";

const SIGNIFICAND_BITS = 53;
const SMALLEST_EXPONENT = -1074;

/** Exact parts of a finite double: `significand * 2^exponent`. */
export interface DoubleParts {
  readonly significand: bigint;
  readonly exponent: number;
}

function doubleFromBits(bits: bigint): number {
  const view = new DataView(new ArrayBuffer(8));
  view.setBigUint64(0, bits);
  return view.getFloat64(0);
}

/** Splits a finite double into an integer significand and a power of two, exactly. */
export function partsOfDouble(value: number): DoubleParts {
  const view = new DataView(new ArrayBuffer(8));
  view.setFloat64(0, value);
  const bits = view.getBigUint64(0);
  const biased = Number((bits >> 52n) & 0x7ffn);
  const fraction = bits & 0xfffffffffffffn;
  const unsigned = biased === 0 ? fraction : fraction + (1n << 52n);
  return {
    significand: bits >> 63n === 1n ? -unsigned : unsigned,
    exponent: Math.max(biased, 1) + SMALLEST_EXPONENT - 1,
  };
}

/**
 * The double next to `numerator / denominator`, both positive, in the rounding asked for; ties of
 * "nearest" go to the even significand. Worked in integers only, so the answer does not depend on
 * how an engine reads decimal text. Returns Infinity when the magnitude passes the largest double.
 *
 * Source: IEEE 754-2019, 4.3 (rounding attributes).
 */
export function doubleOfFraction(
  fraction: { readonly numerator: bigint; readonly denominator: bigint },
  rounding: DoubleRounding,
): number {
  const { numerator, denominator } = fraction;
  const scaled = (exponent: number): [bigint, bigint] =>
    exponent >= 0
      ? [numerator, denominator << BigInt(exponent)]
      : [numerator << BigInt(-exponent), denominator];

  // The quotient lies between 2^52 and 2^54 for the first guess of the exponent.
  const guess = bitCount(numerator) - bitCount(denominator) - SIGNIFICAND_BITS;
  const [guessNumerator, guessDenominator] = scaled(guess);
  const isTooLarge = guessNumerator >= guessDenominator << BigInt(SIGNIFICAND_BITS);
  const exponent = Math.max(isTooLarge ? guess + 1 : guess, SMALLEST_EXPONENT);

  const [top, bottom] = scaled(exponent);
  let significand = top / bottom;
  const remainder = top - significand * bottom;
  const twice = 2n * remainder;
  const isPastHalf = twice > bottom || (twice === bottom && significand % 2n === 1n);
  if (rounding === "awayFromZero" ? remainder > 0n : rounding === "nearest" && isPastHalf) {
    significand += 1n;
  }
  // A carry into 2^53 runs into the exponent field by itself, as the encoding intends.
  const bits = (BigInt(exponent - SMALLEST_EXPONENT) << 52n) + significand;
  return bits >= 0x7ffn << 52n ? Number.POSITIVE_INFINITY : doubleFromBits(bits);
}
