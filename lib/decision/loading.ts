import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import {
  add,
  divide,
  exponential,
  interval,
  multiply,
  point,
  subtract,
} from "../interval/interval.ts";
import type { Interval } from "../interval/interval.ts";
import { requirePositive } from "../quantity/number-domain.ts";

/** A load across a product's pins from before the disconnection. */
export interface PinLoad {
  /** Ohm, above zero; its upper end may be infinite. */
  readonly resistance: Interval;
  /** F, zero or above. */
  readonly capacitance: Interval;
}

/** A passive product as far as it is known. */
export interface PassiveProduct {
  /** F between the pins; above zero, its upper end may be infinite. */
  readonly capacitance: Interval;
  /**
   * Least time constant of its own discharge, s; absent where it has none. It matters only beside
   * the capacitance of the tester, which slows a discharge.
   */
  readonly leastTimeConstant?: number;
}

/** Factor from the voltage as loaded by the tester to the voltage that is asked for. */
export interface LoadingCorrection {
  /** Every value that the product and the loads allow. */
  readonly factor: Interval;
  /** The middle of {@link factor}, by which an indication is multiplied. */
  readonly applied: number;
  /** Relative standard uncertainty of the applied factor, rectangular between its limits. */
  readonly relativeUncertainty: number;
}

/** Cells into which a bounded capacitance is cut where two loads are compared. */
const CELLS = 64;

interface Circuit {
  /** Conductance of the load, S. */
  readonly load: Interval;
  /** Rate of the product's own discharge, 1/s. */
  readonly own: Interval;
  /** Capacitance of the product and of the load, F. */
  readonly product: Interval;
  readonly added: Interval;
}

/**
 * Enclosure of the rate, 1/s, by which a load makes the voltage fall faster than without it:
 * (g - Cin / tau) / (C + Cin). It is monotone in each quantity whatever the others are.
 */
function rateOver({ load, own, product, added }: Circuit): Interval {
  const at = (g: number, rate: number, cin: number, c: number): Interval =>
    c === Infinity
      ? point(0)
      : divide(subtract(point(g), multiply(point(cin), point(rate))), add(point(c), point(cin)));
  const ends = ({ lower, upper }: Interval): readonly number[] => [lower, upper];
  const fastest = ends(product).map((c) => at(load.upper, own.lower, added.lower, c).upper);
  const slowest = ends(product).map((c) => at(load.lower, own.upper, added.upper, c).lower);
  return interval(Math.min(...slowest), Math.max(...fastest));
}

function conductance(resistance: Interval): Interval {
  const lower = resistance.upper === Infinity ? 0 : divide(point(1), point(resistance.upper)).lower;
  return interval(lower, divide(point(1), point(resistance.lower)).upper);
}

function ownRate({ leastTimeConstant }: PassiveProduct): Interval {
  return leastTimeConstant === undefined
    ? point(0)
    : interval(0, divide(point(1), point(leastTimeConstant)).upper);
}

function rangeFaults(
  path: string,
  quantity: string,
  range: Interval,
  allowsZero: boolean,
): Fault[] {
  const { lower, upper } = range;
  if ((allowsZero ? lower >= 0 : lower > 0) && lower <= upper) return [];
  const permitted = `${allowsZero ? "zero or above" : "above zero"}, its limits in order`;
  return [{ path, quantity, permitted, received: `${lower} to ${upper}` }];
}

