import { Decimal } from "./decimal.ts";
import { SI_PREFIXES } from "./si-prefix.ts";
import type { SiPrefix } from "./si-prefix.ts";

/** One way of writing a unit, and what one of it is in the unit used inside. */
export interface UnitRule {
  /** Symbol without prefix, in ASCII: "ohm", "degC", "V/sqrtHz". */
  readonly symbol: string;
  /** Prefixes that may stand before it. */
  readonly prefixes: readonly SiPrefix[];
  /** Value in the unit used inside; undefined where the number is not permitted. */
  readonly convert: (value: Decimal) => Decimal | undefined;
}

/** What a kind of quantity is measured in, read from and printed as. */
export interface DimensionRule {
  /** With its article, as it follows "must be": "a resistance". */
  readonly words: string;
  /** Unit used inside and for a plain number. */
  readonly baseUnit: string;
  /** Texts that are understood, for the hint. */
  readonly examples: readonly string[];
  readonly units: readonly UnitRule[];
  /** Whether a text may leave out the unit. */
  readonly bareText: boolean;
  /** Whether the letter and digit codes of IEC 60062 are read. */
  readonly rkmCode: boolean;
  /** Values that exist at all, in the unit used inside, both included. */
  readonly lowest?: Decimal;
  readonly highest?: Decimal;
  /** How it is printed: the first unit whose step is reached by the value. */
  readonly printed: readonly PrintedUnit[];
}

/** A unit of the printed page. */
export interface PrintedUnit {
  /** As printed, with its prefix: "MΩ". */
  readonly symbol: string;
  /** As printed behind a figure of exactly 1, where that differs. */
  readonly singular?: string;
  /** One of it is 10 to this power of the unit used inside. */
  readonly exponent: number;
  /** Used for magnitudes of 10 to this power and above. */
  readonly from: number;
}

/**
 * A unit with the prefixes that it takes; one of it, without prefix, is `scale` of the unit inside.
 */
export function unit(symbol: string, prefixes: readonly SiPrefix[] = [""], scale = "1"): UnitRule {
  const factor = Decimal.parse(scale);
  return { symbol, prefixes, convert: (value) => value.multiply(factor) };
}

/**
 * A unit of which `count` make one of the unit inside. A twelfth is no finite decimal: the quotient
 * is rounded up at 20 digits.
 */
export function unitPart(symbol: string, count: string): UnitRule {
  const divisor = Decimal.parse(count);
  return { symbol, prefixes: [""], convert: (value) => value.divide(divisor, 20, "up") };
}

/** A printed unit with the prefixes it may carry. */
export function printed(symbol: string, prefixes: readonly SiPrefix[] = [""]): PrintedUnit[] {
  return prefixes
    .map((prefix) => ({ prefix, exponent: SI_PREFIXES[prefix] }))
    .sort((a, b) => b.exponent - a.exponent)
    .map(({ prefix, exponent }) => ({
      symbol: `${prefix === "u" ? "µ" : prefix}${symbol}`,
      exponent,
      from: exponent,
    }));
}

/** Percent from 0.1 % upwards, parts per million below. */
export function printedRatio(suffix = ""): PrintedUnit[] {
  return [
    { symbol: `%${suffix}`, exponent: -2, from: -3 },
    { symbol: `ppm${suffix}`, exponent: -6, from: -6 },
  ];
}

/** Percent, parts per million and parts per billion, of one or per something. */
export function ratioUnits(suffix = ""): UnitRule[] {
  return [
    unit(`%${suffix}`, [""], "0.01"),
    unit(`ppm${suffix}`, [""], "1e-6"),
    unit(`ppb${suffix}`, [""], "1e-9"),
  ];
}

type Facts = Pick<DimensionRule, "words" | "baseUnit" | "examples" | "units" | "printed"> &
  Partial<DimensionRule>;

/** Fills in what most dimensions have in common. */
export function rule(facts: Facts): DimensionRule {
  return { bareText: false, rkmCode: false, ...facts };
}
