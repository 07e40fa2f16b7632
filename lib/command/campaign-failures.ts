import type { Draw } from "../../properties/arbitraries/parameter.ts";
import type { Claim } from "../../properties/claims/claim.ts";
import type { CampaignRecord } from "../../properties/campaign/campaign-record.ts";
import { writeCounterexample } from "../../properties/campaign/counterexample-files.ts";
import { play } from "../../properties/campaign/play.ts";
import { brokenSpace } from "../../properties/faults/fault-block.ts";
import type { FrontEndFault } from "../../properties/faults/front-end-faults.ts";
import type { LoadedCampaign } from "./load-campaign.ts";

/** Plays one draw of a claim's scenarios, with a fault of the front end where one is given. */
export function playedFor(
  { subject, source }: LoadedCampaign,
  {
    claim,
    draw,
    fault,
  }: { readonly claim: Claim; readonly draw: Draw; readonly fault?: FrontEndFault },
) {
  const space = brokenSpace(claim.over(subject), fault);
  return { space, episode: play(subject, source.open(), { space, draw }) };
}

/**
 * Plays the smallest failing scenario of every broken claim again and writes its pictures, samples
 * and waveforms into a folder. Returns the files. The canary, which must fail, is left out.
 */
export async function writeFailures(
  folder: string,
  { results }: Pick<CampaignRecord, "results">,
  loaded: LoadedCampaign,
): Promise<readonly string[]> {
  const written: string[] = [];
  for (const { id, failure, canary } of results) {
    if (failure === null || canary) continue;
    const { draw, because, at } = failure.smallest;
    const claim = loaded.claims.find((one) => one.id === id)!;
    const { episode } = playedFor(loaded, { claim, draw });
    const said = { claim: id, because, words: failure.words, at: at ?? undefined };
    written.push(...(await writeCounterexample(folder, episode, said)));
  }
  return written;
}
