import type { BlockResult } from "../../properties/campaign/block.ts";
import type { CampaignTask } from "./campaign-worker.ts";
import { openWorkers } from "../uncertainty/worker-pool.ts";

/** Workers that do blocks. Close it, or the program does not end. */
export interface CampaignPool {
  run(task: CampaignTask): Promise<BlockResult>;
  close(): Promise<void>;
}

/** Starts workers for a campaign; at least one. */
export function openCampaignPool(workers: number): CampaignPool {
  const file = new URL("./campaign-worker.ts", import.meta.url);
  const pool = openWorkers({ file, name: "runTask" }, workers);
  return {
    run: async (task) => (await pool.run(task)) as BlockResult,
    close: () => pool.destroy(),
  };
}
