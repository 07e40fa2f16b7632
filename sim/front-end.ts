import { InvalidInputError } from "../lib/errors.ts";
import type { Fault } from "../lib/errors.ts";
import type { Design, ResistorGroup } from "../lib/design/design.ts";
import { AMBIENT_ORIGIN_CELSIUS } from "../lib/design/occasions.ts";
import type { Occasion } from "../lib/design/quantity.ts";
import type { DrawnValues } from "./drawn-values.ts";
import { exponential } from "./elementary.ts";
import type { SamplingCharge } from "./sampling-charge.ts";
import { samplingLoad } from "./sampling-load.ts";
import type { Leak } from "./sampling-load.ts";
import type { Sampling } from "./scenario.ts";

/** Equal resistors of the upper leg as one unit carries them. */
interface UpperPart {
  readonly count: number;
  /** Ohm of one part at no voltage. */
  readonly ohm: number;
  /** 1/V. */
  readonly voltageCoefficient: number;
}

/** The tester's parts from one pin to the converter's input, as drawn, on one occasion. */
export interface FrontEnd {
  readonly upper: readonly UpperPart[];
  /** S across the whole upper leg, surface leakage. */
  readonly acrossUpper: number;
  /** S of the lower leg. */
  readonly lower: number;
  /** V to which the lower leg returns, against the tester's ground. */
  readonly bias: number;
  /** Conductances from the node to voltages: leakage, supply, sampling; S and V. */
  readonly leaks: readonly Leak[];
  /** A into the node. */
  readonly current: number;
  /** F across the upper leg, and from the node to ground. */
  readonly capacitance: { readonly upper: number; readonly node: number };
  /** V out of the buffer = gain (node (1 + commonMode) + offset), within the swing. */
  readonly buffer: {
    readonly gain: number;
    readonly commonMode: number;
    readonly offset: number;
    readonly swing?: { readonly lower: number; readonly upper: number };
    /** s after leaving the swing until the output follows again. */
    readonly recovery: number;
  };
  /** s, first-order low-passes between node and converter in order. */
  readonly lags: readonly number[];
  /** Code position = slope volts + offset, LSB, nonlinearity included as a constant. */
  readonly converter: {
    readonly slope: number;
    readonly offset: number;
    readonly lowest: number;
    readonly highest: number;
  };
  /** V. */
  readonly reference: number;
  /** F between the mains conductor and the node. */
  readonly coupling: number;
  /** The sampling capacitor as a part; its load at rest is among the leaks, as `bySampling`. */
  readonly charge?: SamplingCharge;
}

/** Capacitance of a node that a design leaves out: none. */
const NONE = 0;

function resistanceOf(drawn: DrawnValues, group: ResistorGroup, occasion: Occasion): number {
  const { id, network, resistance, referenceCelsius } = group;
  const kelvin = drawn.temperatureAbove(id, occasion, referenceCelsius);
  const shared =
    network === undefined
      ? { tolerance: 0, tempco: 0, drift: 1 }
      : {
          tolerance: drawn.lasting(`${network}_tolerance`),
          tempco: drawn.lasting(`${network}_tempco`),
          drift: drawn.drift(network, occasion),
        };
  const tempco = drawn.lasting(`${id}_tempco`) + shared.tempco;
  const made = (1 + shared.tolerance) * (1 + drawn.lasting(`${id}_tolerance`));
  const aged = shared.drift * drawn.drift(id, occasion);
  return resistance.toNumber() * made * (1 + tempco * kelvin) * aged;
}

function middleOfSupply({ conditions }: Design): number {
  return (conditions.supply.lower.toNumber() + conditions.supply.upper.toNumber()) / 2;
}

function referenceVoltage(drawn: DrawnValues, occasion: Occasion): number {
  const { reference } = drawn.design;
  const excursion = occasion === "use" ? drawn.on("reference_box", "use") : 0;
  const box = (1 + drawn.lasting("reference_box")) * (1 + excursion);
  const supply = drawn.on("supply", occasion) - middleOfSupply(drawn.design);
  const line =
    reference.lineRegulation === undefined
      ? 1
      : 1 + drawn.lasting("reference_lineRegulation") * supply;
  const initial = 1 + drawn.lasting("reference_initial");
  return reference.voltage.toNumber() * initial * box * drawn.drift("reference", occasion) * line;
}

