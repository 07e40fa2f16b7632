import { InvalidInputError, OutsideDomainError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import { PlainEvaluator } from "../expression/evaluate.ts";
import { symbolsOf } from "../expression/node.ts";
import type { Expression } from "../expression/node.ts";
import { compileTape } from "../expression/tape.ts";
import { keyOfSeed } from "../random/stream.ts";
import { symmetricEnds } from "../statistics/symmetric-ends.ts";
import type { CoverageInterval } from "../statistics/coverage-interval.ts";
import type { InputQuantity, PreparedInput } from "./measurement-model.ts";
import { inputFaults, prepareInput } from "./prepare-model.ts";
import { degreesOfFreedomOf, expand, requireFinite } from "./propagation.ts";
import type { Contribution, PropagatedUncertainty } from "./propagation.ts";
import { independentDraw, plannedInput } from "./sampling-plan.ts";
import type { TrialBlock } from "./trial-kernel.ts";
import { numericalTolerance } from "./numerical-tolerance.ts";
import { validate } from "./validation.ts";
import type { Validation } from "./validation.ts";
import { trialKernel } from "./wasm-kernel.ts";

/** A measurement model of one output that is evaluated at many values of some parameters. */
export interface SweptModel {
  /** Symbols that take the values, up to 16; they have no uncertainty. */
  readonly parameters: readonly string[];
  /** Output with its real roundings, for the trials. */
  readonly rounded: Expression;
  /** Output with a quantity in place of each rounding, for the law of propagation. */
  readonly smooth: Expression;
  /** Independent input quantities of either form. */
  readonly inputs: readonly InputQuantity[];
  /** Symbols that have one value and no uncertainty. */
  readonly constants?: Readonly<Record<string, number>>;
}

/** How the model is evaluated. */
export interface SweepOptions {
  /** Default 0.95. */
  readonly coverageProbability?: number;
  /** Same seed: same result. Default 1. */
  readonly seed?: number;
  /** Trials at each value, from 10 000 to 10 million. Default 120 000. */
  readonly trials?: number;
}

/** Monte Carlo at one set of values of the parameters. */
export interface SweptMonteCarlo {
  readonly trials: number;
  readonly estimate: number;
  readonly standardUncertainty: number;
  /** Probabilistically symmetric. */
  readonly interval: CoverageInterval;
  /** Two standard deviations of the less steady end, over half the width; 0 for a width of 0. */
  readonly endStability: number;
}

/** Everything found at one set of values of the parameters. */
export interface SweptUncertainty {
  /** In the order of the parameters. */
  readonly values: readonly number[];
  /** Law of propagation, first order. */
  readonly propagated: PropagatedUncertainty;
  /** In the order of the inputs. */
  readonly contributions: readonly Contribution[];
  readonly monteCarlo: SweptMonteCarlo;
  readonly validation: Validation;
}

/** Ends of a 95 % interval are then known to 0.5 % of its width, two standard deviations. */
export const DEFAULT_TRIALS = 120_000;
const FEWEST_TRIALS = 10_000;
const MOST_TRIALS = 10_000_000;
/** Values kept at a time, 8 bytes each. */
const MOST_KEPT = 1 << 23;
const BLOCK = 1 << 14;

interface Ready {
  readonly model: SweptModel;
  readonly inputs: readonly PreparedInput[];
  readonly coverageProbability: number;
  readonly trials: number;
  readonly seed: number;
  /** All symbols: inputs, constants, parameter. */
  readonly names: readonly string[];
}

function optionFaults(options: SweepOptions): Fault[] {
  const { coverageProbability = 0.95, seed = 1, trials = DEFAULT_TRIALS } = options;
  const faults: Fault[] = [];
  if (!(coverageProbability >= 0.5 && coverageProbability <= 0.999)) {
    const received = String(coverageProbability);
    const permitted = "0.5 to 0.999";
    const quantity = "coverage probability";
    faults.push({ path: "coverageProbability", quantity, permitted, received });
  }
  if (!(Number.isSafeInteger(seed) && seed >= 0)) {
    const permitted = "an integer from 0 to 9007199254740991";
    faults.push({ path: "seed", quantity: "seed", permitted, received: String(seed) });
  }
  if (!(Number.isInteger(trials) && trials >= FEWEST_TRIALS && trials <= MOST_TRIALS)) {
    const permitted = `an integer from ${FEWEST_TRIALS} to ${MOST_TRIALS}`;
    const quantity = "number of trials";
    faults.push({ path: "trials", quantity, permitted, received: String(trials) });
  }
  return faults;
}

function ready(model: SweptModel, options: SweepOptions): Ready {
  const faults = optionFaults(options);
  const constants = Object.keys(model.constants ?? {});
  const names = new Set<string>([...model.parameters, ...constants]);
  model.inputs.forEach((input, index) =>
    faults.push(...inputFaults(input, `inputs[${index}]`, names)),
  );
  for (const symbol of symbolsOf([model.rounded, model.smooth])) {
    if (names.has(symbol)) continue;
    const received = JSON.stringify(symbol);
    const permitted = "the name of an input, a constant or a parameter";
    faults.push({ path: "model", quantity: "symbol", permitted, received });
  }
  if (faults.length > 0) throw new InvalidInputError("swept model", faults);
  const { coverageProbability = 0.95, seed = 1, trials = DEFAULT_TRIALS } = options;
  const inputs = model.inputs.map(prepareInput);
  const own = inputs.map(({ name }) => name);
  const all = [...own, ...constants, ...model.parameters];
  return { model, inputs, coverageProbability, trials, seed, names: all };
}

/** The law of propagation at each value, on one compiled equation. */
function propagator({ model, inputs, names, coverageProbability }: Ready) {
  const evaluator = new PlainEvaluator(compileTape([model.smooth], names));
  const constants = Object.values(model.constants ?? {});
  const point = Float64Array.from([
    ...inputs.map(({ estimate }) => estimate),
    ...constants,
    ...model.parameters.map(() => 0),
  ]);
  const first = names.length - model.parameters.length;
  const gradient = new Float64Array(names.length);
  return (values: readonly number[]): Pick<SweptUncertainty, "propagated" | "contributions"> => {
    point.set(values, first);
    const estimate = evaluator.evaluate(point);
    evaluator.gradient(0, gradient);
    requireFinite(
      [estimate, ...gradient],
      "error",
      `${model.parameters.join(", ")} are ${values.join(", ")}`,
    );
    const parts = inputs.map(
      ({ standardUncertainty }, slot) => gradient[slot]! * standardUncertainty,
    );
    const variance = parts.reduce((sum, part) => sum + part * part, 0);
    const combined = Math.sqrt(variance);
    const contributions = inputs.map((input, slot) => ({
      input: input.name,
      sensitivity: gradient[slot]!,
      standardUncertainty: input.standardUncertainty,
      degreesOfFreedom: input.degreesOfFreedom,
      contribution: parts[slot]!,
      share: variance === 0 ? 0 : parts[slot]! ** 2 / variance,
    }));
    const degreesOfFreedom = degreesOfFreedomOf(combined, contributions, false);
    const facts = { degreesOfFreedom, coverageProbability };
    return { propagated: expand(estimate, combined, facts), contributions };
  };
}

/** Trials at several values on the same draws. */
function trialMaker({ model, inputs, names, trials, seed }: Ready) {
  const constants = Object.entries(model.constants ?? {});
  const plan = [
    ...inputs.map(({ name, distribution }) => plannedInput(name, independentDraw(distribution))),
    ...constants.map(([name, value]) => plannedInput(name, { kind: "constant", value })),
    ...model.parameters.map((name, place) => plannedInput(name, { kind: "parameter", place })),
  ];
  const tape = compileTape([model.rounded], names);
  // Only what the equation holds is drawn: the roundings of the smooth one are not in it.
  const used = new Set(symbolsOf([model.rounded]));
  const drawn = plan.map((input) =>
    used.has(input.name) ? input : { ...input, draw: IDLE, streams: [] },
  );
  const kernel = trialKernel({ tape, plan: drawn, key: keyOfSeed(seed) });
  return (values: readonly (readonly number[])[]): readonly Float64Array[] => {
    const all = values.map(() => new Float64Array(trials));
    for (let firstTrial = 0; firstTrial < trials; firstTrial += BLOCK) {
      const block: TrialBlock = { firstTrial, count: Math.min(BLOCK, trials - firstTrial) };
      const runs = all.map((list, index) => ({
        parameters: values[index]!,
        outputs: [list.subarray(firstTrial, firstTrial + block.count)],
      }));
      kernel.sweep(block, runs);
    }
    return all;
  };
}

const IDLE = { kind: "constant", value: 0 } as const;

function statisticsOf(values: Float64Array, coverageProbability: number): SweptMonteCarlo {
  const { length } = values;
  let sum = 0;
  for (let index = 0; index < length; index += 1) sum += values[index]!;
  const mean = sum / length;
  let squares = 0;
  for (let index = 0; index < length; index += 1) squares += (values[index]! - mean) ** 2;
  // A value that is not finite makes the sums so.
  if (!Number.isFinite(squares)) {
    throw new OutsideDomainError({
      path: "model",
      quantity: "output of a trial",
      permitted: "finite for all values that the inputs may take",
      received: String(values.find((value) => !Number.isFinite(value)) ?? squares),
    });
  }
  const { lower, upper, unrest } = symmetricEnds(values, coverageProbability);
  return {
    trials: length,
    estimate: mean,
    standardUncertainty: Math.sqrt(squares / (length - 1)),
    interval: { lower, upper },
    endStability: upper > lower ? (2 * unrest) / (upper - lower) : 0,
  };
}

function validationOf(
  propagated: PropagatedUncertainty,
  monteCarlo: SweptMonteCarlo,
  coverageProbability: number,
): Validation {
  const { standardUncertainty, interval, endStability } = monteCarlo;
  const tolerance = numericalTolerance(standardUncertainty, 1);
  const unrest = (endStability * (interval.upper - interval.lower)) / 2;
  const found = {
    ...monteCarlo,
    symmetricInterval: interval,
    shortestInterval: interval,
    numericalTolerance: tolerance,
    isStable: unrest <= tolerance,
    quantiles: "exact",
    coverageProbability,
  } as const;
  return validate(propagated, found, interval);
}

/**
 * Uncertainty of one output at many values of its parameters, by the law of propagation (JCGM 100) on
 * the smooth form and by Monte Carlo (JCGM 101) on the rounded one, with one compiled equation and
 * the same draws at every value: differences between values are no chance. One core.
 *
 * Throws {@link InvalidInputError} with every fault of model and options, {@link OutsideDomainError}
 * where an output is not finite.
 */
export function uncertaintyAlong(
  model: SweptModel,
  values: readonly (readonly number[])[],
  options: SweepOptions = {},
): readonly SweptUncertainty[] {
  const made = ready(model, options);
  const { trials, coverageProbability } = made;
  const propagate = propagator(made);
  const makeTrials = trialMaker(made);
  const group = Math.max(1, Math.floor(MOST_KEPT / trials));
  const found: SweptUncertainty[] = [];
  for (let first = 0; first < values.length; first += group) {
    const together = values.slice(first, first + group);
    makeTrials(together).forEach((list, index) => {
      const { propagated, contributions } = propagate(together[index]!);
      const monteCarlo = statisticsOf(list, coverageProbability);
      const validation = validationOf(propagated, monteCarlo, coverageProbability);
      found.push({ values: together[index]!, propagated, contributions, monteCarlo, validation });
    });
  }
  return found;
}
