import { InvalidInputError } from "../../lib/errors.ts";
import type { Draw } from "../arbitraries/parameter.ts";
import type { ScenarioSpace } from "../arbitraries/scenario-space.ts";
import type { Claim, Enumeration } from "../claims/claim.ts";
import type { Subject } from "../claims/episode.ts";
import { BLOCK_SIZE, LISTED_BLOCK_SIZE } from "./block.ts";
import type { BlockKey, Method } from "./block.ts";

/** What a campaign is for: a quick answer, a new seed each night, or a record for a release. */
export const LANES = ["gate", "nightly", "release"] as const;

export type Lane = (typeof LANES)[number];

/** Blocks of search for each claim, and unbiased draws for each edge-biased run, by lane. */
const SEARCHES: Readonly<Record<Lane, number>> = { gate: 1, nightly: 4, release: 10 };
const UNBIASED: Readonly<Record<Lane, number>> = { gate: 0, nightly: 1, release: 3 };

/** Runs of one search of a claim whose worst case has a proven bound, unaided and from witnesses. */
export const WORST_CASE_RUNS = 150;

/** What a plan is made from. */
export interface PlanParts {
  readonly lane: Lane;
  /** Edge-biased runs of each claim. */
  readonly runs: number;
  readonly subject: Subject;
  readonly corpus: Readonly<Record<string, readonly Draw[]>>;
}

function blocks(
  claims: readonly string[],
  method: Method,
  runs: number,
  { size } = { size: BLOCK_SIZE },
): BlockKey[] {
  return Array.from({ length: Math.ceil(runs / size) }, (_, block) => ({
    claims,
    method,
    block,
    runs: Math.min(size, runs - block * size),
  }));
}

/** Blocks that go through the finite list of a group of claims. */
function listed(ids: readonly string[], { members }: Enumeration, parts: PlanParts): BlockKey[] {
  const { subject, lane } = parts;
  const all = members(subject, true).length;
  const runs = lane === "gate" ? members(subject, false).length : all;
  const method = runs === all ? "exhaustive" : "enumerated";
  return blocks(ids, method, runs, { size: LISTED_BLOCK_SIZE });
}

/** Blocks that look for the worst case of a claim. */
function searches({ id, worstCase }: Claim, count: number): BlockKey[] {
  if (worstCase === undefined) return blocks([id], "search", count * BLOCK_SIZE);
  const runs = WORST_CASE_RUNS;
  const unaided = Array.from({ length: count }, (_, block) => ({
    claims: [id],
    method: "search" as const,
    block,
    runs,
  }));
  return [...unaided, { claims: [id], method: "witness", block: 0, runs }];
}

/** Claims by the space they share, in the order in which each space is first met. */
export function spaceGroups(claims: readonly Claim[], subject: Subject): string[][] {
  const bySpace = new Map<ScenarioSpace, string[]>();
  for (const claim of claims) {
    const space = claim.over(subject);
    const ids = bySpace.get(space) ?? [];
    ids.push(claim.id);
    bySpace.set(space, ids);
  }
  return [...bySpace.values()];
}

/** Every block of a campaign, in the order of the record: the corpus comes first. */
export function planOf(claims: readonly Claim[], parts: PlanParts): readonly BlockKey[] {
  const { lane, runs, subject, corpus } = parts;
  if (!(Number.isInteger(runs) && runs >= 1 && runs <= 10_000_000)) {
    const permitted = "an integer from 1 to 10000000";
    throw new InvalidInputError("campaign", [
      { path: "runs", quantity: "number of runs", permitted, received: String(runs) },
    ]);
  }
  const shared = spaceGroups(
    claims.filter(({ enumeration }) => enumeration === undefined),
    subject,
  );
  const enumerable = spaceGroups(
    claims.filter(({ enumeration }) => enumeration !== undefined),
    subject,
  );
  const enumerationOf = ([first]: readonly string[]): Enumeration =>
    claims.find(({ id }) => id === first)!.enumeration!;
  const sought = claims.filter(({ canary }) => canary !== true);
  return [
    ...claims.flatMap(({ id }) => blocks([id], "corpus", corpus[id]?.length ?? 0)),
    ...enumerable.flatMap((ids) => listed(ids, enumerationOf(ids), parts)),
    ...shared.flatMap((ids) => blocks(ids, "edges", runs)),
    ...sought.flatMap((claim) => searches(claim, SEARCHES[lane])),
    ...shared.flatMap((ids) => blocks(ids, "unbiased", UNBIASED[lane] * runs)),
  ];
}
