import type { Draw } from "../arbitraries/parameter.ts";

/**
 * How the scenarios of a block are found. `corpus`: values that failed once; `exhaustive`: every
 * member of a finite list; `enumerated`: members at even distances and about what decides;
 * `edges`: edge-biased, to find faults; `search`: driven towards the worst case; `witness`: driven
 * there from the witnesses of the proof; `unbiased`: drawn from the declared distribution.
 */
export const METHODS = [
  "corpus",
  "exhaustive",
  "enumerated",
  "edges",
  "search",
  "witness",
  "unbiased",
] as const;

export type Method = (typeof METHODS)[number];

/** Part of a campaign that one worker does in one go. */
export interface BlockKey {
  /** The claims judged on these scenarios; one for a corpus, a search or witnesses. */
  readonly claims: readonly string[];
  readonly method: Method;
  /** Number of the block within claims and method. */
  readonly block: number;
  /** Runs of this block. */
  readonly runs: number;
}

/** A scenario with what a claim says of it. */
export interface JudgedDraw {
  readonly draw: Draw;
  readonly margin: number;
  readonly because: string;
  /** s; null where no moment is special. */
  readonly at: number | null;
}

/** A failure as it was met and as small as it could be made. */
export interface FoundFailure {
  readonly met: JudgedDraw;
  readonly smallest: JudgedDraw;
  /** Runs that the reduction took. */
  readonly reductions: number;
}

/** What one claim got out of a block: plain data, the same whoever runs it. */
export interface ClaimTally {
  readonly claim: string;
  readonly notApplicable: number;
  readonly failures: number;
  /** Runs in each class, whether or not the claim applied to them. */
  readonly classes: Readonly<Record<string, number>>;
  /** Runs in each pair of classes: by their places in the list of n names, a n + b. */
  readonly pairs: Readonly<Record<string, number>>;
  readonly worst: JudgedDraw | null;
  readonly failure: FoundFailure | null;
}

/** What came of a block. */
export interface BlockResult {
  readonly key: BlockKey;
  readonly done: number;
  /** Runs that the simulation refused, and the first reason. */
  readonly unplayable: number;
  readonly refusal: string | null;
  /** Runs that were repeated, and those of them that came out differently. */
  readonly repeated: number;
  readonly differing: number;
  /** Runs that the plain build made too, and those of them in which it said otherwise. */
  readonly compared: number;
  readonly unlike: number;
  /** SHA-256 over all outcomes in order. */
  readonly digest: string;
  readonly tallies: readonly ClaimTally[];
}

/** Of so many runs one is repeated, and made with the plain build too. */
export const REPEATED = 25;

/** Runs of one block, and members of a finite list in one block: each of them is quicker. */
export const BLOCK_SIZE = 50;
export const LISTED_BLOCK_SIZE = 256;

/** Text by which a block is known. */
export function keyText({ claims, method, block }: BlockKey): string {
  return `${claims.join("+")}/${method}/${block}`;
}
