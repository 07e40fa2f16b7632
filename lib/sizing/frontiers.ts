import type { Candidate } from "./candidate.ts";
import { Frontier } from "./frontier.ts";

/** What can be said of a combination, or at least of each of several. */
export interface Prospect {
  readonly cost: number;
  /** Share of the allowed error. */
  readonly share: number;
  /** F. */
  readonly capacitance: number;
}

/**
 * Both frontiers of a search: cost against error, and cost against product capacitance among the
 * combinations that meet every requirement.
 */
export class Frontiers {
  readonly byError = new Frontier("used");
  readonly byCapacitance = new Frontier("capacitance");
  /** Combinations that take more than this share of the allowed error are of no interest. */
  private readonly mostUsed: number;

  constructor(mostUsed: number, candidates: readonly Candidate[] = []) {
    this.mostUsed = mostUsed;
    for (const candidate of candidates) this.add(candidate);
  }

  /** Adds a candidate to the frontiers on which it stands. */
  add(candidate: Candidate): void {
    if (candidate.used <= this.mostUsed) this.byError.add(candidate);
    if (candidate.used <= 1) this.byCapacitance.add(candidate);
  }

  /** Whether nothing that is no better than the prospect can stand on a frontier. */
  exclude({ cost, share, capacitance }: Prospect): boolean {
    const error = share > this.mostUsed || this.byError.excludes({ cost, value: share });
    return error && (share > 1 || this.byCapacitance.excludes({ cost, value: capacitance }));
  }

  /** Whether members are at least as cheap and as good in all in which the candidate counts. */
  reach({ cost, used, capacitance }: Candidate): boolean {
    return (
      (used > this.mostUsed || this.byError.reaches({ cost, value: used })) &&
      (used > 1 || this.byCapacitance.reaches({ cost, value: capacitance }))
    );
  }
}
