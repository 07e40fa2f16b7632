import type { Claim } from "../claims/claim.ts";
import type { Subject } from "../claims/episode.ts";
import type { Method } from "./block.ts";

/** How much of the finite list of a claim was gone through. */
export interface Listed {
  /** What its members are. */
  readonly of: string;
  readonly members: number;
  /** Members that were run, and those of them of which the claim says nothing. */
  readonly run: number;
  readonly notApplicable: number;
}

interface RunsOf {
  readonly method: Method;
  readonly done: number;
  readonly notApplicable: number;
}

/** What of the finite list of a claim was run; null for a claim without one. */
export function listedOf(
  { enumeration }: Claim,
  counts: readonly RunsOf[],
  subject: Subject,
): Listed | null {
  if (enumeration === undefined) return null;
  const own = counts.filter(({ method }) => method === "exhaustive" || method === "enumerated");
  return {
    of: enumeration.of,
    members: enumeration.members(subject, true).length,
    run: own.reduce((sum, { done }) => sum + done, 0),
    notApplicable: own.reduce((sum, { notApplicable }) => sum + notApplicable, 0),
  };
}

/** The list in a few words, as "exhaustive, 512 of 512 pairs of neighbouring codes". */
export function listedText({ of, members, run, notApplicable }: Listed): string {
  const idle = notApplicable === 0 ? "" : `, ${notApplicable} of them not applicable`;
  return run === members
    ? `exhaustive, ${run} of ${members} ${of}${idle}`
    : `${run} of ${members} ${of}${idle}, not exhaustive`;
}
