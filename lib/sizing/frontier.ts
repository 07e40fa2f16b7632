import { compareCandidates } from "./candidate.ts";
import type { Candidate } from "./candidate.ts";

/** What stands against the cost; less is better. */
export type Objective = "used" | "capacitance";

/**
 * Candidates of which none is as cheap and as good as another: the frontier of cost against an
 * objective. Which candidates remain does not depend on the order in which they are added.
 */
export class Frontier {
  readonly objective: Objective;
  private members: Candidate[] = [];

  constructor(objective: Objective, members: readonly Candidate[] = []) {
    this.objective = objective;
    for (const member of members) this.add(member);
  }

  /** Members by rising cost. */
  get candidates(): readonly Candidate[] {
    return this.members;
  }

  /** Whether a member is at least as cheap and as good, and better in one of the two. */
  excludes({ cost, value }: { readonly cost: number; readonly value: number }): boolean {
    const { objective } = this;
    return this.members.some(
      (member) =>
        member.cost <= cost &&
        member[objective] <= value &&
        (member.cost < cost || member[objective] < value),
    );
  }

  /** Whether a member is at least as cheap and as good. */
  reaches({ cost, value }: { readonly cost: number; readonly value: number }): boolean {
    return this.members.some((member) => member.cost <= cost && member[this.objective] <= value);
  }

  private isBefore(one: Candidate, other: Candidate): boolean {
    const { objective } = this;
    if (one.cost > other.cost || one[objective] > other[objective]) return false;
    if (one.cost < other.cost || one[objective] < other[objective]) return true;
    return compareCandidates(one, other) < 0;
  }

  /** Adds a candidate unless a member stands before it; members behind it leave. */
  add(candidate: Candidate): void {
    if (this.members.some((member) => this.isBefore(member, candidate))) return;
    if (this.members.some((member) => isSame(member, candidate))) return;
    this.members = this.members.filter((member) => !this.isBefore(candidate, member));
    this.members.push(candidate);
    this.members.sort((one, other) => one.cost - other.cost);
  }
}

function isSame(one: Candidate, other: Candidate): boolean {
  return compareCandidates(one, other) === 0;
}