function biasVoltage(drawn: DrawnValues, occasion: Occasion, reference: number): number {
  const { bias } = drawn.design.divider;
  if (bias.source === "ground") return 0;
  const kelvin = drawn.temperatureAbove("bias", occasion, AMBIENT_ORIGIN_CELSIUS);
  const tempco = bias.tempco === undefined ? 1 : 1 + drawn.lasting("bias_tempco") * kelvin;
  const ratio =
    bias.nominal.toNumber() *
    (1 + drawn.lasting("bias_tolerance")) *
    tempco *
    drawn.drift("bias", occasion);
  return bias.source === "reference" ? ratio * reference + drawn.lasting("bias_offset") : ratio;
}

function nodeCurrent(drawn: DrawnValues, occasion: Occasion): number {
  let sum = drawn.on("interference", occasion);
  for (const { id, atCelsius, doublesEvery } of drawn.design.currents) {
    const law =
      doublesEvery === undefined
        ? 1
        : exponential(
            (Math.LN2 * drawn.temperatureAbove(id, occasion, atCelsius)) / doublesEvery.toNumber(),
          );
    sum += drawn.lasting(`${id}_current`) * law;
  }
  return sum;
}

function leaksOf(drawn: DrawnValues, occasion: Occasion): Leak[] {
  const { board } = drawn.design;
  const leaks: Leak[] = [];
  if (board?.nodeToGround !== undefined)
    leaks.push({ siemens: drawn.on("board_nodeToGround", occasion), volts: 0 });
  if (board?.nodeToSupply !== undefined) {
    const siemens = drawn.on("board_nodeToSupply", occasion);
    leaks.push({ siemens, volts: drawn.on("supply", occasion) });
  }
  return leaks;
}

function seriesCapacitance(groups: readonly ResistorGroup[]): number {
  let inverse = 0;
  for (const { count, shuntCapacitance } of groups) {
    if (shuntCapacitance === undefined) return NONE;
    inverse += count / shuntCapacitance.toNumber();
  }
  return inverse === 0 ? NONE : 1 / inverse;
}

function bufferOf(drawn: DrawnValues, occasion: Occasion): FrontEnd["buffer"] {
  const { buffer, design } = { buffer: drawn.design.buffer, design: drawn.design };
  if (buffer === undefined) return { gain: 1, commonMode: 0, offset: 0, recovery: 0 };
  const kelvin = drawn.temperatureAbove("buffer", occasion, AMBIENT_ORIGIN_CELSIUS);
  const supply = drawn.on("supply", occasion) - middleOfSupply(design);
  const bySupply = buffer.supplyRejection === undefined ? 0 : drawn.lasting("buffer_supply");
  return {
    gain:
      buffer.gain.toNumber() *
      (1 + drawn.lasting("buffer_gainError")) *
      (1 + drawn.lasting("buffer_gainTempco") * kelvin),
    commonMode: drawn.lasting("buffer_commonMode"),
    offset:
      drawn.lasting("buffer_offset") +
      drawn.lasting("buffer_offsetTempco") * kelvin +
      bySupply * supply +
      drawn.on("buffer_crossover", occasion),
    swing: { lower: buffer.swing.lower.toNumber(), upper: buffer.swing.upper.toNumber() },
    recovery: buffer.overloadRecovery?.toNumber() ?? 0,
  };
}

function converterOf(drawn: DrawnValues, occasion: Occasion, reference: number) {
  const { adc } = drawn.design;
  const codes = 2 ** adc.bits;
  const kelvin = drawn.temperatureAbove("adc", occasion, AMBIENT_ORIGIN_CELSIUS);
  const gain =
    (1 + drawn.lasting("adc_gainError")) * (1 + drawn.lasting("adc_gainTempco") * kelvin);
  return {
    slope: ((codes / adc.spanRatio.toNumber()) * gain) / reference,
    offset:
      drawn.lasting("adc_offset") +
      drawn.lasting("adc_offsetTempco") * kelvin +
      drawn.on("adc_nonlinearity", occasion) +
      drawn.on("adc_unadjusted", occasion) +
      codes * drawn.on("adc_memory", occasion) +
      drawn.on("noise", occasion),
    lowest: adc.input === "unipolar" ? 0 : -codes / 2,
    highest: adc.input === "unipolar" ? codes - 1 : codes / 2 - 1,
  };
}

