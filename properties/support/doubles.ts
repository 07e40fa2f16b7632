import * as fc from "fast-check";

const float = new Float64Array(1);
const bits = new BigUint64Array(float.buffer);

/** The double with these 64 bits. */
export function doubleOfBits(pattern: bigint): number {
  bits[0] = pattern;
  return float[0]!;
}

/** Place of a double in the order of all doubles: 0 for zero, 1 for the smallest above it. */
function ordinal(value: number): bigint {
  float[0] = Math.abs(value);
  return value < 0 ? -bits[0]! : bits[0]!;
}

/** How many steps from one double to the next lead from `a` up to `b`; infinities count as doubles. */
export function stepsBetween(a: number, b: number): number {
  return Number(ordinal(b) - ordinal(a));
}

const INFINITE = 0x7ffn << 52n;

/** The double `steps` places up (down, where negative); it stops at the infinities. */
export function stepped(value: number, steps: number): number {
  const place = ordinal(value) + BigInt(steps);
  const magnitude = place < 0n ? -place : place;
  const moved = doubleOfBits(magnitude < INFINITE ? magnitude : INFINITE);
  return place < 0n ? -moved : moved;
}

/**
 * Doubles of every magnitude alike: each of the 2^64 bit patterns that is not NaN, and the places
 * where arithmetic changes its habits: zero, the edge of the subnormal doubles, powers of two and
 * their neighbours, the largest double.
 */
export const allFiniteDoubles: fc.Arbitrary<number> = fc.oneof(
  { weight: 6, arbitrary: fc.bigInt({ min: 0n, max: (0x7ffn << 52n) - 1n }).map(doubleOfBits) },
  {
    weight: 2,
    arbitrary: fc
      .tuple(fc.integer({ min: 0, max: 2046 }), fc.integer({ min: -2, max: 2 }))
      .map(([exponent, step]) => {
        const pattern = (BigInt(exponent) << 52n) + BigInt(step);
        return doubleOfBits(pattern < 0n ? 0n : pattern);
      }),
  },
  { weight: 1, arbitrary: fc.integer({ min: 0, max: 40 }).map((n) => n * Number.MIN_VALUE) },
  { weight: 1, arbitrary: fc.integer({ min: 0, max: 4096 }) },
  { weight: 1, arbitrary: fc.constantFrom(0, Number.MAX_VALUE, 2.2250738585072014e-308) },
);

/** {@link allFiniteDoubles} with either sign. */
export const signedFiniteDoubles: fc.Arbitrary<number> = fc
  .tuple(allFiniteDoubles, fc.boolean())
  .map(([value, isNegative]) => (isNegative ? -value : value));
