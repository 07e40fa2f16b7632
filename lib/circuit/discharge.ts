import { OutsideDomainError } from "../errors.ts";
import { requireNotNegative, requirePositive } from "../quantity/number-domain.ts";

/**
 * Share of the initial voltage that is left after a duration in s of a discharge with one time
 * constant in s: exp(-t / tau). A nominal figure from `Math.exp`, no bound. Throws
 * OutsideDomainError for a negative duration or a time constant that is not above zero.
 */
export function remainingShare(decay: {
  readonly duration: number;
  readonly timeConstant: number;
}): number {
  const { duration, timeConstant } = decay;
  requireNotNegative([{ quantity: "duration", value: duration, unit: "s" }]);
  requirePositive([{ quantity: "time constant", value: timeConstant, unit: "s" }]);
  return Math.exp(-duration / timeConstant);
}

/**
 * Time, s, in which a discharge with one time constant falls from one voltage to another, both in V
 * and of one sign: tau ln(from / to). To 37 % of the start it is 0.994 tau. Throws
 * OutsideDomainError unless the voltages are above zero with `to` at most `from`, and the time
 * constant above zero.
 */
export function dischargeDuration(fall: {
  readonly from: number;
  readonly to: number;
  readonly timeConstant: number;
}): number {
  requirePositive([
    { quantity: "initial voltage", value: fall.from, unit: "V" },
    { quantity: "final voltage", value: fall.to, unit: "V" },
    { quantity: "time constant", value: fall.timeConstant, unit: "s" },
  ]);
  requireFall(fall.from, fall.to);
  return fall.timeConstant * Math.log(fall.from / fall.to);
}

function requireFall(from: number, to: number): void {
  if (to <= from) return;
  throw new OutsideDomainError({
    path: "",
    quantity: "final voltage",
    permitted: `at most the initial voltage ${from} V`,
    received: `${to} V`,
  });
}

/**
 * Largest time constant, s, with which a voltage falls from `from` to `to` within `duration`
 * seconds: t / ln(from / to). From 339.4 V to 34 V in 1 s it is 0.4346 s. Throws OutsideDomainError
 * unless all are above zero and `to` is below `from`.
 */
export function largestTimeConstant(fall: {
  readonly from: number;
  readonly to: number;
  readonly duration: number;
}): number {
  requirePositive([
    { quantity: "initial voltage", value: fall.from, unit: "V" },
    { quantity: "final voltage", value: fall.to, unit: "V" },
    { quantity: "duration", value: fall.duration, unit: "s" },
  ]);
  if (fall.to === fall.from) {
    throw new OutsideDomainError({
      path: "",
      quantity: "final voltage",
      permitted: `below the initial voltage ${fall.from} V`,
      received: `${fall.to} V`,
    });
  }
  requireFall(fall.from, fall.to);
  return fall.duration / Math.log(fall.from / fall.to);
}

/** A passive product with a tester across it from before the disconnection. */
export interface Loading {
  /** s since the disconnection. */
  readonly duration: number;
  /** F between the pins, without the tester. */
  readonly productCapacitance: number;
  /**
   * ohm of the product's own discharge path; absent where there is none, as with its switch off.
   */
  readonly bleederResistance?: number;
  /** ohm of the tester. */
  readonly inputResistance: number;
  /** F of the tester, zero or above. */
  readonly inputCapacitance: number;
}

/**
 * Voltage as loaded by the tester over the voltage that would be there without it, both a stated
 * time after the disconnection: exp(-t (1 / (Rin (C + Cin)) - Cin / (R C (C + Cin)))). It is about
 * exp(-t / (Rin C)) whatever the bleeder, so that it is the product's capacitance that decides;
 * above 1 only where the tester's capacitance slows a fast bleeder. 0.1 uF, 100 Mohm, 1 s: 0.905.
 * Throws OutsideDomainError for values that are not above zero (the tester's capacitance may be
 * zero).
 */
export function loadingFactor(loading: Loading): number {
  const { duration, productCapacitance, inputResistance, inputCapacitance } = loading;
  const bleeder = loading.bleederResistance;
  requireNotNegative([
    { quantity: "duration", value: duration, unit: "s" },
    { quantity: "input capacitance", value: inputCapacitance, unit: "F" },
  ]);
  requirePositive([
    { quantity: "product capacitance", value: productCapacitance, unit: "F" },
    { quantity: "input resistance", value: inputResistance, unit: "ohm" },
    ...(bleeder === undefined
      ? []
      : [{ quantity: "bleeder resistance", value: bleeder, unit: "ohm" }]),
  ]);
  const total = productCapacitance + inputCapacitance;
  const faster = 1 / (inputResistance * total);
  // A larger total capacitance also slows the discharge through the bleeder.
  const slower =
    bleeder === undefined ? 0 : inputCapacitance / (bleeder * productCapacitance * total);
  return Math.exp(-duration * (faster - slower));
}

/**
 * Share of its voltage that a product keeps when an uncharged tester is connected to it after the
 * disconnection: C / (C + Cin). Capacitances in F. Throws OutsideDomainError unless the product's
 * is above zero and the tester's zero or above.
 */
export function chargeSharingFactor(capacitances: {
  readonly product: number;
  readonly input: number;
}): number {
  const { product, input } = capacitances;
  requirePositive([{ quantity: "product capacitance", value: product, unit: "F" }]);
  requireNotNegative([{ quantity: "input capacitance", value: input, unit: "F" }]);
  return product / (product + input);
}
