import type { CampaignRecord } from "../../properties/campaign/campaign-record.ts";
import { writeCounterexample } from "../../properties/campaign/counterexample-files.ts";
import { play } from "../../properties/campaign/play.ts";
import type { LoadedCampaign } from "./load-campaign.ts";

/**
 * Plays the smallest failing scenario of every broken claim again and writes its pictures, samples
 * and waveforms into a folder. Returns the files. The canary, which must fail, is left out.
 */
export async function writeFailures(
  folder: string,
  { results }: Pick<CampaignRecord, "results">,
  { subject, source, claims }: LoadedCampaign,
): Promise<readonly string[]> {
  const written: string[] = [];
  for (const { id, failure, canary } of results) {
    if (failure === null || canary) continue;
    const { draw, because, at } = failure.smallest;
    const space = claims.find((claim) => claim.id === id)!.over(subject);
    const episode = play(subject, source.open(), { space, draw });
    const said = { claim: id, because, words: failure.words, at: at ?? undefined };
    written.push(...(await writeCounterexample(folder, episode, said)));
  }
  return written;
}
