import { deserialize, serialize } from "node:v8";
import { Tinypool } from "tinypool";
import { OutsideDomainError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import { Histogram } from "../statistics/histogram.ts";
import type { HistogramScale } from "../statistics/histogram.ts";
import type { BlockRequest, BlockResult } from "./monte-carlo.ts";
import { runBlocks } from "./run-blocks.ts";
import type { TrialWork } from "./run-blocks.ts";
import type { TrialKernel } from "./trial-kernel.ts";
import { trialKernel } from "./wasm-kernel.ts";

/** One order to a worker: part of the blocks of a run. */
export interface TrialTask {
  /** The same for all tasks of one run, so that the loop is made once per worker. */
  readonly run: string;
  /** Of {@link packWork}. */
  readonly work: SharedArrayBuffer;
  readonly request: BlockRequest;
  /** Where values are counted when the request gives scales. */
  readonly tallies?: Tallies;
}

/** Shared histograms, one set for each worker; a worker takes a free set for each task. */
export interface Tallies {
  /** 1 where a set is taken. */
  readonly taken: SharedArrayBuffer;
  readonly sets: readonly SharedArrayBuffer[];
}

/** Empty sets for so many workers and roots. */
export function emptyTallies(workers: number, roots: number): Tallies {
  return {
    taken: new SharedArrayBuffer(4 * workers),
    sets: Array.from({ length: workers }, () => new SharedArrayBuffer(roots * Histogram.bytes)),
  };
}

/** The histograms of a set, one for each root. */
export function histogramsIn(
  set: SharedArrayBuffer,
  scales: readonly HistogramScale[],
): readonly Histogram[] {
  return scales.map((scale, root) => new Histogram(scale, set, root * Histogram.bytes));
}

/** The work of a run as every worker can read it, without a copy for each task. */
export function packWork(work: TrialWork): SharedArrayBuffer {
  const bytes = serialize(work);
  const shared = new SharedArrayBuffer(bytes.length);
  new Uint8Array(shared).set(bytes);
  return shared;
}

interface Run {
  readonly work: TrialWork;
  readonly kernel: TrialKernel;
}

/** Runs that a worker keeps ready, for those that go on at the same time. */
const MOST_KEPT = 16;
const known = new Map<string, Run>();

/** What comes back: blocks, or the fault for which there are none: an error would lose its class. */
export type TrialOutcome = { readonly blocks: BlockResult[] } | { readonly fault: Fault };

/** Hands the values over to the main thread instead of copying them. */
function moved(blocks: BlockResult[]): TrialOutcome {
  const lists = blocks.flatMap(({ values }) => values);
  const movable = {
    [Tinypool.transferableSymbol]: lists.map(({ buffer }) => buffer as ArrayBuffer),
    [Tinypool.valueSymbol]: { blocks } satisfies TrialOutcome,
  };
  // The pool unwraps the value on its way.
  return Tinypool.move(movable as unknown as ArrayBuffer) as unknown as TrialOutcome;
}

/** Makes the blocks of one task; called in the workers of the pool. */
export function runTask(task: TrialTask): TrialOutcome {
  try {
    return moved(blocksOf(task));
  } catch (error) {
    if (error instanceof OutsideDomainError) return { fault: error.fault };
    throw error;
  }
}

function runOf({ run, work: packed }: TrialTask): Run {
  const found = known.get(run);
  if (found !== undefined) return found;
  const work = deserialize(new Uint8Array(packed)) as TrialWork;
  const made = { work, kernel: trialKernel(work) };
  known.set(run, made);
  const [oldest] = known.keys();
  if (known.size > MOST_KEPT && oldest !== undefined) known.delete(oldest);
  return made;
}

/** Counts the values of blocks in a free set and leaves their summaries. */
function counted(
  blocks: readonly BlockResult[],
  { taken, sets }: Tallies,
  scales: readonly HistogramScale[],
): BlockResult[] {
  const marks = new Int32Array(taken);
  // There are as many sets as workers: one is free.
  const free = sets.findIndex((_, index) => Atomics.compareExchange(marks, index, 0, 1) === 0);
  const histograms = histogramsIn(sets[free]!, scales);
  for (const { values } of blocks) values.forEach((list, root) => histograms[root]!.add(list));
  Atomics.store(marks, free, 0);
  return blocks.map(({ summaries }) => ({ summaries, values: [] }));
}

function blocksOf(task: TrialTask): BlockResult[] {
  const { work, kernel } = runOf(task);
  const { request, tallies } = task;
  const blocks = runBlocks(work, request, kernel);
  return tallies === undefined || request.scales === undefined
    ? blocks
    : counted(blocks, tallies, request.scales);
}
