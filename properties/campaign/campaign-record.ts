import type { FirmwareIdentity } from "../../sim/firmware/port.ts";
import type { Draw } from "../arbitraries/parameter.ts";
import type { Promises } from "../claims/promises.ts";
import type { BlockResult } from "./block.ts";
import type { Lane } from "./plan.ts";
import { holdsWhereTried } from "./verdict.ts";
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
  /** Evidence, or a run and why it is none, or which claims are broken. */
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

/** Which part of a campaign a shard is: `part` of `of`, counted from 1. */
export interface Shard {
  readonly part: number;
  readonly of: number;
}

function evidenceOf(claims: readonly ClaimResult[], shard: Shard | undefined): string {
  if (shard !== undefined)
    return (
      `a part, not evidence: shard ${shard.part} of ${shard.of}; ` +
      "plumbvolt merge joins the journals of all"
    );
  const asked = claims.filter(({ canary }) => !canary);
  if (asked.length === 0)
    return "a run, not evidence, because no claim was asked for but the canary";
  const broken = asked.filter(({ verdict }) => verdict === "doesNotHold").map(({ id }) => id);
  if (broken.length > 0) return `the firmware does not keep ${broken.join(", ")}`;
  const open = claims.filter(
    ({ verdict, canary }) => verdict === "noVerdict" || (canary && verdict !== "doesNotHold"),
  );
  if (open.length === 0) {
    const partly = asked.filter(holdsWhereTried).map(({ id }) => id);
    if (partly.length === 0) return "evidence";
    return `evidence; where tried, not for the whole of their lists: ${partly.join(", ")}`;
  }
  const [first] = open;
  const more = open.length === 1 ? "" : `, and ${open.length - 1} more claims without a verdict`;
  return `a run, not evidence, because ${first!.id}: ${first!.reasons[0]}${more}`;
}

/** Puts a campaign's outcome together. */
export function campaignRecord(
  header: CampaignHeader,
  claims: readonly ClaimResult[],
  {
    results,
    exitCode,
    shard,
  }: {
    readonly results: readonly BlockResult[];
    readonly exitCode: 0 | 1 | 3;
    readonly shard?: Shard;
  },
): CampaignRecord {
  const failures = claims.flatMap(({ id, failure }) => {
    if (failure === null) return [];
    const { draw, because, at } = failure.smallest;
    return [{ claim: id, draw, because, at }];
  });
  const digests = results.map(({ digest }) => digest);
  return {
    ...header,
    evidence: evidenceOf(claims, shard),
    exitCode,
    results: claims,
    failures,
    digests,
  };
}
