import { InvalidInputError } from "../../lib/errors.ts";
import type { Point } from "../arbitraries/space.ts";
import type { Claim } from "../claims/claim.ts";
import type { CampaignContext } from "../claims/situation.ts";
import { BLOCK_SIZE } from "./block.ts";
import type { BlockKey, Method } from "./block.ts";

/** What a campaign is for: a quick answer, a new seed each night, or a record for a release. */
export const LANES = ["gate", "nightly", "release"] as const;

export type Lane = (typeof LANES)[number];

/** How much is asked of a claim. */
export interface Asked {
  readonly claim: string;
  readonly method: Method;
  readonly runs: number;
}

/** A campaign's plan before anything is run. */
export interface Plan {
  readonly lane: Lane;
  /** Runs of the edge-biased method for each claim; the other methods take their share of it. */
  readonly runs: number;
  readonly asked: readonly Asked[];
}

/** Blocks of searches, for each lane. */
const SEARCHES: Readonly<Record<Lane, number>> = { gate: 1, nightly: 6, release: 6 };

/** Unbiased draws for each run of the edge-biased method. */
const UNBIASED: Readonly<Record<Lane, number>> = { gate: 0, nightly: 1, release: 3 };

/** Domains of more points than this are gone through outside the gate only. */
const MOST_IN_GATE = 4_096;

/** What a plan is made from. */
export interface PlanParts {
  readonly lane: Lane;
  readonly runs: number;
  readonly context: CampaignContext;
  readonly corpus: Readonly<Record<string, readonly Point[]>>;
  readonly witnesses: number;
}

/** Plans a campaign: what is asked of every claim, in the order of the record. */
export function planOf(claims: readonly Claim[], parts: PlanParts): Plan {
  const { lane, runs, context, corpus, witnesses } = parts;
  if (!(Number.isInteger(runs) && runs >= 1 && runs <= 10_000_000)) {
    throw new InvalidInputError("campaign", [
      {
        path: "runs",
        quantity: "number of runs",
        permitted: "an integer from 1 to 10000000",
        received: String(runs),
      },
    ]);
  }
  const asked = claims.flatMap((claim): Asked[] => {
    const points = claim.every?.(context).length ?? 0;
    const all = lane === "gate" && points > MOST_IN_GATE ? 0 : points;
    const isSought = claim.canary !== true;
    return [
      { claim: claim.id, method: "corpus", runs: corpus[claim.id]?.length ?? 0 },
      { claim: claim.id, method: "exhaustive", runs: all },
      { claim: claim.id, method: "edges", runs: all > 0 ? 0 : runs },
      { claim: claim.id, method: "search", runs: isSought && all === 0 ? SEARCHES[lane] * BLOCK_SIZE : 0 },
      {
        claim: claim.id,
        method: "witness",
        runs: claim.againstBound === true ? witnesses * BLOCK_SIZE : 0,
      },
      { claim: claim.id, method: "unbiased", runs: isSought && all === 0 ? UNBIASED[lane] * runs : 0 },
    ];
  });
  return { lane, runs, asked: asked.filter((one) => one.runs > 0) };
}

/** Every block of a plan, in the order of the record. */
export function blocksOf({ asked }: Plan): readonly BlockKey[] {
  return asked.flatMap(({ claim, method, runs }) =>
    Array.from({ length: Math.ceil(runs / BLOCK_SIZE) }, (_, block) => ({ claim, method, block })),
  );
}
