import { compileTape } from "../expression/tape.ts";
import { symbolsOf } from "../expression/node.ts";
import { keyOfSeed } from "../random/stream.ts";
import { prepareInput } from "./prepare-model.ts";
import { independentDraw, plannedInput } from "./sampling-plan.ts";
import type { PlannedInput } from "./sampling-plan.ts";
import type { SweptModel } from "./uncertainty-along.ts";
import { trialKernel } from "./wasm-kernel.ts";

/** What of a variance would remain if all other inputs were known. */
export interface TotalEffect {
  readonly input: string;
  /** Share of the variance, with every interaction the input takes part in. */
  readonly total: number;
}

/** Where the effects are sampled. */
export interface TotalEffectOptions {
  /** Values of the model's parameters. */
  readonly parameters: readonly number[];
  /** Inputs asked for; those that the rounded form does not hold have no effect of their own. */
  readonly inputs: readonly string[];
  readonly trials: number;
  /** Default 1. */
  readonly seed?: number;
}

/**
 * Total effects of some inputs on the rounded output, by sampling: the mean square of what changes
 * when one input is drawn again, over twice the variance. Needs no additive model; for an additive
 * one the effects are the shares of first order.
 *
 * Source: Jansen's estimator, as in Saltelli et al., Computer Physics Communications 181 (2010) 259
 * (from memory).
 */
export function totalEffects(
  model: SweptModel,
  { parameters, inputs, trials, seed = 1 }: TotalEffectOptions,
): readonly TotalEffect[] {
  const names = symbolsOf([model.rounded]);
  const tape = compileTape([model.rounded], names);
  const prepared = new Map(model.inputs.map((input) => [input.name, prepareInput(input)]));
  const planned = (name: string, stream: string): PlannedInput => {
    const place = model.parameters.indexOf(name);
    if (place >= 0) return plannedInput(name, { kind: "parameter", place });
    const input = prepared.get(name);
    if (input === undefined)
      return plannedInput(name, { kind: "constant", value: model.constants?.[name] ?? 0 });
    return plannedInput(stream, independentDraw(input.distribution));
  };
  const valuesWith = (again: string | undefined): Float64Array => {
    // Another name is another stream of the generator.
    const plan = names.map((name) => planned(name, name === again ? `${name} again` : name));
    const values = new Float64Array(trials);
    const block = { firstTrial: 0, count: trials };
    trialKernel({ tape, plan, key: keyOfSeed(seed) }).sweep(block, [
      { parameters, outputs: [values] },
    ]);
    return values;
  };
  const first = valuesWith(undefined);
  const mean = first.reduce((sum, value) => sum + value, 0) / trials;
  const variance = first.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (trials - 1);
  const present = new Set(names);
  return inputs
    .filter((input) => present.has(input))
    .map((input) => {
      const second = valuesWith(input);
      let squares = 0;
      for (let index = 0; index < trials; index += 1)
        squares += (first[index]! - second[index]!) ** 2;
      return { input, total: variance === 0 ? 0 : squares / (2 * trials * variance) };
    });
}
