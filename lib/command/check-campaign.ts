import { join } from "node:path";
import { InvalidInputError } from "../errors.ts";
import type { EvidenceRecord } from "../report/record-document.ts";
import { planOf } from "../../properties/campaign/plan.ts";
import { runBlock } from "../../properties/campaign/run-block.ts";
import { judgementOf } from "../../properties/claims/judgement-of.ts";
import { FRONT_END_FAULTS } from "../../properties/faults/front-end-faults.ts";
import { playedFor } from "./campaign-failures.ts";
import type { KeptCampaign } from "./evidence-campaign.ts";
import type { FaultEvidence } from "./evidence-faults.ts";
import { loadCampaign } from "./load-campaign.ts";
import type { LoadedCampaign } from "./load-campaign.ts";
import { knownFailures } from "./read-corpus.ts";

/** What is checked of a campaign, and how much of it. */
export interface CampaignCheck {
  /** Folder of the record. */
  readonly folder: string;
  readonly record: EvidenceRecord;
  readonly campaign: KeptCampaign;
  readonly faults: FaultEvidence | undefined;
  /** Every block and not a few. */
  readonly all: boolean;
  readonly progress: (text: string) => void;
}

/** Outcome of the check: how it is told, and what differs. */
export interface CampaignCheckOutcome {
  readonly checked: string;
  readonly differences: readonly string[];
}

/** Blocks that are played again unless all are. */
const SAMPLE = 3;
const DIGITS = 8;

/** Some of so many blocks, picked by the record's own digest: nobody can choose them. */
function picked(count: number, digest: string): readonly number[] {
  const places = new Set<number>();
  for (let start = 0; start + DIGITS <= digest.length && places.size < SAMPLE; start += DIGITS)
    places.add(Number.parseInt(digest.slice(start, start + DIGITS), 16) % count);
  return [...places].sort((one, other) => one - other);
}

function playBlocks({ record, campaign, all, progress }: CampaignCheck, loaded: LoadedCampaign) {
  const { subject, source, claims } = loaded;
  const { lane, runs, seed, digests, corpus } = campaign;
  const plan = planOf(claims, { lane, runs, subject, corpus });
  const differences: string[] = [];
  if (plan.length !== digests.length)
    differences.push(`campaign.json: ${digests.length} blocks in place of ${plan.length}`);
  const places = all ? [...plan.keys()] : picked(plan.length, record.digest.content);
  const work = { claims, subject, firmware: source, seed, corpus };
  for (const [index, place] of places.entries()) {
    progress(`playing block ${index + 1} of ${places.length}`);
    if (runBlock(work, plan[place]!).digest !== digests[place])
      differences.push(`campaign.json: block ${place} went otherwise when it was played again`);
  }
  return { differences, blocks: places.length, of: plan.length };
}

/** Throws InvalidInputError for draws that the claims cannot be asked about. */
function requireDraws({ corpus, failures }: KeptCampaign, loaded: LoadedCampaign): void {
  const kept = Object.entries(corpus).flatMap(([claim, draws]) =>
    draws.map((draw) => ({ claim, draw })),
  );
  knownFailures([...kept, ...failures], loaded, "campaign.json");
}

function playFailures({ campaign, progress }: CampaignCheck, loaded: LoadedCampaign) {
  return campaign.failures.flatMap(({ claim: id, draw, because }) => {
    progress(`playing the failure of ${id}`);
    const claim = loaded.claims.find((one) => one.id === id);
    if (claim === undefined) return [`campaign.json: the campaign has no claim ${id}`];
    const judgement = judgementOf(claim, playedFor(loaded, { claim, draw }).episode);
    if (judgement.because === because) return [];
    return [`campaign.json: ${id} was broken because ${because}; now: ${judgement.because}`];
  });
}

/** What noticed a fault of the front end is played again; one of the firmware needs a compiler. */
function playFaults({ faults, progress }: CampaignCheck, loaded: LoadedCampaign) {
  const differences: string[] = [];
  let played = 0;
  for (const { id, where, noticedBy } of faults?.table.faults ?? []) {
    const frontEnd = FRONT_END_FAULTS.find((one) => one.id === id);
    if (where !== "front end" || noticedBy.length === 0) continue;
    progress(`playing the fault ${id}`);
    const { claim: name, failure } = noticedBy[0]!;
    const claim = loaded.claims.find((one) => one.id === name);
    played += 1;
    const because =
      claim === undefined || frontEnd === undefined
        ? "nobody knows it"
        : judgementOf(
            claim,
            playedFor(loaded, { claim, draw: failure.draw, fault: frontEnd }).episode,
          ).because;
    if (because !== failure.because)
      differences.push(
        `fault-table.json: ${id} was noticed because ${failure.because}; now: ${because}`,
      );
  }
  return { differences, played };
}

/**
 * Plays a campaign again from the inputs in a folder: a few blocks that the record's digest picks,
 * and every failure. Firmware runs as WebAssembly; a program in TypeScript is not run.
 */
export async function checkCampaign(check: CampaignCheck): Promise<CampaignCheckOutcome> {
  const { folder, record, campaign } = check;
  const { firmware } = record;
  if (firmware?.language !== "C") {
    const why = "its firmware is a program in TypeScript, and none in the folder is run";
    return { checked: `campaign: read and not played again, because ${why}`, differences: [] };
  }
  let loaded: LoadedCampaign;
  try {
    const design = join(folder, "inputs/design.json");
    const { claims, promises } = campaign;
    loaded = await loadCampaign({
      design,
      firmware: [join(folder, firmware.path)],
      claims,
      promises,
    });
    requireDraws(campaign, loaded);
  } catch (error) {
    if (!(error instanceof InvalidInputError)) throw error;
    const told = `${firmware.path}: cannot be run again: ${error.message}`;
    return { checked: "campaign: not played again", differences: [told] };
  }
  const played = playBlocks(check, loaded);
  const failures = playFailures(check, loaded);
  const faults = playFaults(check, loaded);
  return {
    checked:
      `campaign: ${played.blocks} of ${played.of} blocks and ${campaign.failures.length} ` +
      `failing scenarios played again, and what noticed ${faults.played} faults of the front end`,
    differences: [...played.differences, ...failures, ...faults.differences],
  };
}
