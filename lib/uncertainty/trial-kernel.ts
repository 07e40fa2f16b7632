import type { Tape } from "../expression/tape.ts";
import type { PhiloxKey } from "../random/philox.ts";
import { fillUniforms } from "../random/stream.ts";
import type { Distribution } from "../statistics/distribution.ts";
import { normalProbability } from "../statistics/normal-probability.ts";
import { normalQuantile } from "../statistics/normal-quantile.ts";
import { quantileOf } from "../statistics/quantile.ts";
import type { PlannedInput } from "./sampling-plan.ts";
import { trialSource } from "./trial-source.ts";

/** Trials that one pass of the inner loop takes: its arrays stay in the nearest cache. */
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
  normal: typeof normalQuantile,
  quantile: typeof quantileOf,
  probability: typeof normalProbability,
  distributions: readonly (Distribution | undefined)[],
) => void;

/** Gives the outputs of numbered trials: a pure function of the seed and the trial numbers. */
export interface TrialKernel {
  /** Writes one array per root, `count` values each. */
  run(block: TrialBlock, outputs: readonly Float64Array[]): void;
}

/**
 * A compiled loop over trials in plain JavaScript. `tape` has the inputs of the plan as its slots,
 * in their order.
 */
export function trialKernel(
  tape: Tape,
  plan: readonly PlannedInput[],
  key: PhiloxKey,
): TrialKernel {
  const streams = plan.flatMap((input) => input.streams);
  const uniforms = streams.map(() => new Float64Array(PASS));
  const distributions = plan.map(({ draw }) =>
    draw.kind === "quantile" || draw.kind === "jointQuantile" ? draw.distribution : undefined,
  );
  const parameters = ["count", "uniforms", "outputs", "normal", "quantile", "probability"];
  // eslint-disable-next-line no-new-func -- the body is made of numbers and fixed words only
  const loop = new Function(...parameters, "distributions", trialSource(tape, plan)) as FusedLoop;
  return {
    run({ firstTrial, count }, outputs) {
      for (let done = 0; done < count; done += PASS) {
        const size = Math.min(PASS, count - done);
        streams.forEach((stream, index) => {
          const out = size === PASS ? uniforms[index]! : uniforms[index]!.subarray(0, size);
          fillUniforms({ key, stream, firstTrial: firstTrial + done }, out);
        });
        const parts = outputs.map((output) => output.subarray(done, done + size));
        loop(size, uniforms, parts, normalQuantile, quantileOf, normalProbability, distributions);
      }
    },
  };
}
