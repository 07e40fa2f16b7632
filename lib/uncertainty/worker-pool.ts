import { Tinypool } from "tinypool";
import { loaderOptions, runnableOf } from "./worker-task.ts";
import type { WorkerTask } from "./worker-task.ts";

/**
 * Starts so many workers for a task, from the sources or from the build as the caller itself runs.
 * Each is given so many orders at a time, one by default: with more, a worker goes on at once and
 * does not wait for a busy caller. Destroy the pool, or the program does not end.
 */
export function openWorkers(
  { file, name }: WorkerTask,
  workers: number,
  ordersAtATime = 1,
): Tinypool {
  return new Tinypool({
    filename: runnableOf(file),
    name,
    minThreads: workers,
    maxThreads: workers,
    concurrentTasksPerWorker: ordersAtATime,
    execArgv: loaderOptions(),
  });
}
