import { availableParallelism } from "node:os";
import { OutsideDomainError } from "../errors.ts";
import { joinEvaluation, readyEvaluation } from "./evaluate-uncertainty.ts";
import type { UncertaintyOptions, UncertaintyResult } from "./evaluate-uncertainty.ts";
import type { UncertaintyModel } from "./measurement-model.ts";
import { blockRange, monteCarlo } from "./monte-carlo.ts";
import type { BlockRange, BlockRequest, BlockResult } from "./monte-carlo.ts";
import { arraysIn, roomOf } from "./run-blocks.ts";
import type { TrialWork } from "./run-blocks.ts";
import type { BlockSummaries, TrialOutcome, TrialTask } from "./trial-worker.ts";
import { openWorkers } from "./worker-pool.ts";

/** Trials of a task, where a block has no more: they take some milliseconds. */
const LARGEST_TASK = 80_000;
const MOST_WORKERS = 64;
/** Tasks that wait in each worker, and tasks under way for each worker. */
const ORDERS_AT_A_TIME = 3;
const TASKS_AHEAD = 2 * ORDERS_AT_A_TIME;

/** Workers that stay ready between evaluations. Close it, or the program does not end. */
export interface TrialPool {
  readonly workers: number;
  run(task: TrialTask): Promise<BlockSummaries>;
  close(): Promise<void>;
}

/** How tasks are cut; has no influence on any result. */
export interface TaskSize {
  readonly blocksPerTask?: number;
}

/**
 * Starts workers, as many as the machine runs at once when no number is given. Throws
 * OutsideDomainError for a number that is no integer from 1 to 64.
 */
export function openTrialPool(workers = Math.min(availableParallelism(), MOST_WORKERS)): TrialPool {
  if (!(Number.isInteger(workers) && workers >= 1 && workers <= MOST_WORKERS)) {
    throw new OutsideDomainError({
      path: "workers",
      quantity: "number of workers",
      permitted: `an integer from 1 to ${MOST_WORKERS}`,
      received: String(workers),
    });
  }
  const file = new URL("./trial-worker.ts", import.meta.url);
  const pool = openWorkers({ file, name: "runTask" }, workers, ORDERS_AT_A_TIME);
  return {
    workers,
    run: async (task) => {
      const outcome = (await pool.run(task)) as TrialOutcome;
      if ("fault" in outcome) throw new OutsideDomainError(outcome.fault);
      return outcome.summaries;
    },
    close: () => pool.destroy(),
  };
}

let runs = 0;

/** A task under way or done, and where its values lie. */
interface OrderedTask {
  readonly room: SharedArrayBuffer;
  readonly blocks: Promise<BlockResult[]>;
}

/**
 * Hands out the blocks of one run and keeps the workers busy ahead of what is asked for. What is
 * handed out is lent until the next call.
 */
class BlockSource {
  private readonly pool: TrialPool;
  private readonly work: TrialWork;
  private readonly range: BlockRange;
  private readonly blocksPerTask: number;
  private readonly run: string;
  private readonly tasks = new Map<number, OrderedTask>();
  private readonly rooms: SharedArrayBuffer[] = [];

  constructor(
    pool: TrialPool,
    work: TrialWork,
    { range, blocksPerTask }: { readonly range: BlockRange; readonly blocksPerTask: number },
  ) {
    runs += 1;
    this.pool = pool;
    this.work = work;
    this.range = range;
    this.blocksPerTask = blocksPerTask;
    this.run = String(runs);
  }

  /** Starts a task unless it is under way; undefined beyond the last block. */
  private task(number: number): Promise<BlockResult[]> | undefined {
    const known = this.tasks.get(number);
    if (known !== undefined) return known.blocks;
    const firstBlock = number * this.blocksPerTask;
    const blocks = Math.min(this.blocksPerTask, this.range.blocks - firstBlock);
    if (blocks <= 0) return undefined;
    const { size } = this.range;
    const isLast = firstBlock + blocks === this.range.blocks;
    const lastSize = isLast ? this.range.lastSize : size;
    const made = this.order({ firstBlock, blocks, size, lastSize });
    // A task made ahead may fail and never be waited for; whoever waits is told all the same.
    made.blocks.catch(() => undefined);
    this.tasks.set(number, made);
    return made.blocks;
  }

  private order(request: BlockRequest): OrderedTask {
    const { run, work } = this;
    const roots = work.tape.roots.length;
    const bytes = roomOf(request, roots);
    const used = this.rooms.pop();
    const room =
      used !== undefined && used.byteLength >= bytes ? used : new SharedArrayBuffer(bytes);
    const made = this.pool.run({ run, work, request, room });
    const blocks = made.then((summaries) =>
      arraysIn(room, request, roots).map((values, index) => ({
        summaries: summaries[index]!,
        values,
      })),
    );
    return { room, blocks };
  }

  async blocks({ firstBlock, blocks }: BlockRequest): Promise<BlockResult[]> {
    const first = Math.floor(firstBlock / this.blocksPerTask);
    const last = Math.floor((firstBlock + blocks - 1) / this.blocksPerTask);
    for (const [number, { room }] of this.tasks) {
      if (number >= first) break;
      this.tasks.delete(number);
      this.rooms.push(room);
    }
    const wanted: Promise<BlockResult[]>[] = [];
    for (let number = first; number <= last; number += 1) wanted.push(this.task(number)!);
    for (let ahead = 1; ahead <= TASKS_AHEAD * this.pool.workers; ahead += 1)
      this.task(last + ahead);
    const found = (await Promise.all(wanted)).flat();
    const skipped = firstBlock - first * this.blocksPerTask;
    return found.slice(skipped, skipped + blocks);
  }
}

/** Tasks long enough to pay for their way, short enough that all workers have some. */
function taskSize({ blocks, size }: BlockRange, workers: number): number {
  return Math.max(1, Math.min(Math.floor(LARGEST_TASK / size), Math.ceil(blocks / (3 * workers))));
}

/**
 * Same as `evaluateUncertainty` with the Monte Carlo spread over the workers of a pool: the same
 * result to the last bit for any number of workers.
 *
 * Errors as there.
 */
export async function evaluateUncertaintyOnPool(
  model: UncertaintyModel,
  options: UncertaintyOptions & TaskSize,
  pool: TrialPool,
): Promise<UncertaintyResult> {
  const ready = readyEvaluation(model, options);
  if (ready.sampling === undefined) return joinEvaluation(ready, undefined);
  const { work, plan } = ready.sampling;
  const range = blockRange(plan);
  const blocksPerTask = options.blocksPerTask ?? taskSize(range, pool.workers);
  const source = new BlockSource(pool, work, { range, blocksPerTask });
  const counts = { roots: work.tape.roots.length, reported: ready.model.outputNames.length };
  const procedure = monteCarlo(plan, counts);
  let step = procedure.next();
  while (step.done !== true) step = procedure.next(await source.blocks(step.value));
  return joinEvaluation(ready, step.value);
}
