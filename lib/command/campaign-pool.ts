import type { BlockResult } from "../../properties/campaign/block.ts";
import { InvalidInputError, InvariantBrokenError, PlumbvoltError } from "../errors.ts";
import type { CampaignAnswer, CampaignTask } from "./campaign-worker.ts";
import { openWorkers } from "../uncertainty/worker-pool.ts";

/** Workers that do blocks. Close it, or the program does not end. */
export interface CampaignPool {
  run(task: CampaignTask): Promise<BlockResult>;
  close(): Promise<void>;
}

/** The result of a block, or the error that the worker met, with its class. */
function resultOf(answer: CampaignAnswer): BlockResult {
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

/** Starts workers for a campaign; at least one. */
export function openCampaignPool(workers: number): CampaignPool {
  const file = new URL("./campaign-worker.ts", import.meta.url);
  const pool = openWorkers({ file, name: "runTask" }, workers);
  return {
    run: async (task) => resultOf((await pool.run(task)) as CampaignAnswer),
    close: () => pool.destroy(),
  };
}
