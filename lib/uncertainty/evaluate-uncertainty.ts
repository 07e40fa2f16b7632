import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import { topologicalOrder } from "../expression/node.ts";
import { compileTape } from "../expression/tape.ts";
import { keyOfSeed } from "../random/stream.ts";
import { checkDomain } from "./domain-check.ts";
import type { PreparedInput, PreparedModel, UncertaintyModel } from "./measurement-model.ts";
import { blockSize, monteCarlo } from "./monte-carlo.ts";
import type { MonteCarloPlan, MonteCarloResult } from "./monte-carlo.ts";
import { prepareModel } from "./prepare-model.ts";
import { printEstimate, printExpandedUncertainty, decimalsFor } from "./print-figures.ts";
import { propagate } from "./propagation.ts";
import type { OutputPropagation, Propagation } from "./propagation.ts";
import { runBlocks } from "./run-blocks.ts";
import type { TrialWork } from "./run-blocks.ts";
import { correlatedInputs, planSampling } from "./sampling-plan.ts";
import { trialKernel } from "./wasm-kernel.ts";
import { validate } from "./validation.ts";
import type { Validation } from "./validation.ts";

/** How an uncertainty is evaluated. Every figure has a default. */
export interface UncertaintyOptions {
  /** Share of the values that the intervals shall hold, between 0.5 and 1. Default 0.95. */
  readonly coverageProbability?: number;
  /** Seed of the Monte Carlo, an integer from 0 on. Same seed: same result. Default 1. */
  readonly seed?: number;
  /** Number of trials, or "adaptive" (JCGM 101, 7.9), or "none". Default "adaptive". */
  readonly trials?: number | "adaptive" | "none";
  /** Digits of the standard uncertainty that the Monte Carlo shall hold: 1 or 2. Default 1. */
  readonly significantDigits?: 1 | 2;
  /** Where the adaptive rule gives up. Default 5 million. */
  readonly mostTrials?: number;
  /** Which coverage interval is watched and validated against. Default "symmetric". */
  readonly interval?: "symmetric" | "shortest";
}

/** Everything found for one output. */
export interface OutputUncertainty extends OutputPropagation {
  /** Estimate and expanded uncertainty of first order: "50000838 +/- 93 (k = 2.92)". */
  readonly text: string;
  readonly monteCarlo?: MonteCarloResult;
  /** First and second order against the Monte Carlo. */
  readonly validation?: { readonly firstOrder: Validation; readonly secondOrder?: Validation };
}

/** Result of {@link evaluateUncertainty}. */
export interface UncertaintyResult {
  readonly outputs: Readonly<Record<string, OutputUncertainty>>;
  /** Correlation coefficients of the outputs by the law of propagation, in their order. */
  readonly correlation: readonly (readonly number[])[];
  readonly inputs: readonly PreparedInput[];
  readonly coverageProbability: number;
  /** What a reader has to know to judge the figures. */
  readonly notes: readonly string[];
}

/** A model made ready, with what the Monte Carlo needs. */
export interface ReadyEvaluation {
  readonly model: PreparedModel;
  readonly propagation: Propagation;
  readonly coverageProbability: number;
  readonly notes: readonly string[];
  /** Absent when no Monte Carlo is asked for. */
  readonly sampling?: { readonly work: TrialWork; readonly plan: MonteCarloPlan };
}

const MOST_TRIALS = 5_000_000;

function optionFaults(options: UncertaintyOptions): Fault[] {
  const faults: Fault[] = [];
  const check = (path: string, quantity: string, value: unknown, rule: [boolean, string]): void => {
    if (!rule[0]) faults.push({ path, quantity, permitted: rule[1], received: String(value) });
  };
  const { coverageProbability = 0.95, seed = 1, trials = "adaptive" } = options;
  const isCoverage = coverageProbability >= 0.5 && coverageProbability <= 0.99999;
  check("coverageProbability", "coverage probability", coverageProbability, [
    isCoverage,
    "0.5 to 0.99999",
  ]);
  check("seed", "seed", seed, [
    Number.isSafeInteger(seed) && seed >= 0,
    "an integer from 0 to 9007199254740991",
  ]);
  const { significantDigits = 1, mostTrials = MOST_TRIALS } = options;
  check("significantDigits", "number of significant digits", significantDigits, [
    significantDigits === 1 || significantDigits === 2,
    "1 or 2",
  ]);
  if (!isCoverage) return faults;
  const fewest = blockSize(coverageProbability);
  const range = `an integer from ${fewest} to 1000000000`;
  const inRange = (count: number) => Number.isInteger(count) && count >= fewest && count <= 1e9;
  if (typeof trials === "number")
    check("trials", "number of trials", trials, [inRange(trials), range]);
  check("mostTrials", "largest number of trials", mostTrials, [inRange(mostTrials), range]);
  return faults;
}