function check(facts: {
  readonly duration: number;
  readonly product: PassiveProduct;
  readonly loads: readonly PinLoad[];
}): void {
  const { duration, product, loads } = facts;
  const faults = [
    ...(duration >= 0 && duration < Infinity
      ? []
      : [
          {
            path: "duration",
            quantity: "time after the disconnection",
            permitted: "zero or above",
            received: `${duration} s`,
          },
        ]),
    ...rangeFaults("product.capacitance", "product capacitance", product.capacitance, false),
    ...(product.leastTimeConstant === undefined || product.leastTimeConstant > 0
      ? []
      : [
          {
            path: "product.leastTimeConstant",
            quantity: "least time constant of the product",
            permitted: "above zero",
            received: `${product.leastTimeConstant} s`,
          },
        ]),
    ...loads.flatMap(({ resistance, capacitance }) => [
      ...rangeFaults("load.resistance", "resistance of the load", resistance, false),
      ...rangeFaults("load.capacitance", "capacitance of the load", capacitance, true),
    ]),
  ];
  if (faults.length > 0) throw new InvalidInputError("loading", faults);
}

/** The product's capacitance in cells with a constant ratio of their ends. */
function cellsOf({ lower, upper }: Interval): readonly Interval[] {
  if (lower === upper) return [{ lower, upper }];
  // Beyond a million times the least capacitance nothing loads any more.
  const last = Math.min(upper, lower * 1e6);
  const ratio = (last / lower) ** (1 / CELLS);
  const ends = Array.from({ length: CELLS + 1 }, (_, k) =>
    k === 0 ? lower : k === CELLS ? last : lower * ratio ** k,
  );
  const cells = ends.slice(1).map((end, k) => interval(ends[k]!, end));
  return last < upper ? [...cells, interval(last, upper)] : cells;
}

/**
 * What the voltage as loaded by the tester is multiplied by to get the voltage at the same instant
 * without it, or with a reference load in its place; a product of one capacitance and one bleeder.
 * Without a reference load the factor is that of the tester alone: 1.105 at 0.1 uF, 100 Mohm, 1 s.
 * The factor encloses every product and load inside the limits. Throws InvalidInputError with every
 * fault.
 */
export function loadingCorrection(
  duration: number,
  product: PassiveProduct,
  loads: { readonly tester: PinLoad; readonly reference?: PinLoad },
): LoadingCorrection {
  const { tester, reference } = loads;
  check({ duration, product, loads: reference === undefined ? [tester] : [tester, reference] });
  const own = ownRate(product);
  const rate = (load: PinLoad, cell: Interval): Interval =>
    rateOver({ load: conductance(load.resistance), own, product: cell, added: load.capacitance });
  const cells = reference === undefined ? [product.capacitance] : cellsOf(product.capacitance);
  const rates = cells.map((cell) =>
    reference === undefined
      ? rate(tester, cell)
      : subtract(rate(tester, cell), rate(reference, cell)),
  );
  const least = Math.min(...rates.map(({ lower }) => lower));
  const most = Math.max(...rates.map(({ upper }) => upper));
  const factor = exponential(multiply(point(duration), interval(least, most)));
  const applied = (factor.lower + factor.upper) / 2;
  const half = (factor.upper - factor.lower) / 2;
  return { factor, applied, relativeUncertainty: half / Math.sqrt(3) / applied };
}

/**
 * Smallest product capacitance, F, at which a tester lowers the voltage by no more than a stated
 * share: the headline figure beside an accuracy statement. Without bleeder exp(-t / (R (C + Cin)))
 * is 1 - share; a bleeder makes the loading less. At 100 Mohm, 1 s and 1 % it is 1 uF. Throws
 * OutsideDomainError unless the share is between 0 and 1 and duration and resistance above zero.
 */
export function smallestCapacitance(loading: {
  readonly share: number;
  /** s. */
  readonly duration: number;
  /** Least resistance of the tester, ohm. */
  readonly inputResistance: number;
}): number {
  const { share, duration, inputResistance } = loading;
  requirePositive([
    { quantity: "share", value: share, unit: "1" },
    { quantity: "share that is left", value: 1 - share, unit: "1" },
    { quantity: "time after the disconnection", value: duration, unit: "s" },
    { quantity: "input resistance", value: inputResistance, unit: "ohm" },
  ]);
  // The capacitance of the tester would help; without it the figure holds for every tester.
  return duration / (inputResistance * -Math.log1p(-share));
}
