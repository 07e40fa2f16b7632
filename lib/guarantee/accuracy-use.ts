import type { ShareAndVolts } from "../design/accuracy-statement.ts";
import { Decimal } from "../quantity/decimal.ts";
import type { ExactPair } from "./accuracy-curve.ts";
import type { AccuracyDemand } from "./accuracy-demand.ts";
import type { ProvenBand } from "./accuracy-part.ts";
import type { Side } from "./bracket.ts";

/** How much of the statement a band uses, 0 to 1, by the side of the error. */
export interface UsedShare {
  /** True voltages of the whole band, as it was given, V. */
  readonly lower: Decimal;
  readonly upper: Decimal;
  /** Largest of error / (share * |indication| + volts) over the errors above zero. */
  readonly high: number;
  /** The same over the errors below zero, by their magnitude. */
  readonly low: number;
}

/** A band on which the pair before rounding has nothing to spare. */
export interface BindingBand {
  readonly lower: Decimal;
  readonly upper: Decimal;
  readonly side: Side;
}

/** Digits kept of a quotient: more than a double holds. */
const QUOTIENT_DIGITS = 30;

/**
 * How much of a statement each band uses; the statement meets all the demands, which are those of
 * the bands.
 */
export function usedShares(
  bands: readonly ProvenBand[],
  demands: readonly AccuracyDemand[],
  { share, volts }: ShareAndVolts,
): UsedShare[] {
  const used = new Map(bands.map((band) => [band, { high: 0, low: 0 }]));
  for (const { band, side, indication, error } of demands) {
    const permitted = share.multiply(indication).add(volts);
    const part = error.divide(permitted, QUOTIENT_DIGITS, "up").toNumber();
    const found = used.get(band);
    if (found !== undefined) found[side] = Math.max(found[side], part);
  }
  return [...used].map(([{ lower, upper }, sides]) => ({ lower, upper, ...sides }));
}

function isBinding({ share, volts, divisor }: ExactPair, demand: AccuracyDemand): boolean {
  const permitted = share.multiply(demand.indication).add(volts);
  return demand.error.multiply(divisor).equals(permitted);
}

/** The bands whose demands a pair meets with nothing to spare, each side of a band once. */
export function bindingBands(demands: readonly AccuracyDemand[], pair: ExactPair): BindingBand[] {
  const binding = demands.filter((demand) => isBinding(pair, demand));
  // A band that reaches into both polarities can bind in both.
  const isFirst = ({ band, side }: AccuracyDemand, index: number): boolean =>
    binding.findIndex((other) => other.band === band && other.side === side) === index;
  return binding
    .filter(isFirst)
    .map(({ band: { lower, upper }, side }) => ({ lower, upper, side }));
}
