import { pathToFileURL } from "node:url";
import { Worker } from "node:worker_threads";
import { loaderOptions, moduleOf, runnableOf } from "./worker-task.ts";
import type { WorkerTask } from "./worker-task.ts";

/** A task that runs beside its caller. */
export interface Aside {
  /** The outcome; undefined where the task failed, for whatever reason. */
  readonly outcome: Promise<unknown>;
  /** Ends the task. */
  readonly stop: () => Promise<unknown>;
}

const RUN_ASIDE = moduleOf(`
import { parentPort, workerData } from "node:worker_threads";
const { file, name, input } = workerData;
parentPort.postMessage(await (await import(file))[name](input));
`);

/**
 * Runs a task once in a thread of its own. Unlike the workers of a pool it starts at once, even
 * while the caller is busy. A task that fails leaves it to the caller to do the work, and so to
 * meet the error where it can be told.
 */
export function runAside({ file, name }: WorkerTask, input: unknown): Aside {
  const workerData = { file: pathToFileURL(runnableOf(file)).href, name, input };
  const worker = new Worker(new URL(RUN_ASIDE), { workerData, execArgv: loaderOptions() });
  const outcome = new Promise<unknown>((resolve) => {
    worker.once("message", resolve);
    worker.once("error", () => resolve(undefined));
    worker.once("exit", () => resolve(undefined));
  });
  return { outcome, stop: () => worker.terminate() };
}
