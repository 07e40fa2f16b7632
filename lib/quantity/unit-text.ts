import { Decimal } from "./decimal.ts";
import { dimensionRule } from "./dimension.ts";
import type { Dimension } from "./dimension.ts";
import type { DimensionRule } from "./dimension-rule.ts";
import { readRkmCode } from "./rkm-code.ts";
import { SI_PREFIXES } from "./si-prefix.ts";
import { unitHint } from "./unit-hint.ts";

/**
 * A value read, exactly and in the unit used inside (SI without prefix; degrees Celsius, years,
 * bits and LSB where the dimension is called so), or what would have been permitted in its place.
 * The second form carries the fields of a fault, so that all faults of a document can be gathered.
 */
export type Parsed =
  | { readonly ok: true; readonly value: Decimal }
  | { readonly ok: false; readonly permitted: string; readonly hint?: string };

const NUMBER_AND_UNIT = /^([+-]?(?:\d+(?:\.\d+)?|\.\d+)(?:[eE][+-]?\d{1,3})?)\s*(.*)$/;
const LONGEST_TEXT = 100;
const SMALLEST = Decimal.parse("1e-30");
const LARGEST = Decimal.parse("1e30");

/** One spelling for signs and symbols that have several: micro, ohm, minus, degree, root. */
function plainSpelling(text: string): string {
  return text
    .normalize("NFC")
    .trim()
    .replaceAll(/[\u00B5\u03BC]/g, "u")
    .replaceAll("\u03A9", "ohm")
    .replaceAll(/[\u2212\u2010-\u2013]/g, "-")
    .replaceAll("\u2103", "degC")
    .replaceAll(/\u00B0\s?C/g, "degC")
    .replaceAll("\u221A", "sqrt")
    .replaceAll(/\s*\/\s*/g, "/")
    .replaceAll(/\s+/g, " ");
}

function permittedText(rule: DimensionRule): string {
  return `${rule.words}, as ${rule.examples.map((example) => `"${example}"`).join(" or ")}`;
}

function failure(dimension: Dimension, hint?: string): Parsed {
  const permitted = permittedText(dimensionRule(dimension));
  return hint === undefined ? { ok: false, permitted } : { ok: false, permitted, hint };
}

function checked(value: Decimal, dimension: Dimension): Parsed {
  const { lowest, highest, baseUnit, examples } = dimensionRule(dimension);
  const unitBehind = baseUnit === "1" ? "" : ` ${baseUnit}`;
  const size = value.absolute();
  if (!value.isZero() && (size.compare(SMALLEST) < 0 || size.compare(LARGEST) > 0)) {
    return failure(dimension, `magnitudes other than zero reach from 1e-30 to 1e30${unitBehind}`);
  }
  if (lowest !== undefined && value.compare(lowest) < 0) {
    return failure(dimension, `the lowest value is ${lowest.toString()}${unitBehind}`);
  }
  if (highest !== undefined && value.compare(highest) > 0) {
    const reminder = `a number without unit is a fraction, otherwise write "${examples[0]}"`;
    return failure(dimension, `the highest value is ${highest.toString()}; ${reminder}`);
  }
  return { ok: true, value };
}

function withUnit(value: Decimal, unitText: string, rule: DimensionRule): Decimal | undefined {
  if (unitText === "") return rule.bareText ? value : undefined;
  for (const unit of rule.units) {
    if (!unitText.endsWith(unit.symbol)) continue;
    const before = unitText.slice(0, unitText.length - unit.symbol.length);
    const prefix = unit.prefixes.find((candidate) => candidate === before);
    if (prefix === undefined) continue;
    const converted = unit.convert(value);
    return converted?.multiply(Decimal.ofScaled(1n, SI_PREFIXES[prefix]));
  }
  return undefined;
}

/**
 * Reads a quantity with its unit, exactly: "24.9 Mohm", "24M9", "-50 ppm/V", "23 °C", "80 dB". The
 * unit is required except for ratios, temperatures in degrees Celsius and bits. A rejection in
 * decibels becomes the fraction that passes, rounded up; months, days and hours become years,
 * rounded up.
 *
 * Source: BIPM SI Brochure (units and prefixes); IEC 60062 (letter and digit codes).
 */
export function parseQuantity(text: string, dimension: Dimension): Parsed {
  const rule = dimensionRule(dimension);
  if (text.length > LONGEST_TEXT) return failure(dimension, "the text is longer than 100 signs");
  const spelt = plainSpelling(text);
  if (rule.rkmCode && (dimension === "resistance" || dimension === "capacitance")) {
    const code = readRkmCode(spelt, dimension);
    if (code !== undefined) return checked(code, dimension);
  }
  const match = NUMBER_AND_UNIT.exec(spelt);
  if (match === null) return failure(dimension, unitHint(spelt, undefined, dimension));
  const unitText = match[2] ?? "";
  const value = withUnit(Decimal.parse(match[1] ?? ""), unitText, rule);
  if (value === undefined) return failure(dimension, unitHint(spelt, unitText, dimension));
  return checked(value, dimension);
}

/**
 * Reads a limit that holds on both sides of zero, "+/-0.1 %" or "±0.1 %", and returns its
 * magnitude; the sign may be left out. A negative limit is refused.
 */
export function parseLimit(text: string, dimension: Dimension): Parsed {
  const parsed = parseQuantity(text.trim().replace(/^(?:\+\/-|±)\s*(?=[\d.])/, ""), dimension);
  if (parsed.ok && parsed.value.sign() < 0) return negativeLimit(dimension);
  return parsed;
}

function negativeLimit(dimension: Dimension): Parsed {
  return failure(dimension, "a limit on both sides of zero is given by its magnitude");
}

/** A {@link Parsed} that also says whether a person wrote the value; see `Decimal.fromNumber`. */
export type ReadQuantity = Parsed & { readonly typed: boolean };

/**
 * Reads a field of a document: a text as {@link parseQuantity} does, or a plain number in the unit
 * used inside. `typed` is false for a number with more than 15 digits, which stems from a
 * computation and is known to its own rounding only, and for what was refused.
 */
export function readQuantity(input: string | number, dimension: Dimension): ReadQuantity {
  if (typeof input === "string") {
    const parsed = parseQuantity(input, dimension);
    return { ...parsed, typed: parsed.ok };
  }
  if (!Number.isFinite(input)) {
    return { ...failure(dimension, "a number is finite"), typed: false };
  }
  const { value, typed } = Decimal.fromNumber(input);
  const parsed = checked(value, dimension);
  return { ...parsed, typed: parsed.ok && typed };
}

/** Reads a limit on both sides of zero from a text or a plain number; see {@link parseLimit}. */
export function readLimit(input: string | number, dimension: Dimension): ReadQuantity {
  const read =
    typeof input === "string"
      ? { ...parseLimit(input, dimension), typed: true }
      : readQuantity(input, dimension);
  if (!read.ok) return { ...read, typed: false };
  return read.value.sign() < 0 ? { ...negativeLimit(dimension), typed: false } : read;
}
