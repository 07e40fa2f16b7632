import type { BlockResult } from "../../properties/campaign/block.ts";
import { InvalidInputError, InvariantBrokenError, PlumbvoltError } from "../errors.ts";
import type { Answer, CampaignTask } from "./campaign-worker.ts";
import type { FaultAnswer, FaultTask } from "./faults-worker.ts";
import { openWorkers } from "../uncertainty/worker-pool.ts";

/** Workers that carry out orders. Close it, or the program does not end. */
export interface OrderPool<Task, Result> {
  run(task: Task): Promise<Result>;
  close(): Promise<void>;
}

/** The result of an order, or the error that the worker met, with its class. */
function resultOf<Result>(answer: Answer<Result>): Result {
  switch (answer.kind) {
    case "done":
      return answer.result;
    case "refused":
      throw new InvalidInputError(answer.subject, answer.faults);
    case "impossible":
      throw new PlumbvoltError(answer.message);
    case "broken":
      throw new InvariantBrokenError(`a worker ended without a result: ${answer.message}`);
  }
}

function openPool<Task, Result>(
  worker: { readonly file: URL; readonly name: string },
  workers: number,
): OrderPool<Task, Result> {
  const pool = openWorkers(worker, workers);
  return {
    run: async (task) => resultOf((await pool.run(task)) as Answer<Result>),
    close: () => pool.destroy(),
  };
}

/** Starts workers for a campaign; at least one. */
export function openCampaignPool(workers: number): OrderPool<CampaignTask, BlockResult> {
  const file = new URL("./campaign-worker.ts", import.meta.url);
  return openPool({ file, name: "runTask" }, workers);
}

/** Starts workers for one run over faults; at least one. */
export function openFaultPool(workers: number): OrderPool<FaultTask, FaultAnswer> {
  const file = new URL("./faults-worker.ts", import.meta.url);
  return openPool({ file, name: "runFaultTask" }, workers);
}
