import { runBlock } from "../../properties/campaign/run-block.ts";
import type { BlockWork } from "../../properties/campaign/run-block.ts";
import type { BlockKey, BlockResult } from "../../properties/campaign/block.ts";
import type { Draw } from "../../properties/arbitraries/parameter.ts";
import { InvalidInputError, InvariantBrokenError, PlumbvoltError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import { loadCampaign } from "./load-campaign.ts";
import type { CampaignPlace } from "./load-campaign.ts";

/** One order to a worker: a block, and where everything it needs is. */
export interface CampaignTask {
  readonly place: CampaignPlace;
  readonly seed: number;
  readonly corpus: Readonly<Record<string, readonly Draw[]>>;
  readonly key: BlockKey;
}

/**
 * What came of an order. Errors cross to another thread without their class, so they are told as
 * data: input that cannot be used, another refusal on purpose, or a fault of this package.
 */
export type Answer<Result> =
  | { readonly kind: "done"; readonly result: Result }
  | { readonly kind: "refused"; readonly subject: string; readonly faults: readonly Fault[] }
  | { readonly kind: "impossible"; readonly message: string }
  | { readonly kind: "broken"; readonly message: string };

const loaded = new Map<string, Promise<BlockWork>>();

async function workOf({ place, seed, corpus }: CampaignTask): Promise<BlockWork> {
  const { subject, source, claims } = await loadCampaign(place);
  return { subject, firmware: source, claims, seed, corpus };
}

function answerTo(error: unknown): Answer<never> {
  if (error instanceof InvalidInputError)
    return { kind: "refused", subject: error.subject, faults: error.faults };
  if (error instanceof PlumbvoltError && !(error instanceof InvariantBrokenError))
    return { kind: "impossible", message: error.message };
  const message = error instanceof Error ? (error.stack ?? error.message) : String(error);
  return { kind: "broken", message };
}

/** Carries out an order; what it throws becomes its answer. */
export async function answered<Result>(order: () => Promise<Result>): Promise<Answer<Result>> {
  try {
    return { kind: "done", result: await order() };
  } catch (error) {
    return answerTo(error);
  }
}

/** Does one block; design, firmware and claims are loaded once in each worker. */
export function runTask(task: CampaignTask): Promise<Answer<BlockResult>> {
  const { place, seed } = task;
  const id = JSON.stringify([place.design, place.firmware, place.claims, seed]);
  return answered(async () => {
    const work = loaded.get(id) ?? workOf(task);
    loaded.set(id, work);
    return runBlock(await work, task.key);
  });
}