function notesOf(model: PreparedModel, isQuantised: boolean): string[] {
  const notes: string[] = [];
  if (isQuantised)
    notes.push(
      "The law of propagation takes a rounding in the equation as flat; the Monte Carlo rounds.",
    );
  const joint = correlatedInputs(model);
  if (joint.length === 0) return notes;
  notes.push(
    "Second-order terms are left out: their formula holds for independent inputs.",
    "With correlated inputs the effective degrees of freedom are the least that contribute.",
  );
  const odd = joint.filter((index) => model.inputs[index]!.distribution.shape !== "normal");
  if (odd.length > 0) {
    const names = odd.map((index) => model.inputs[index]!.name).join(", ");
    notes.push(
      `In the Monte Carlo the correlation coefficients of ${names} apply to normal scores; ` +
        "the values themselves are a little less correlated.",
    );
  }
  return notes;
}

/** Checks a model, propagates it and plans its Monte Carlo. */
export function readyEvaluation(
  given: UncertaintyModel,
  options: UncertaintyOptions,
): ReadyEvaluation {
  const faults = optionFaults(options);
  if (faults.length > 0) throw new InvalidInputError("uncertainty options", faults);
  const model = prepareModel(given);
  const { coverageProbability = 0.95, trials = "adaptive" } = options;
  const roots = [...model.outputs, ...model.guards];
  const names = model.inputs.map(({ name }) => name);
  const tape = compileTape(roots, names);
  const isQuantised = topologicalOrder(roots).some(
    (node) => node.kind === "unary" && node.operation === "floor",
  );
  checkDomain(model);
  const ready = {
    model,
    propagation: propagate(model, tape, coverageProbability),
    coverageProbability,
    notes: notesOf(model, isQuantised),
  };
  if (trials === "none") return ready;
  const work: TrialWork = {
    tape: { ...tape, nodes: [] },
    plan: planSampling(model),
    key: keyOfSeed(options.seed ?? 1),
    coverageProbability,
    rootNames: [...model.outputNames, ...Object.keys(given.unquantised ?? {})],
  };
  const plan: MonteCarloPlan = {
    coverageProbability,
    significantDigits: options.significantDigits ?? 1,
    trials,
    mostTrials: options.mostTrials ?? MOST_TRIALS,
    // Validation asks for a run that is known five times better than its tolerance.
    toleranceDivisor: 5,
    interval: options.interval ?? "symmetric",
    fewestBlocks: isQuantised ? 10 : 2,
  };
  return { ...ready, sampling: { work, plan } };
}

function textOf({ firstOrder }: OutputPropagation): string {
  const { estimate, expandedUncertainty, coverageFactor } = firstOrder;
  const factor = coverageFactor.toFixed(2);
  if (expandedUncertainty === 0) return `${estimate} +/- 0 (k = ${factor})`;
  const decimals = decimalsFor(expandedUncertainty, 2);
  const shown = printEstimate(estimate, decimals);
  return `${shown} +/- ${printExpandedUncertainty(expandedUncertainty)} (k = ${factor})`;
}

/** Puts the parts of a result together. */
export function joinEvaluation(
  ready: ReadyEvaluation,
  found: readonly MonteCarloResult[] | undefined,
): UncertaintyResult {
  const { model, propagation, coverageProbability, notes, sampling } = ready;
  const entries = model.outputNames.map((name, index): [string, OutputUncertainty] => {
    const output = propagation.outputs[index]!;
    const result = found?.[index];
    if (result === undefined) return [name, { ...output, text: textOf(output) }];
    const interval =
      sampling?.plan.interval === "shortest" ? result.shortestInterval : result.symmetricInterval;
    const { firstOrder, secondOrder } = output;
    return [
      name,
      {
        ...output,
        text: textOf(output),
        monteCarlo: result,
        validation: {
          firstOrder: validate(firstOrder, result, interval),
          ...(secondOrder === undefined
            ? {}
            : { secondOrder: validate(secondOrder, result, interval) }),
        },
      },
    ];
  });
  return {
    outputs: Object.fromEntries(entries),
    correlation: propagation.correlation,
    inputs: model.inputs,
    coverageProbability,
    notes,
  };
}

/**
 * Uncertainty of any measurement model: the law of propagation of first and second order (JCGM
 * 100) and the propagation of distributions (JCGM 101) on the same equation, on one core.
 *
 * Throws {@link InvalidInputError} with every fault of the model or the options, and
 * {@link OutsideDomainError} where an output is not finite, with the inputs at which it is not.
 *
 * @example
 * evaluateUncertainty({
 *   outputs: { power: "V^2 / R" },
 *   inputs: [
 *     { name: "V", readings: [5.001, 4.998, 5.003, 4.999] },
 *     { name: "R", distribution: { shape: "rectangular", lower: 99, upper: 101 } },
 *   ],
 * }).outputs.power.text;
 */
export function evaluateUncertainty(
  model: UncertaintyModel,
  options: UncertaintyOptions = {},
): UncertaintyResult {
  const ready = readyEvaluation(model, options);
  if (ready.sampling === undefined) return joinEvaluation(ready, undefined);
  const { work, plan } = ready.sampling;
  const kernel = trialKernel(work);
  const counts = { roots: work.tape.roots.length, reported: ready.model.outputNames.length };
  const procedure = monteCarlo(plan, counts);
  let step = procedure.next();
  while (step.done !== true) step = procedure.next(runBlocks(work, step.value, kernel));
  return joinEvaluation(ready, step.value);
}
