import type { FirmwareIdentity } from "../../sim/firmware/port.ts";
import type { Draw } from "../arbitraries/parameter.ts";
import type { Promises } from "../claims/promises.ts";
import type { BlockResult } from "./block.ts";
import type { Lane } from "./plan.ts";
import type { ClaimResult } from "./verdict.ts";

/** Draws that failed once, by claim: they are played before anything else. */
export type Corpus = Readonly<Record<string, readonly Draw[]>>;

/** What a campaign is known by; the same for every shard of it. */
export interface CampaignHeader {
  readonly format: "plumbvolt.campaign/1";
  readonly version: string;
  readonly design: { readonly path: string; readonly sha256: string };
  readonly firmware: { readonly paths: readonly string[]; readonly identity: FirmwareIdentity };
  readonly promises: Promises;
  readonly claims: readonly string[];
  readonly lane: Lane;
  readonly runs: number;
  readonly seed: number;
  readonly corpus: Corpus;
  /** The numbers of the simulation depend on no engine, the text of margins does not either. */
  readonly engine: string;
}

/** A finished campaign: the same bytes whatever the number of workers and interruptions. */
export interface CampaignRecord extends CampaignHeader {
  /** Evidence, or a run and why it is none. */
  readonly evidence: string;
  readonly exitCode: 0 | 1 | 3;
  readonly results: readonly ClaimResult[];
  /** Smallest failing scenario of each claim that fails. */
  readonly failures: readonly {
    readonly claim: string;
    readonly draw: Draw;
    readonly because: string;
    readonly at: number | null;
  }[];
  /** SHA-256 of what every block said, in the order of the plan. */
  readonly digests: readonly string[];
}

function evidenceOf(claims: readonly ClaimResult[]): string {
  const open = claims.filter(
    ({ verdict, canary }) => verdict === "noVerdict" || (canary && verdict !== "doesNotHold"),
  );
  if (open.length === 0) return "evidence";
  const [first] = open;
  const more = open.length === 1 ? "" : `, and ${open.length - 1} more claims without a verdict`;
  return `a run, not evidence, because ${first!.id}: ${first!.reasons[0]}${more}`;
}

/** Puts a campaign's outcome together. */
export function campaignRecord(
  header: CampaignHeader,
  claims: readonly ClaimResult[],
  { results, exitCode }: { readonly results: readonly BlockResult[]; readonly exitCode: 0 | 1 | 3 },
): CampaignRecord {
  const failures = claims.flatMap(({ id, failure }) => {
    if (failure === null) return [];
    const { draw, because, at } = failure.smallest;
    return [{ claim: id, draw, because, at }];
  });
  const digests = results.map(({ digest }) => digest);
  return { ...header, evidence: evidenceOf(claims), exitCode, results: claims, failures, digests };
}
