import {
  absolute,
  add,
  constant,
  divide,
  exponential,
  logarithm,
  multiply,
  named,
  subtract,
} from "../expression/build.ts";
import type { Expression } from "../expression/node.ts";
import type { ResistorGroup } from "../design/design.ts";
import { AMBIENT_ORIGIN_CELSIUS } from "../design/occasions.ts";
import { Decimal } from "../quantity/decimal.ts";
import type { ReadingSymbols } from "./reading-symbols.ts";
import type { Stage } from "./stage.ts";

const ONE = Decimal.ofInteger(1);

/** Resistance of a group without its voltage coefficient, ohm. */
function coldResistance(reading: ReadingSymbols, group: ResistorGroup): Expression {
  const { id, network } = group;
  const temperature = reading.temperatureAbove(id, group.referenceCelsius);
  const nominal = group.resistance.multiply(Decimal.ofInteger(group.count));
  const shared =
    network === undefined
      ? { tolerance: constant(0), tempco: constant(0), drift: constant(1) }
      : {
          tolerance: reading.lasting(`${network}_tolerance`),
          tempco: reading.lasting(`${network}_tempco`),
          drift: reading.driftFactor(network),
        };
  const tempco = add(reading.lasting(`${id}_tempco`), shared.tempco);
  return multiply(
    nominal,
    add(1, shared.tolerance),
    add(1, reading.lasting(`${id}_tolerance`)),
    add(1, multiply(tempco, temperature)),
    shared.drift,
    reading.driftFactor(id),
  );
}

function lowerLeg(reading: ReadingSymbols): Expression {
  const parts = reading.design.divider.lower.map((group) =>
    multiply(
      coldResistance(reading, group),
      add(1, reading.hereOrZero(`${group.id}_voltageEffect`)),
    ),
  );
  return named(`lower_${reading.occasion}`, add(...parts));
}

/** A node current with its temperature law, A. */
function nodeCurrent(reading: ReadingSymbols, index: number): Expression {
  const { id, atCelsius, doublesEvery } = reading.design.currents[index]!;
  const current = reading.lasting(`${id}_current`);
  if (doublesEvery === undefined) return current;
  const temperature = reading.temperatureAbove(id, atCelsius);
  return multiply(current, exponential(multiply(logarithm(2), divide(temperature, doublesEvery))));
}

/** Currents into the node that do not depend on any voltage, A. */
function nodeCurrents(reading: ReadingSymbols): Expression {
  const parts = reading.design.currents.map((_, index) => nodeCurrent(reading, index));
  return named(`current_${reading.occasion}`, add(...parts, reading.hereOrZero("interference")));
}

/** Bias voltage over reference voltage. */
function biasRatio(reading: ReadingSymbols, referenceVoltage: Expression): Expression {
  const { bias } = reading.design.divider;
  if (bias.source === "ground") return constant(0);
  const temperature = (): Expression => reading.temperatureAbove("bias", AMBIENT_ORIGIN_CELSIUS);
  const value = multiply(
    bias.nominal,
    add(1, reading.lasting("bias_tolerance")),
    bias.tempco === undefined
      ? constant(1)
      : add(1, multiply(reading.lasting("bias_tempco"), temperature())),
    reading.driftFactor("bias"),
  );
  const ratio =
    bias.source === "reference"
      ? add(value, divide(reading.lastingOrZero("bias_offset"), referenceVoltage))
      : divide(value, referenceVoltage);
  return named(`bias_${reading.occasion}`, ratio);
}

interface Leak {
  readonly conductance: Expression;
  /** Voltage at its far end over the reference voltage, or in volts. */
  readonly ratio?: Expression;
  readonly volts?: Expression;
}

/** Everything that hangs on the node beside the two legs. */
function leaks(reading: ReadingSymbols): Leak[] {
  const { board, adc, buffer } = reading.design;
  const found: Leak[] = [];
  if (board?.nodeToGround !== undefined)
    found.push({ conductance: reading.here("board_nodeToGround"), ratio: constant(0) });
  if (board?.nodeToSupply !== undefined)
    found.push({ conductance: reading.here("board_nodeToSupply"), volts: reading.here("supply") });
  if (adc.sampling !== undefined && buffer === undefined) {
    const rate = reading.design.timing!.sampleRate;
    const nominal = adc.sampling.capacitance.multiply(rate);
    found.push({
      conductance: multiply(nominal, add(1, reading.lasting("sampling_tolerance"))),
      ratio: constant(adc.sampling.startsFrom),
    });
  }
  return found;
}

interface NodeParts {
  readonly bias: Expression;
  readonly current: Expression;
  readonly leaks: readonly Leak[];
  readonly lower: Expression;
  readonly referenceVoltage: Expression;
}

