import { OutsideDomainError } from "../errors.ts";
import { Decimal } from "./decimal.ts";
import { digitCount } from "./integer-arithmetic.ts";

/** Name of a series of preferred values; the number counts the values in a decade. */
export type PreferredSeries = "E6" | "E12" | "E24" | "E48" | "E96" | "E192";

const E24 = [
  10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91,
];

const E192 = [
  100, 101, 102, 104, 105, 106, 107, 109, 110, 111, 113, 114, 115, 117, 118, 120, 121, 123, 124,
  126, 127, 129, 130, 132, 133, 135, 137, 138, 140, 142, 143, 145, 147, 149, 150, 152, 154, 156,
  158, 160, 162, 164, 165, 167, 169, 172, 174, 176, 178, 180, 182, 184, 187, 189, 191, 193, 196,
  198, 200, 203, 205, 208, 210, 213, 215, 218, 221, 223, 226, 229, 232, 234, 237, 240, 243, 246,
  249, 252, 255, 258, 261, 264, 267, 271, 274, 277, 280, 284, 287, 291, 294, 298, 301, 305, 309,
  312, 316, 320, 324, 328, 332, 336, 340, 344, 348, 352, 357, 361, 365, 370, 374, 379, 383, 388,
  392, 397, 402, 407, 412, 417, 422, 427, 432, 437, 442, 448, 453, 459, 464, 470, 475, 481, 487,
  493, 499, 505, 511, 517, 523, 530, 536, 542, 549, 556, 562, 569, 576, 583, 590, 597, 604, 612,
  619, 626, 634, 642, 649, 657, 665, 673, 681, 690, 698, 706, 715, 723, 732, 741, 750, 759, 768,
  777, 787, 796, 806, 816, 825, 835, 845, 856, 866, 876, 887, 898, 909, 920, 931, 942, 953, 965,
  976, 988,
];

function everyNth(values: readonly number[], step: number): readonly bigint[] {
  return values.filter((_, place) => place % step === 0).map(BigInt);
}

/**
 * The values of one decade as integers: from 10 with two digits for E6, E12 and E24, from 100 with
 * three digits for E48, E96 and E192.
 *
 * Source: IEC 60063, tables of the E series (from memory; E48, E96 and E192 agree with the rounded
 * powers of ten except 920 in E192).
 */
export const PREFERRED_VALUES: Readonly<Record<PreferredSeries, readonly bigint[]>> = {
  E6: everyNth(E24, 4),
  E12: everyNth(E24, 2),
  E24: everyNth(E24, 1),
  E48: everyNth(E192, 4),
  E96: everyNth(E192, 2),
  E192: everyNth(E192, 1),
};

function digitsOf(series: PreferredSeries): number {
  return digitCount(PREFERRED_VALUES[series][0] ?? 0n);
}

/**
 * Whether a value, of any decade, belongs to the series exactly. Zero and negative values do not.
 */
export function isPreferred(value: Decimal, series: PreferredSeries): boolean {
  if (value.sign() <= 0) return false;
  const missing = digitsOf(series) - digitCount(value.mantissa);
  return missing >= 0 && PREFERRED_VALUES[series].includes(value.mantissa * 10n ** BigInt(missing));
}

/**
 * The value of the series next to `value` by ratio; the lower one at equal ratios. Throws
 * OutsideDomainError unless the value is above zero.
 */
export function nearestPreferred(value: Decimal, series: PreferredSeries): Decimal {
  if (value.sign() <= 0) {
    throw new OutsideDomainError({
      path: "",
      quantity: "value to be replaced by a preferred one",
      permitted: "above zero",
      received: value.toString(),
    });
  }
  const exponent = digitCount(value.mantissa) + value.exponent - digitsOf(series);
  const decade = PREFERRED_VALUES[series].map((digits) => Decimal.ofScaled(digits, exponent));
  const first = decade[0] ?? Decimal.one;
  const candidates = [...decade, first.multiply(Decimal.ofInteger(10))];
  const below = candidates.findLast((candidate) => candidate.compare(value) <= 0) ?? first;
  const above = candidates.find((candidate) => candidate.compare(value) >= 0) ?? first;
  // value / below <= above / value, without a quotient.
  return value.multiply(value).compare(below.multiply(above)) <= 0 ? below : above;
}
