import type { BlockRequest, BlockResult } from "./monte-carlo.ts";
import { runBlocks } from "./run-blocks.ts";
import type { TrialWork } from "./run-blocks.ts";
import type { TrialKernel } from "./trial-kernel.ts";
import { trialKernel } from "./wasm-kernel.ts";

/** One order to a worker: part of the blocks of a run. */
export interface TrialTask {
  /** The same for all tasks of one run, so that the loop is made once per worker. */
  readonly run: string;
  readonly work: TrialWork;
  readonly request: BlockRequest;
}

let known: { readonly run: string; readonly kernel: TrialKernel } | undefined;

/** Makes the blocks of one task; called in the workers of the pool. */
export function runTask({ run, work, request }: TrialTask): BlockResult[] {
  if (known?.run !== run) known = { run, kernel: trialKernel(work) };
  return runBlocks(work, request, known.kernel);
}