/** Share the node sees of a voltage at the far end of the upper leg: 1 / (1 + R / R_others). */
function share(upper: Expression, parts: NodeParts): Expression {
  const others = add(divide(1, parts.lower), ...parts.leaks.map(({ conductance }) => conductance));
  return divide(1, add(1, multiply(upper, others)));
}

function withBoard(reading: ReadingSymbols, leg: Expression): Expression {
  if (reading.design.board?.acrossUpper === undefined) return leg;
  return divide(1, add(divide(1, leg), reading.here("board_acrossUpper")));
}

/** Source current at the node, A, every far end counted from the bias. */
function injected(parts: NodeParts): Expression {
  return add(
    parts.current,
    ...parts.leaks.map((leak) =>
      multiply(
        leak.conductance,
        leak.volts === undefined
          ? multiply(parts.referenceVoltage, subtract(leak.ratio!, parts.bias))
          : subtract(leak.volts, multiply(parts.bias, parts.referenceVoltage)),
      ),
    ),
  );
}

/**
 * The upper leg with its voltage coefficients in solved form. The voltage across the leg without
 * them is exact; the share quantity encloses what the coefficients change in it.
 */
function upperLeg(reading: ReadingSymbols, pins: Expression, parts: NodeParts): Expression {
  const { upper } = reading.design.divider;
  const cold = upper.map((group) => coldResistance(reading, group));
  if (upper.every((group) => group.voltageCoefficient === undefined)) return add(...cold);
  const total = add(...cold);
  const leg = withBoard(reading, total);
  const above = subtract(pins, multiply(parts.bias, parts.referenceVoltage));
  const atNode = multiply(add(above, multiply(injected(parts), leg)), share(leg, parts));
  const across = named(`across_${reading.occasion}`, absolute(subtract(above, atNode)));
  const loaded = upper.map((group, index) => {
    if (group.voltageCoefficient === undefined) return cold[index]!;
    const ofPart = divide(ONE, Decimal.ofInteger(group.count));
    const part =
      upper.length === 1
        ? multiply(across, ofPart)
        : multiply(across, divide(multiply(cold[index]!, ofPart), total));
    const voltage = multiply(part, add(1, reading.here(`${group.id}_voltageShare`)));
    return multiply(
      cold[index]!,
      add(1, multiply(reading.lasting(`${group.id}_voltageCoefficient`), voltage)),
    );
  });
  return add(...loaded);
}

/** Reference voltage on one occasion, V. */
function referenceVoltage(reading: ReadingSymbols): Expression {
  const { reference, conditions } = reading.design;
  const middle = conditions.supply.lower
    .add(conditions.supply.upper)
    .multiply(Decimal.parse("0.5"));
  const line =
    reference.lineRegulation === undefined
      ? constant(1)
      : add(
          1,
          multiply(
            reading.lasting("reference_lineRegulation"),
            subtract(reading.here("supply"), middle),
          ),
        );
  const box = multiply(
    add(1, reading.lastingOrZero("reference_box")),
    reading.occasion === "use" ? add(1, reading.here("reference_box")) : constant(1),
  );
  return named(
    `reference_${reading.occasion}`,
    multiply(
      reference.voltage,
      add(1, reading.lasting("reference_initial")),
      box,
      reading.driftFactor("reference"),
      line,
    ),
  );
}

/** What the stages after the divider need. */
export interface DividerStages {
  readonly stages: readonly Stage[];
  readonly referenceVoltage: Expression;
}

/**
 * From the pins to the node voltage over the reference voltage: referred currents, division by the
 * reference, and the divider about its bias. Node currents and leakages enter as currents times
 * the upper leg, so that their large effect at the input is seen at once.
 */
export function dividerStages(reading: ReadingSymbols, pins: Expression): DividerStages {
  const reference = referenceVoltage(reading);
  const parts: NodeParts = {
    bias: biasRatio(reading, reference),
    current: nodeCurrents(reading),
    leaks: leaks(reading),
    lower: lowerLeg(reading),
    referenceVoltage: reference,
  };
  const leg = upperLeg(reading, pins, parts);
  const upper = named(`upper_${reading.occasion}`, withBoard(reading, leg));
  const inVolts = add(
    parts.current,
    ...parts.leaks.flatMap(({ conductance, volts }) =>
      volts === undefined ? [] : [multiply(conductance, volts)],
    ),
  );
  const inRatio = add(
    ...parts.leaks.map(({ conductance, ratio }) =>
      multiply(conductance, subtract(ratio ?? constant(0), parts.bias)),
    ),
  );
  return {
    referenceVoltage: reference,
    stages: [
      { gain: constant(1), offset: multiply(upper, inVolts) },
      {
        gain: divide(1, reference),
        offset: subtract(multiply(upper, inRatio), parts.bias),
      },
      {
        gain: named(`share_${reading.occasion}`, share(upper, parts)),
        offset: parts.bias,
      },
    ],
  };
}
