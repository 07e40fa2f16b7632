import type { Tape } from "../expression/tape.ts";
import type { PhiloxKey } from "../random/philox.ts";
import { fillUniforms } from "../random/stream.ts";
import type { Distribution } from "../statistics/distribution.ts";
import { normalProbability } from "../statistics/normal-probability.ts";
import { normalQuantile } from "../statistics/normal-quantile.ts";
import { plainExp, plainLog, plainSineOfHalfTurns } from "../statistics/plain-elementary.ts";
import { quantileOf } from "../statistics/quantile.ts";
import type { PlannedInput } from "./sampling-plan.ts";
import { trialSource } from "./trial-source.ts";

/** Trials that one pass of the inner loop takes: its arrays stay in the nearest caches. */
export const PASS = 512;

/** Trials asked for; their numbers are all that decides their values. */
export interface TrialBlock {
  readonly firstTrial: number;
  readonly count: number;
}

type FusedLoop = (
  count: number,
  uniforms: readonly Float64Array[],
  outputs: readonly Float64Array[],
  parameters: ArrayLike<number>,
  functions: {
    readonly normal: typeof normalQuantile;
    readonly quantile: typeof quantileOf;
    readonly probability: typeof normalProbability;
    readonly exp: typeof plainExp;
    readonly log: typeof plainLog;
    readonly sine: typeof plainSineOfHalfTurns;
  },
  distributions: readonly (Distribution | undefined)[],
) => void;

/** One evaluation of a block: values of the model's parameters, and one array per root. */
export interface TrialRun {
  readonly parameters: ArrayLike<number>;
  readonly outputs: readonly Float64Array[];
}

/**
 * Gives the outputs of numbered trials: a pure function of the seed, the trial numbers and the
 * parameters.
 */
export interface TrialKernel {
  /** Writes one array per root, `count` values each; for a model without parameters. */
  run(block: TrialBlock, outputs: readonly Float64Array[]): void;
  /** Several evaluations of the same draws, each with parameters of its own. */
  sweep(block: TrialBlock, runs: readonly TrialRun[]): void;
}

/** What a kernel is made from. */
export interface TrialRecipe {
  /** Its slots are the inputs of the plan, in their order. */
  readonly tape: Tape;
  readonly plan: readonly PlannedInput[];
  readonly key: PhiloxKey;
}

/** The distributions that draws refer to, by input. */
export function drawnDistributions(
  plan: readonly PlannedInput[],
): readonly (Distribution | undefined)[] {
  return plan.map(({ draw }) =>
    draw.kind === "quantile" || draw.kind === "jointQuantile" ? draw.distribution : undefined,
  );
}

/** The functions that draws and models use, the same for every engine. */
export const TRIAL_FUNCTIONS = {
  normal: normalQuantile,
  quantile: quantileOf,
  probability: normalProbability,
  exp: plainExp,
  log: plainLog,
  sine: plainSineOfHalfTurns,
};

/**
 * A compiled loop over trials in plain JavaScript: slower than the WebAssembly one, which has to
 * give the same bits, and for everything that one leaves out.
 */
export function plainKernel({ tape, plan, key }: TrialRecipe): TrialKernel {
  const streams = plan.flatMap((input) => input.streams);
  const uniforms = streams.map(() => new Float64Array(PASS));
  const names = `{ ${Object.keys(TRIAL_FUNCTIONS).join(", ")} }`;
  // The text is made of numbers and fixed words only; nothing of it comes from outside.
  const loop = new Function(
    "count",
    "uniforms",
    "outputs",
    "parameters",
    "functions",
    "distributions",
    `"use strict";\nconst ${names} = functions;\n${trialSource(tape, plan)}`,
  ) as FusedLoop;
  const distributions = drawnDistributions(plan);
  const sweep = ({ firstTrial, count }: TrialBlock, runs: readonly TrialRun[]): void => {
    for (let done = 0; done < count; done += PASS) {
      const size = Math.min(PASS, count - done);
      streams.forEach((stream, index) => {
        const out = size === PASS ? uniforms[index]! : uniforms[index]!.subarray(0, size);
        fillUniforms({ key, stream, firstTrial: firstTrial + done }, out);
      });
      for (const { parameters, outputs } of runs) {
        const parts = outputs.map((output) => output.subarray(done, done + size));
        loop(size, uniforms, parts, parameters, TRIAL_FUNCTIONS, distributions);
      }
    }
  };
  return { sweep, run: (block, outputs) => sweep(block, [{ parameters: [], outputs }]) };
}
