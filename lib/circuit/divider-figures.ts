import { OutsideDomainError } from "../errors.ts";
import { requireFinite, requireNotNegative, requirePositive } from "../quantity/number-domain.ts";

/** Resistances of the two legs of a divider, ohm. */
export interface DividerLegs {
  readonly upper: number;
  readonly lower: number;
}

function requireLegs(legs: DividerLegs): void {
  requirePositive([
    { quantity: "upper resistance", value: legs.upper, unit: "ohm" },
    { quantity: "lower resistance", value: legs.lower, unit: "ohm" },
  ]);
}

/** Output over input of an unloaded divider: lower / (upper + lower). */
export function dividerRatio(legs: DividerLegs): number {
  requireLegs(legs);
  return legs.lower / (legs.upper + legs.lower);
}

/**
 * Largest relative changes of the ratio when each leg may lie anywhere within a relative tolerance,
 * the two independently; `lower` is negative. To first order +/-2 t (1 - ratio), but the two
 * differ: 99:1 with 1 % gives +2.000 % and -1.961 %. Throws OutsideDomainError unless the tolerance
 * is from 0 to less than 1 and the legs are above zero.
 */
export function ratioToleranceLimits(
  legs: DividerLegs,
  tolerance: number,
): { readonly lower: number; readonly upper: number } {
  requireNotNegative([{ quantity: "tolerance", value: tolerance, unit: "1" }]);
  if (tolerance >= 1) {
    throw new OutsideDomainError({
      path: "",
      quantity: "tolerance",
      permitted: "below 1",
      received: String(tolerance),
    });
  }
  const nominal = dividerRatio(legs);
  const extreme = (upper: number, lower: number): number =>
    dividerRatio({ upper: legs.upper * upper, lower: legs.lower * lower }) / nominal - 1;
  return {
    lower: extreme(1 + tolerance, 1 - tolerance),
    upper: extreme(1 - tolerance, 1 + tolerance),
  };
}

/**
 * Relative change of the ratio, to first order, when upper and lower leg change by the relative
 * amounts given: (1 - ratio) (lower - upper). Equal changes cancel: with tempcos only their
 * difference counts, and it counts times the change of temperature.
 */
export function ratioChange(
  legs: DividerLegs,
  changes: { readonly upper: number; readonly lower: number },
): number {
  requireFinite([
    { quantity: "change of the upper resistance", value: changes.upper, unit: "1" },
    { quantity: "change of the lower resistance", value: changes.lower, unit: "1" },
  ]);
  return (1 - dividerRatio(legs)) * (changes.lower - changes.upper);
}

/**
 * Relative change of a string of equal resistors with a voltage coefficient, in 1/V, at the voltage
 * across the whole string in V, to first order: each part sees its share, so that the change falls
 * as one over their number. Throws OutsideDomainError unless there is a whole number of parts.
 */
export function stringVoltageChange(string: {
  readonly parts: number;
  readonly voltageCoefficient: number;
  readonly voltage: number;
}): number {
  const { parts, voltageCoefficient, voltage } = string;
  if (!Number.isInteger(parts) || parts < 1) {
    throw new OutsideDomainError({
      path: "",
      quantity: "number of resistors",
      permitted: "an integer of 1 or more",
      received: String(parts),
    });
  }
  requireFinite([
    { quantity: "voltage coefficient", value: voltageCoefficient, unit: "1/V" },
    { quantity: "voltage", value: voltage, unit: "V" },
  ]);
  return (voltageCoefficient * Math.abs(voltage)) / parts;
}

/** A divider with a capacitor across each leg; ohm and F. */
export interface CapacitiveDivider {
  readonly resistance: DividerLegs;
  readonly capacitance: { readonly upper: number; readonly lower: number };
}

/** What a capacitive divider makes of a voltage step. */
export interface StepResponse {
  /** Output over input right after the step: the capacitors alone decide. */
  readonly initialRatio: number;
  /** Output over input in the end: the resistors alone decide. */
  readonly finalRatio: number;
  /** s of the passage from one to the other. */
  readonly timeConstant: number;
}

/**
 * Step response of a compensated divider driven from a stiff source: it starts at the capacitors'
 * ratio and ends at the resistors' with the time constant (R1 || R2) (C1 + C2). The two ratios are
 * equal, and the ratio then is independent of frequency, where R1 C1 = R2 C2. Throws
 * OutsideDomainError unless all values are above zero.
 */
export function stepResponse(divider: CapacitiveDivider): StepResponse {
  const { resistance, capacitance } = divider;
  requireLegs(resistance);
  requirePositive([
    { quantity: "upper capacitance", value: capacitance.upper, unit: "F" },
    { quantity: "lower capacitance", value: capacitance.lower, unit: "F" },
  ]);
  const total = capacitance.upper + capacitance.lower;
  return {
    initialRatio: capacitance.upper / total,
    finalRatio: dividerRatio(resistance),
    timeConstant: resistance.upper * dividerRatio(resistance) * total,
  };
}
