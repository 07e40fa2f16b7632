/** 2^-53 (1 + 2^-51): just over half a unit in the last place, relative to a power of two. */
export const RELATIVE_STEP = (Number.EPSILON / 2) * (1 + 2 * Number.EPSILON);

/** 2^-1074, the spacing of the doubles nearest to zero. */
export const SMALLEST_STEP = Number.MIN_VALUE;

const LARGEST = Number.MAX_VALUE;

/**
 * A double that is not above the exact result whose nearest double is `rounded`: one step down.
 *
 * Sound for one + - * / or square root in double arithmetic, subnormal results and overflow
 * included; not for a sum of several roundings. The half unit in the last place that rounding can
 * hide is less than |x| 2^-53 (1 + 2^-51) + 2^-1074, and that much is subtracted. From 2^-1019
 * upwards the result is the next double, nearer to zero at most two doubles away.
 *
 * An Infinity that stands for an overflow gives a finite number: the exact result may lie anywhere
 * above the largest double. NaN for NaN only. Source: IEEE 754-2019, 4.3.1 (round to nearest) and
 * 5.4.1 (correctly rounded operations).
 */
export function below(rounded: number): number {
  // Without the minimum, Infinity - Infinity would give NaN.
  const x = Math.min(rounded, LARGEST);
  return x - (Math.abs(x) * RELATIVE_STEP + SMALLEST_STEP);
}

/**
 * A double that is not below the exact result whose nearest double is `rounded`: one step up, the
 * mirror image of {@link below}. The step above the largest double is Infinity.
 */
export function above(rounded: number): number {
  const x = Math.max(rounded, -LARGEST);
  return x + (Math.abs(x) * RELATIVE_STEP + SMALLEST_STEP);
}
