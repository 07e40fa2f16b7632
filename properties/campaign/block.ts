import type { Point } from "../arbitraries/space.ts";

/**
 * How the points of a block are found. `corpus`: values that failed once; `exhaustive`: all of
 * them; `edges`: edge-biased, to find faults; `search`: driven towards the worst case; `witness`:
 * the same, begun at the budget's witness; `unbiased`: drawn from the declared distribution.
 */
export const METHODS = ["corpus", "exhaustive", "edges", "search", "witness", "unbiased"] as const;

export type Method = (typeof METHODS)[number];

/** Part of a campaign that one worker does in one go. */
export interface BlockKey {
  readonly claim: string;
  readonly method: Method;
  /** Number of the block within claim and method. */
  readonly block: number;
}

/** A point with what the claim says of it. */
export interface JudgedPoint {
  readonly point: Point;
  readonly margin: number;
  readonly because: string;
  /** s; null where no moment is special. */
  readonly instant: number | null;
}

/** A failure as it was met and as small as it could be made. */
export interface FoundFailure {
  readonly met: JudgedPoint;
  readonly smallest: JudgedPoint;
  /** Runs that the reduction took. */
  readonly reductions: number;
}

/** What came of a block: plain data, the same whoever runs it. */
export interface BlockResult extends BlockKey {
  readonly asked: number;
  readonly done: number;
  /** Runs whose precondition did not hold. */
  readonly notApplicable: number;
  /** Runs that the simulation refused, and the first reason. */
  readonly unplayable: number;
  readonly refusal: string | null;
  readonly failures: number;
  /** Class of every dimension of each applicable run, one character each. */
  readonly classes: readonly string[];
  /** Hits of each named situation of the claim. */
  readonly named: readonly number[];
  readonly worst: JudgedPoint | null;
  readonly failure: FoundFailure | null;
  /** Runs that were repeated, and those of them that came out differently. */
  readonly repeated: number;
  readonly differing: number;
  /** SHA-256 over all outcomes in order. */
  readonly digest: string;
}

/** Runs of one block. */
export const BLOCK_SIZE = 50;

/** Text by which a block is known. */
export function keyText({ claim, method, block }: BlockKey): string {
  return `${claim}/${method}/${block}`;
}