function requirePositiveParts(frontEnd: FrontEnd): void {
  const faults: Fault[] = [];
  const check = (path: string, quantity: string, value: number): void => {
    if (Number.isFinite(value) && value > 0) return;
    faults.push({ path, quantity, permitted: "greater than zero", received: String(value) });
  };
  for (const [index, { ohm }] of frontEnd.upper.entries())
    check(`divider.upper[${index}]`, "drawn resistance", ohm);
  check("divider.lower", "drawn conductance of the lower leg", frontEnd.lower);
  check("reference", "drawn reference voltage", frontEnd.reference);
  check("buffer", "drawn gain", frontEnd.buffer.gain);
  check("adc", "drawn codes per volt", frontEnd.converter.slope);
  for (const tau of frontEnd.lags) check("filter", "drawn time constant", tau);
  for (const [index, { siemens }] of frontEnd.leaks.entries())
    if (siemens !== 0) check(`leak ${index}`, "drawn leakage conductance", siemens);
  if (faults.length > 0) throw new InvalidInputError("scenario", faults);
}

/**
 * Draws the front end of a design for one occasion: every part with its drawn tolerance, drift,
 * temperature and voltage coefficient. Throws InvalidInputError where a drawn part is not positive.
 */
export function drawFrontEnd(
  drawn: DrawnValues,
  occasion: Occasion,
  setup?: Sampling["charge"],
): FrontEnd {
  const { design } = drawn;
  const { divider, board, buffer, filter } = design;
  const reference = referenceVoltage(drawn, occasion);
  const lower = divider.lower.reduce((sum, group) => {
    const effect = 1 + drawn.on(`${group.id}_voltageEffect`, occasion);
    return sum + group.count * resistanceOf(drawn, group, occasion) * effect;
  }, 0);
  const lags: number[] = [];
  if (buffer?.bandwidth !== undefined) lags.push(1 / (2 * Math.PI * buffer.bandwidth.toNumber()));
  if (filter !== undefined)
    lags.push(filter.timeConstant.toNumber() * (1 + drawn.lasting("filter_tolerance")));
  const upper = divider.upper.map((group) => ({
    count: group.count,
    ohm: resistanceOf(drawn, group, occasion),
    voltageCoefficient: drawn.lasting(`${group.id}_voltageCoefficient`),
  }));
  const acrossUpper =
    board?.acrossUpper === undefined ? 0 : drawn.on("board_acrossUpper", occasion);
  const capacitance = {
    upper: seriesCapacitance(divider.upper),
    node: (divider.strayCapacitance?.toNumber() ?? 0) + seriesCapacitance(divider.lower),
  };
  const leaks = leaksOf(drawn, occasion);
  const string = upper.reduce((sum, { count, ohm }) => sum + count * ohm, 0);
  const others = leaks.reduce((sum, { siemens }) => sum + siemens, 0);
  const sampling = samplingLoad(drawn, reference, {
    setup,
    siemens: 1 / string + acrossUpper + 1 / lower + others,
    nodeFarad: capacitance.upper + capacitance.node,
  });
  if (sampling !== undefined) leaks.push(sampling.leak);
  const frontEnd: FrontEnd = {
    upper,
    acrossUpper,
    lower: 1 / lower,
    bias: biasVoltage(drawn, occasion, reference),
    leaks,
    current: nodeCurrent(drawn, occasion),
    capacitance,
    buffer: bufferOf(drawn, occasion),
    lags,
    converter: converterOf(drawn, occasion, reference),
    reference,
    coupling: design.interference?.coupling.toNumber() ?? 0,
    ...(sampling?.charge === undefined ? {} : { charge: sampling.charge }),
  };
  requirePositiveParts(frontEnd);
  return frontEnd;
}
