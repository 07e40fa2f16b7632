import { MEASURAND, roundingQuantities } from "../chain/measurement-model.ts";
import type { MeasurementModel } from "../chain/measurement-model.ts";
import type { LimitDistribution, QuantityKind } from "../design/quantity.ts";
import { invariant } from "../errors.ts";
import { compileTape } from "../expression/tape.ts";
import type { Tape } from "../expression/tape.ts";
import type { Decimal } from "../quantity/decimal.ts";
import { standardUncertaintyOf } from "../statistics/distribution-moments.ts";
import type { Distribution } from "../statistics/distribution.ts";
import type { PreparedInput } from "../uncertainty/measurement-model.ts";
import { propagate } from "../uncertainty/propagation.ts";

/** The error of indication at one voltage as a quantity with uncertainty. */
export interface ErrorUncertainty {
  /** True voltage, V. */
  readonly voltage: number;
  /** Error expected with every quantity in the middle of its limits, V. */
  readonly expected: number;
  /** Combined standard uncertainty, V, products of deviations counted. */
  readonly standardUncertainty: number;
  /** Effective degrees of freedom; Infinity where every limit is known for certain. */
  readonly degreesOfFreedom: number;
}

interface LimitedQuantity {
  readonly name: string;
  readonly lower: Decimal;
  readonly upper: Decimal;
  readonly distribution: LimitDistribution;
  readonly degreesOfFreedom?: number;
}

function distributionOf(quantity: LimitedQuantity): Distribution {
  const [lower, upper] = [quantity.lower.toNumber(), quantity.upper.toNumber()];
  const { distribution } = quantity;
  if (distribution.shape !== "normal") return { shape: distribution.shape, lower, upper };
  const half = (upper - lower) / 2;
  const standardDeviation = half / distribution.coverageFactor;
  return { shape: "normal", mean: lower + half, standardDeviation };
}

function inputOf(quantity: LimitedQuantity): PreparedInput {
  const [lower, upper] = [quantity.lower.toNumber(), quantity.upper.toNumber()];
  const distribution = distributionOf(quantity);
  return {
    name: quantity.name,
    estimate: lower + (upper - lower) / 2,
    standardUncertainty: lower === upper ? 0 : standardUncertaintyOf(distribution),
    degreesOfFreedom: quantity.degreesOfFreedom ?? Infinity,
    distribution,
  };
}

/** Which kinds of quantities count; the others stay at the middle of their limits. */
export type Counted = (kind: QuantityKind | "rounding") => boolean;

/**
 * Uncertainty of the error of indication of a model by the law of propagation, from the same
 * equation and the same limits as the proven bound. Of any unit made to the drawing unless only
 * some kinds of quantities are counted.
 *
 * Source: JCGM 100:2008, 5.1.2 with its note; the estimate is that of first order.
 */
export class ErrorPropagation {
  private readonly tape: Tape;
  private readonly inputs: readonly PreparedInput[];

  constructor(model: MeasurementModel, counted: Counted = () => true) {
    const inputs = [
      ...model.quantities.map((quantity) => ({ kind: quantity.kind, input: inputOf(quantity) })),
      ...roundingQuantities(model).map((rounding) => ({
        kind: "rounding" as const,
        input: inputOf({ ...rounding, distribution: { shape: "rectangular" } }),
      })),
    ];
    this.inputs = inputs.map(({ kind, input }) =>
      counted(kind) ? input : { ...input, standardUncertainty: 0 },
    );
    const names = [MEASURAND, ...this.inputs.map(({ name }) => name)];
    this.tape = compileTape([model.bounded], names);
  }

  /** At one true voltage, V. */
  at(voltage: number): ErrorUncertainty {
    const measurand: PreparedInput = {
      name: MEASURAND,
      estimate: voltage,
      standardUncertainty: 0,
      degreesOfFreedom: Infinity,
      distribution: { shape: "rectangular", lower: voltage, upper: voltage },
    };
    const { outputs } = propagate(
      { outputNames: ["error"], outputs: [], guards: [], inputs: [measurand, ...this.inputs] },
      this.tape,
      0.95,
    );
    const second = outputs[0]?.secondOrder;
    invariant(second !== undefined, "independent inputs have a second order");
    return {
      voltage,
      expected: second.estimate,
      standardUncertainty: second.combinedStandardUncertainty,
      degreesOfFreedom: second.effectiveDegreesOfFreedom,
    };
  }
}
