import type { Design, Range } from "../../lib/design/design.ts";
import type { Limits } from "../../lib/design/quantity.ts";
import { Decimal } from "../../lib/quantity/decimal.ts";

/** Share of its width that a limit at a place of the design keeps, 0 to 1. */
export type Kept = (path: string) => Decimal;

const HALF = Decimal.parse("0.5");

function isRecord(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === "object" && value !== null && !(value instanceof Decimal);
}

function isLimits(value: Readonly<Record<string, unknown>>): boolean {
  return value["lower"] instanceof Decimal && "distribution" in value && "origin" in value;
}

/** Ranges that are conditions: narrower ones are inside the wider. */
const CONDITIONS = /(?:ambientCelsius|\.rise|\.supply|\.latency)$/;

/** Single figures whose size is a limit of its own. */
const SIZES =
  /(?:drift\.limit|boxExcursion|interference\.(?:coupling|remaining)|noise|Rejection|filter\.tolerance|sampling\.tolerance|jitter)$/;

function narrowedLimits(limits: Limits, kept: Decimal): Limits {
  return { ...limits, lower: limits.lower.multiply(kept), upper: limits.upper.multiply(kept) };
}

function narrowedRange({ lower, upper }: Range, kept: Decimal): Range {
  const middle = lower.add(upper).multiply(HALF);
  const half = upper.subtract(lower).multiply(HALF).multiply(kept);
  return { lower: middle.subtract(half), upper: middle.add(half) };
}

function narrowedValue(value: unknown, path: string, kept: Kept): unknown {
  if (value instanceof Decimal) return SIZES.test(path) ? value.multiply(kept(path)) : value;
  if (Array.isArray(value))
    return value.map((item, index) => narrowedValue(item, `${path}[${index}]`, kept));
  if (!isRecord(value)) return value;
  if (isLimits(value)) return narrowedLimits(value as unknown as Limits, kept(path));
  if (CONDITIONS.test(path)) return narrowedRange(value as unknown as Range, kept(path));
  return Object.fromEntries(
    Object.entries(value).map(([key, inner]) => [
      key,
      narrowedValue(inner, path === "" ? key : `${path}.${key}`, kept),
    ]),
  );
}

/**
 * A design whose limits lie inside those of the given one: tolerances, coefficients, drifts,
 * ambient, own rises and the rest shrink to the share of their width that is kept, errors towards
 * zero and conditions towards their middle. Nominal values stay.
 */
export function narrowedDesign(design: Design, kept: Kept): Design {
  return narrowedValue(design, "", kept) as Design;
}
