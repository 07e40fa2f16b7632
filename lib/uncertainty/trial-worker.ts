import { OutsideDomainError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import type { BlockSummary } from "./block-summary.ts";
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
  /** Where the values go: see `arraysIn`. */
  readonly room: SharedArrayBuffer;
}

/** Loops that a worker keeps, for runs that go on at the same time. */
const MOST_KEPT = 16;
const kernels = new Map<string, TrialKernel>();

/** Summaries of the roots of each block; their values are in the room. */
export type BlockSummaries = readonly (readonly BlockSummary[])[];

/** What comes back, or the fault for which there is nothing: an error would lose its class. */
export type TrialOutcome = { readonly summaries: BlockSummaries } | { readonly fault: Fault };

/**
 * Makes the blocks of one task; called in the workers of the pool. The values stay where both
 * threads see them. Copies are garbage for both; and where a thread hands a buffer over even once,
 * each of its later accesses to any array is checked for that.
 */
export function runTask(task: TrialTask): TrialOutcome {
  try {
    return { summaries: blocksOf(task).map(({ summaries }) => summaries) };
  } catch (error) {
    if (error instanceof OutsideDomainError) return { fault: error.fault };
    throw error;
  }
}

function blocksOf({ run, work, request, room }: TrialTask): BlockResult[] {
  let kernel = kernels.get(run);
  if (kernel === undefined) {
    kernel = trialKernel(work);
    kernels.set(run, kernel);
    const [oldest] = kernels.keys();
    if (kernels.size > MOST_KEPT && oldest !== undefined) kernels.delete(oldest);
  }
  return runBlocks(work, request, kernel, room);
}
