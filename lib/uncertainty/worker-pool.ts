import { Tinypool } from "tinypool";
import { loaderOptions, runnableOf } from "./worker-task.ts";
import type { WorkerTask } from "./worker-task.ts";

/**
 * Starts so many workers for a task, from the sources or from the build as the caller itself runs.
 * Destroy the pool, or the program does not end.
 */
export function openWorkers({ file, name }: WorkerTask, workers: number): Tinypool {
  return new Tinypool({
    filename: runnableOf(file),
    name,
    minThreads: workers,
    maxThreads: workers,
    execArgv: loaderOptions(),
  });
}
