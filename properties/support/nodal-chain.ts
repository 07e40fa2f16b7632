import type { Design, ResistorGroup } from "../../lib/design/design.ts";
import type { Occasion } from "../../lib/design/quantity.ts";

/** Values of quantities by name; what a design does not declare counts as zero. */
export type Values = ReadonlyMap<string, number>;

/** A reading: which one, the voltage at its input, V, and the quantities. */
export interface NodalReading {
  readonly design: Design;
  readonly occasion: Occasion;
  readonly input: number;
  readonly values: Values;
}

/** Quantities of one reading, as they apply to it. */
class Quantities {
  readonly design: Design;
  private readonly reading: NodalReading;

  constructor(reading: NodalReading) {
    this.reading = reading;
    this.design = reading.design;
  }

  lasting(name: string): number {
    return this.reading.values.get(name) ?? 0;
  }

  here(name: string): number {
    return this.lasting(`${name}_${this.reading.occasion}`);
  }

  /** Kelvin above a temperature in degrees Celsius. */
  above(id: string, celsius: number): number {
    return 25 + this.here("ambient") + this.here(`${id}_rise`) - celsius;
  }

  drift(id: string): number {
    const since = this.reading.occasion === "use" ? this.here(`${id}_drift`) : 0;
    return (1 + this.lasting(`${id}_driftBefore`)) * (1 + since);
  }

  /** Resistance of one part of a group without voltage across it, ohm. */
  coldPart(group: ResistorGroup): number {
    const { id, network } = group;
    const shared = network ?? "none";
    const tempco = this.lasting(`${id}_tempco`) + this.lasting(`${shared}_tempco`);
    return (
      group.resistance.toNumber() *
      (1 + this.lasting(`${id}_tolerance`)) *
      (1 + this.lasting(`${shared}_tolerance`)) *
      (1 + tempco * this.above(id, group.referenceCelsius.toNumber())) *
      this.drift(id) *
      this.drift(shared)
    );
  }

  reference(): number {
    const { reference, conditions } = this.design;
    const middle = (conditions.supply.lower.toNumber() + conditions.supply.upper.toNumber()) / 2;
    return (
      reference.voltage.toNumber() *
      (1 + this.lasting("reference_initial")) *
      (1 + this.lasting("reference_box")) *
      (1 + this.here("reference_box")) *
      this.drift("reference") *
      (1 + this.lasting("reference_lineRegulation") * (this.here("supply") - middle))
    );
  }

  /** Volts the lower leg returns to. */
  bias(): number {
    const { bias } = this.design.divider;
    if (bias.source === "ground") return 0;
    const value =
      bias.nominal.toNumber() *
      (1 + this.lasting("bias_tolerance")) *
      (1 + this.lasting("bias_tempco") * this.above("bias", 25)) *
      this.drift("bias");
    return bias.source === "separate"
      ? value
      : value * this.reference() + this.lasting("bias_offset");
  }

  /** Amperes into the node, whatever its voltage. */
  current(): number {
    return this.design.currents.reduce((sum, { id, atCelsius, doublesEvery }) => {
      const doublings =
        doublesEvery === undefined
          ? 0
          : this.above(id, atCelsius.toNumber()) / doublesEvery.toNumber();
      return sum + this.lasting(`${id}_current`) * 2 ** doublings;
    }, this.here("interference"));
  }

  /** Conductances from the node and the voltages at their far ends. */
  leaks(): readonly { readonly siemens: number; readonly volts: number }[] {
    const { adc, buffer, timing } = this.design;
    const sampled =
      adc.sampling === undefined || buffer !== undefined
        ? 0
        : adc.sampling.capacitance.toNumber() *
          timing!.sampleRate.toNumber() *
          (1 + this.lasting("sampling_tolerance"));
    const startsFrom = adc.sampling?.startsFrom.toNumber() ?? 0;
    return [
      { siemens: this.here("board_nodeToGround"), volts: 0 },
      { siemens: this.here("board_nodeToSupply"), volts: this.here("supply") },
      { siemens: sampled, volts: startsFrom * this.reference() },
    ];
  }
}

