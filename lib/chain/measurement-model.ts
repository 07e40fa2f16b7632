import { invariant } from "../errors.ts";
import { add, multiply, subtract, symbol } from "../expression/build.ts";
import { IntervalEvaluator } from "../expression/enclose.ts";
import type { Expression } from "../expression/node.ts";
import { symbolsOf } from "../expression/node.ts";
import { compileTape } from "../expression/tape.ts";
import type { Design } from "../design/design.ts";
import { occasionsOf } from "../design/occasions.ts";
import { quantitiesOf } from "../design/quantities.ts";
import type { Occasion, Quantity } from "../design/quantity.ts";
import { Decimal } from "../quantity/decimal.ts";
import { bufferStage, converterStage } from "./converter-stages.ts";
import { dividerStages } from "./divider-node.ts";
import { indicationOf } from "./indication.ts";
import { Quantisers, roundingLimits } from "./quantiser.ts";
import type { Quantiser } from "./quantiser.ts";
import { ReadingSymbols } from "./reading-symbols.ts";
import { sampledVoltage } from "./sampled-voltage.ts";
import { errorSinceAdjustment } from "./since-adjustment.ts";
import { throughStages } from "./stage.ts";
import type { Stage } from "./stage.ts";

/** Name of the measurand in the equation: the true voltage at the stated instant, V. */
export const MEASURAND = "V";

/** Name of the code in {@link MeasurementModel.indicationOfCode}. */
export const CODE = "code";

/**
 * The measurement equation of a design. `shown` rounds as the instrument does and is for
 * witnesses; `bounded` has a quantity in place of each rounding and is for proofs; `provable` is
 * identical to `bounded` and written for tight enclosures. All three give the error of
 * indication, V.
 */
export interface MeasurementModel {
  readonly design: Design;
  readonly quantities: readonly Quantity[];
  readonly shown: Expression;
  readonly bounded: Expression;
  readonly provable: Expression;
  /** Indication through the real roundings, V. */
  readonly indication: Expression;
  /** Indication as a function of the symbol `code`, an integer; only without adjustment. */
  readonly indicationOfCode?: Expression;
  /** Voltage at the input of the converter on every reading, V. */
  readonly converterInputs: Readonly<Partial<Record<Occasion, Expression>>>;
  /** Code before rounding of every reading, LSB. */
  readonly codes: Readonly<Partial<Record<Occasion, Expression>>>;
  readonly quantisers: readonly Quantiser[];
}

interface Reading {
  readonly input: Expression;
  readonly referenceVoltage: Expression;
  readonly stages: readonly Stage[];
}

function readingOn(reading: ReadingSymbols): Reading {
  const { design, occasion } = reading;
  const { adjustment } = design;
  const applied = (): Expression => {
    invariant(adjustment.kind !== "none" && occasion !== "use", "only an adjustment applies");
    const point =
      adjustment.kind === "gain"
        ? adjustment.at
        : occasion === "adjustLow"
          ? adjustment.low
          : adjustment.high;
    return add(reading.here("applied"), point.voltage);
  };
  const input = occasion === "use" ? sampledVoltage(reading, symbol(MEASURAND)) : applied();
  const { stages, referenceVoltage } = dividerStages(reading, input);
  return {
    input,
    referenceVoltage,
    stages: [...stages, ...bufferStage(reading, referenceVoltage), converterStage(reading)],
  };
}

/** Tells whether an expression excludes zero over the whole declared box. */
function zeroExclusion(
  design: Design,
  quantities: readonly Quantity[],
): (node: Expression) => boolean {
  const limits = new Map<string, readonly [number, number]>(
    quantities.map(({ name, lower, upper }) => [name, [lower.lowerNumber(), upper.upperNumber()]]),
  );
  const { lower, upper } = design.measuringInterval;
  limits.set(MEASURAND, [lower.lowerNumber(), upper.upperNumber()]);
  const known = new Map<Expression, boolean>();
  return (node) => {
    const earlier = known.get(node);
    if (earlier !== undefined) return earlier;
    const names = symbolsOf([node]);
    const tape = compileTape([node], names);
    const evaluator = new IntervalEvaluator(tape);
    evaluator.enclose(
      Float64Array.from(names, (name) => limits.get(name)![0]),
      Float64Array.from(names, (name) => limits.get(name)![1]),
    );
    const row = tape.roots[0]!;
    const excluded = evaluator.lower[row]! > 0 || evaluator.upper[row]! < 0;
    known.set(node, excluded);
    return excluded;
  };
}

function checkEveryQuantityActs(model: MeasurementModel, used: ReadonlySet<string>): void {
  const idle = model.quantities.filter(({ name }) => !used.has(name)).map(({ name }) => name);
  invariant(idle.length === 0, `declared quantities enter the equation: ${idle.join(", ")} do not`);
}

/** Limits of every symbol a model may use: quantities and roundings (not the measurand). */
export function roundingQuantities(model: Pick<MeasurementModel, "quantisers">) {
  return model.quantisers.map((quantiser) => {
    const limits = roundingLimits(quantiser);
    const nominal = limits.lower.add(limits.upper).multiply(Decimal.parse("0.5"));
    return { name: quantiser.symbol, occasion: quantiser.occasion, nominal, ...limits };
  });
}

/** Builds the measurement equation of a design, from the pins to the error of indication. */
export function measurementModel(design: Design): MeasurementModel {
  const quantities = quantitiesOf(design);
  const used = new Set<string>();
  const readings = new Map<Occasion, Reading>();
  for (const occasion of occasionsOf(design)) {
    readings.set(occasion, readingOn(new ReadingSymbols(design, quantities, occasion, used)));
  }
  const codes: Partial<Record<Occasion, Expression>> = {};
  const converterInputs: Partial<Record<Occasion, Expression>> = {};
  const stages: Partial<Record<Occasion, readonly Stage[]>> = {};
  const input: Partial<Record<Occasion, Expression>> = {};
  for (const [occasion, reading] of readings) {
    codes[occasion] = throughStages(reading.input, reading.stages);
    converterInputs[occasion] = multiply(
      throughStages(reading.input, reading.stages.slice(0, -1)),
      reading.referenceVoltage,
    );
    stages[occasion] = reading.stages;
    input[occasion] = reading.input;
  }
  const voltage = symbol(MEASURAND);
  const shownQuantisers = new Quantisers("shown");
  const boundedQuantisers = new Quantisers("bounded");
  const indication = indicationOf(design, codes, shownQuantisers);
  const bounded = subtract(indicationOf(design, codes, boundedQuantisers), voltage);
  const provable = errorSinceAdjustment(design, {
    stages,
    input,
    voltage,
    neverZero: zeroExclusion(design, quantities),
  });
  const model: MeasurementModel = {
    design,
    quantities,
    shown: subtract(indication, voltage),
    bounded,
    provable: provable ?? bounded,
    indication,
    ...(design.adjustment.kind === "none"
      ? {
          indicationOfCode: indicationOf(design, { use: symbol(CODE) }, new Quantisers("shown")),
        }
      : {}),
    converterInputs,
    codes,
    quantisers: shownQuantisers.list,
  };
  checkEveryQuantityActs(model, used);
  return model;
}
