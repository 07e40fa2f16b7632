import { Decimal } from "../quantity/decimal.ts";
import type { Design, ResistorGroup } from "./design.ts";

const ONE = Decimal.ofInteger(1);
const DIGITS = 34;

/** Integers that firmware stores, and the straight line they were computed from. */
export interface ScalingConstants {
  /** Codes per volt at the pins, nominal. */
  readonly codesPerVolt: Decimal;
  /** Code at zero volts, nominal. */
  readonly zeroCode: Decimal;
  /** Result units per code times 2^fractionBits, nominal, rounded to nearest. */
  readonly multiplier: bigint;
  /** Result at code zero times 2^fractionBits, nominal, rounded to nearest. */
  readonly addend: bigint;
  /** Zero code in 1/256 LSB, rounded to nearest: the constant of a gain-only adjustment. */
  readonly zeroCode256: bigint;
}

function legResistance(groups: readonly ResistorGroup[]): Decimal {
  return groups.reduce(
    (sum, { count, resistance }) => sum.add(resistance.multiply(Decimal.ofInteger(count))),
    Decimal.ofInteger(0),
  );
}

function nearestInteger(value: Decimal): bigint {
  return BigInt(value.add(Decimal.parse("0.5")).roundDown(0).toString());
}

function quotient(left: Decimal, right: Decimal): Decimal {
  return left.divide(right, DIGITS, "down");
}

/** Bias over reference, nominal. */
function nominalBias(design: Design): Decimal {
  const { bias } = design.divider;
  if (bias.source === "ground") return Decimal.ofInteger(0);
  return bias.source === "reference"
    ? bias.nominal
    : quotient(bias.nominal, design.reference.voltage);
}

/**
 * The constants a firmware engineer computes from the drawing: nominal parts, errors zero, the
 * load of the converter's sampling included. They are integers, so that every reader of the
 * design, the simulation included, uses the very same numbers.
 */
export function scalingConstants(design: Design): ScalingConstants {
  const { adc, buffer, reference, scaling } = design;
  const upper = legResistance(design.divider.upper);
  const lower = legResistance(design.divider.lower);
  const bias = nominalBias(design);
  const loads = adc.sampling !== undefined && buffer === undefined && design.timing !== undefined;
  const load = loads
    ? adc.sampling!.capacitance.multiply(design.timing!.sampleRate).multiply(upper)
    : Decimal.ofInteger(0);
  const share = quotient(ONE, ONE.add(quotient(upper, lower)).add(load));
  const gain = buffer?.gain ?? ONE;
  const codesPerUnit = quotient(Decimal.ofInteger(2n ** BigInt(adc.bits)), adc.spanRatio);
  const codesPerVolt = quotient(share.multiply(gain).multiply(codesPerUnit), reference.voltage);
  const startsFrom = loads ? adc.sampling!.startsFrom : Decimal.ofInteger(0);
  const fromLoad = load.multiply(startsFrom.subtract(bias));
  const zeroCode = bias
    .add(fromLoad.subtract(bias).multiply(share))
    .multiply(gain)
    .multiply(codesPerUnit);
  const fraction = Decimal.ofInteger(2n ** BigInt(scaling.fractionBits));
  const unitsPerCode = quotient(fraction, codesPerVolt.multiply(scaling.resultUnit));
  const multiplier = nearestInteger(unitsPerCode);
  return {
    codesPerVolt,
    zeroCode,
    multiplier,
    addend: nearestInteger(zeroCode.multiply(unitsPerCode).negate()),
    zeroCode256: nearestInteger(zeroCode.multiply(Decimal.ofInteger(256))),
  };
}