/** Resistance of a part whose own current makes the voltage that changes it: r = c (1 + k |i r|). */
function solvedPart(cold: number, coefficient: number, current: number): number {
  return cold / (1 - coefficient * Math.abs(current) * cold);
}

/** Current through the string of the upper leg at a voltage across it, A. */
function stringCurrent(of: Quantities, volts: number): number {
  const parts = of.design.divider.upper.map((group) => ({
    count: group.count,
    cold: of.coldPart(group),
    coefficient: of.lasting(`${group.id}_voltageCoefficient`),
  }));
  let current = volts / parts.reduce((sum, { count, cold }) => sum + count * cold, 0);
  for (let step = 0; step < 60; step += 1) {
    const total = parts.reduce(
      (sum, { count, cold, coefficient }) => sum + count * solvedPart(cold, coefficient, current),
      0,
    );
    current = volts / total;
  }
  return current;
}

/** Current that leaves the node through the lower leg, A. */
function lowerCurrent(of: Quantities, volts: number, coefficients: Values): number {
  const parts = of.design.divider.lower.map((group) => ({
    count: group.count,
    cold: of.coldPart(group),
    coefficient: coefficients.get(group.id) ?? 0,
  }));
  let current = volts / parts.reduce((sum, { count, cold }) => sum + count * cold, 0);
  for (let step = 0; step < 60; step += 1) {
    const total = parts.reduce(
      (sum, { count, cold, coefficient }) => sum + count * solvedPart(cold, coefficient, current),
      0,
    );
    current = volts / total;
  }
  return current;
}

/**
 * The code before rounding, LSB, by Kirchhoff's current law at the node, solved by halving: a
 * second model of the chain that shares no line with the first. `lower` are the voltage
 * coefficients of the parts of the lower leg by their name, 1/V.
 */
export function nodalCode(reading: NodalReading, lower: Values = new Map()): number {
  const of = new Quantities(reading);
  const { design, input } = reading;
  const [reference, bias, current] = [of.reference(), of.bias(), of.current()];
  const leaks = of.leaks();
  const surplus = (node: number): number =>
    stringCurrent(of, input - node) +
    of.here("board_acrossUpper") * (input - node) +
    current -
    lowerCurrent(of, node - bias, lower) -
    leaks.reduce((sum, { siemens, volts }) => sum + siemens * (node - volts), 0);
  let [low, high] = [-1_000, 1_000];
  for (let step = 0; step < 200; step += 1) {
    const middle = (low + high) / 2;
    if (surplus(middle) > 0) low = middle;
    else high = middle;
  }
  return codeOfNode(of, (low + high) / 2, reference, design);
}

function codeOfNode(of: Quantities, node: number, reference: number, design: Design): number {
  const { adc, buffer, conditions } = design;
  const middle = (conditions.supply.lower.toNumber() + conditions.supply.upper.toNumber()) / 2;
  const offset =
    of.lasting("buffer_offset") +
    of.lasting("buffer_offsetTempco") * of.above("buffer", 25) +
    of.lasting("buffer_supply") * (of.here("supply") - middle) +
    of.here("buffer_crossover") +
    of.lasting("buffer_commonMode") * node;
  const amplified =
    buffer === undefined
      ? node
      : (node + offset) *
        buffer.gain.toNumber() *
        (1 + of.lasting("buffer_gainError")) *
        (1 + of.lasting("buffer_gainTempco") * of.above("buffer", 25));
  const lsb = (adc.spanRatio.toNumber() * reference) / 2 ** adc.bits;
  const gain =
    (1 + of.lasting("adc_gainError")) * (1 + of.lasting("adc_gainTempco") * of.above("adc", 25));
  return (
    (amplified / lsb) * gain +
    of.lasting("adc_offset") +
    of.lasting("adc_offsetTempco") * of.above("adc", 25) +
    of.here("adc_nonlinearity") +
    of.here("adc_unadjusted") +
    2 ** adc.bits * of.here("adc_memory") +
    of.here("noise")
  );
}
