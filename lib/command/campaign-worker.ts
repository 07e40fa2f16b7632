import { runBlock } from "../../properties/campaign/run-block.ts";
import type { BlockWork } from "../../properties/campaign/run-block.ts";
import type { BlockKey, BlockResult } from "../../properties/campaign/block.ts";
import type { Draw } from "../../properties/arbitraries/parameter.ts";
import { loadCampaign } from "./load-campaign.ts";
import type { CampaignPlace } from "./load-campaign.ts";

/** One order to a worker: a block, and where everything it needs is. */
export interface CampaignTask {
  readonly place: CampaignPlace;
  readonly seed: number;
  readonly corpus: Readonly<Record<string, readonly Draw[]>>;
  readonly key: BlockKey;
}

const loaded = new Map<string, Promise<BlockWork>>();

async function workOf({ place, seed, corpus }: CampaignTask): Promise<BlockWork> {
  const { subject, source, claims } = await loadCampaign(place);
  return { subject, firmware: source, claims, seed, corpus };
}

/** Does one block; design, firmware and claims are loaded once in each worker. */
export async function runTask(task: CampaignTask): Promise<BlockResult> {
  const { place, seed } = task;
  const id = JSON.stringify([place.design, place.firmware, place.claims, seed]);
  const work = loaded.get(id) ?? workOf(task);
  loaded.set(id, work);
  return runBlock(await work, task.key);
}
