import { createRequire } from "node:module";
import { availableParallelism } from "node:os";
import { fileURLToPath, pathToFileURL } from "node:url";
import { Tinypool } from "tinypool";
import { OutsideDomainError } from "../errors.ts";
import { joinEvaluation, readyEvaluation } from "./evaluate-uncertainty.ts";
import type { UncertaintyOptions, UncertaintyResult } from "./evaluate-uncertainty.ts";
import type { UncertaintyModel } from "./measurement-model.ts";
import { monteCarlo } from "./monte-carlo.ts";
import type { BlockRequest, BlockResult } from "./monte-carlo.ts";
import type { TrialWork } from "./run-blocks.ts";
import type { TrialTask } from "./trial-worker.ts";

/** Blocks per task: 10^5 trials take some tens of milliseconds. */
const BLOCKS_PER_TASK = 10;
const MOST_WORKERS = 64;

/** Workers that stay ready between evaluations. Close it, or the program does not end. */
export interface TrialPool {
  readonly workers: number;
  run(task: TrialTask): Promise<BlockResult[]>;
  close(): Promise<void>;
}

/** How tasks are cut; has no influence on any result. */
export interface TaskSize {
  readonly blocksPerTask?: number;
}

function sourceLoader(): string[] {
  const found = createRequire(import.meta.url).resolve("tsx/esm/api");
  // What is found is the form for `require`; the form for `import` stands beside it.
  const loader = pathToFileURL(found.replace(/\.cjs$/, ".mjs")).href;
  const code = `import { register } from ${JSON.stringify(loader)}; register();`;
  return ["--import", `data:text/javascript,${encodeURIComponent(code)}`];
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
  // From the sources the workers need a loader for TypeScript, registered in each of them.
  const isSource = import.meta.url.endsWith(".ts");
  const file = new URL(isSource ? "./trial-worker.ts" : "./trial-worker.js", import.meta.url);
  const pool = new Tinypool({
    filename: fileURLToPath(file),
    name: "runTask",
    minThreads: workers,
    maxThreads: workers,
    execArgv: isSource ? sourceLoader() : [],
  });
  return {
    workers,
    run: (task) => pool.run(task) as Promise<BlockResult[]>,
    close: () => pool.destroy(),
  };
}

function partsOf(request: BlockRequest, blocksPerTask: number): BlockRequest[] {
  const parts: BlockRequest[] = [];
  for (let done = 0; done < request.blocks; done += blocksPerTask) {
    const blocks = Math.min(blocksPerTask, request.blocks - done);
    const isLast = done + blocks === request.blocks;
    parts.push({
      firstBlock: request.firstBlock + done,
      blocks,
      size: request.size,
      lastSize: isLast ? request.lastSize : request.size,
    });
  }
  return parts;
}

let runs = 0;

async function runOnPool(
  pool: TrialPool,
  work: TrialWork,
  { request, run, blocksPerTask }: { request: BlockRequest; run: string; blocksPerTask: number },
): Promise<BlockResult[]> {
  // A short request is shared out too, so that no worker waits.
  const share = Math.max(1, Math.min(blocksPerTask, Math.ceil(request.blocks / pool.workers)));
  const tasks = partsOf(request, share).map((part) => pool.run({ run, work, request: part }));
  return (await Promise.all(tasks)).flat();
}

/**
 * Same as `evaluateUncertainty` with the Monte Carlo spread over the workers of a pool: the same
 * result to the last bit for any number of workers.
 *
 * Errors as there; an error inside a worker comes back with its message.
 */
export async function evaluateUncertaintyOnPool(
  model: UncertaintyModel,
  options: UncertaintyOptions & TaskSize,
  pool: TrialPool,
): Promise<UncertaintyResult> {
  const ready = readyEvaluation(model, options);
  if (ready.sampling === undefined) return joinEvaluation(ready, undefined);
  const { work, plan } = ready.sampling;
  runs += 1;
  const run = String(runs);
  const blocksPerTask = options.blocksPerTask ?? BLOCKS_PER_TASK;
  const counts = { roots: work.tape.roots.length, reported: ready.model.outputNames.length };
  const procedure = monteCarlo(plan, counts);
  let step = procedure.next();
  while (step.done !== true) {
    const request = step.value;
    step = procedure.next(await runOnPool(pool, work, { request, run, blocksPerTask }));
  }
  return joinEvaluation(ready, step.value);
}
