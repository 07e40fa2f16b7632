import type { Choice } from "./grade-limits.ts";

/** One combination of parts that was proven. */
export interface Candidate {
  /** Number of the structure in the space, and the option of each kind in it. */
  readonly structure: number;
  readonly choice: Choice;
  readonly cost: number;
  /** Largest share of the allowed error that the proven error takes, over voltages and sides. */
  readonly used: number;
  /** Least product capacitance with the loading asked for, F, rounded up to two digits. */
  readonly capacitance: number;
}

/**
 * One combination that was looked at closely. Until it is proven, `used` is a forecast of the share
 * that a proof would give; the search relies on it and checks afterwards that it came true.
 */
export interface Sighted extends Candidate {
  /** Share that is certainly reached; the proven one is no less. */
  readonly seen: number;
  /** Whether `used` is proven. */
  readonly isProven: boolean;
}

/** Order of candidates that are equal in what counts: as they stand in the catalogue. */
export function compareCandidates(one: Candidate, other: Candidate): number {
  if (one.structure !== other.structure) return one.structure - other.structure;
  for (const [kind, option] of one.choice.entries()) {
    const difference = option - (other.choice[kind] ?? 0);
    if (difference !== 0) return difference;
  }
  return 0;
}
