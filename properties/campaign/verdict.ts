import { binomialUpperBound } from "../../lib/statistics/binomial-bounds.ts";
import { pointInWords } from "../arbitraries/space.ts";
import type { Space } from "../arbitraries/space.ts";
import type { Claim } from "../claims/claim.ts";
import type { CampaignContext } from "../claims/situation.ts";
import { METHODS } from "./block.ts";
import type { BlockResult, FoundFailure, JudgedPoint, Method } from "./block.ts";
import { coverageOf } from "./coverage.ts";
import type { Coverage } from "./coverage.ts";
import type { Plan } from "./plan.ts";

export type ClaimVerdict = "holds" | "doesNotHold" | "noVerdict";

/** Counts of one method of one claim. */
export interface MethodCount {
  readonly method: Method;
  readonly asked: number;
  readonly done: number;
  readonly notApplicable: number;
  readonly unplayable: number;
  readonly failures: number;
  readonly worst: JudgedPoint | null;
}

/** What a campaign says of one claim. */
export interface ClaimResult {
  readonly id: string;
  readonly says: string;
  readonly verdict: ClaimVerdict;
  /** Why a run without failure is no evidence; empty where it is. */
  readonly reasons: readonly string[];
  readonly isCanary: boolean;
  readonly methods: readonly MethodCount[];
  readonly coverage: Coverage;
  readonly worst: JudgedPoint | null;
  /** Largest share of the proven bound that any run reached, unaided and from the witness. */
  readonly shareReached: { readonly unaided: number | null; readonly fromWitness: number | null };
  /** What may be said of the failing share of scenarios, or why nothing may. */
  readonly statement: string;
  readonly failure:
    (FoundFailure & { readonly method: Method; readonly words: readonly string[] }) | null;
  readonly mustCatch: readonly string[];
}

const CONFIDENCE = 0.95;

function worse(one: JudgedPoint | null, other: JudgedPoint | null): JudgedPoint | null {
  if (one === null || other === null) return one ?? other;
  return other.margin < one.margin ? other : one;
}

function countsOf(method: Method, asked: number, results: readonly BlockResult[]): MethodCount {
  const own = results.filter((result) => result.method === method);
  const sum = (pick: (result: BlockResult) => number): number =>
    own.reduce((total, result) => total + pick(result), 0);
  return {
    method,
    asked,
    done: sum(({ done }) => done),
    notApplicable: sum(({ notApplicable }) => notApplicable),
    unplayable: sum(({ unplayable }) => unplayable),
    failures: sum(({ failures }) => failures),
    worst: own.reduce<JudgedPoint | null>((worst, result) => worse(worst, result.worst), null),
  };
}

/**
 * The statistical sentence, only for unbiased draws that are complete and were all applicable.
 * Source: exact binomial bound; IEC 61508-7 annex D for the case without failure.
 */
function statementOf(counts: readonly MethodCount[]): string {
  const unbiased = counts.find(({ method }) => method === "unbiased");
  const none = (why: string): string => `no statistical statement: ${why}`;
  if (unbiased === undefined) return none("no unbiased draws");
  if (unbiased.done < unbiased.asked) return none("the unbiased draws are not complete");
  if (unbiased.notApplicable + unbiased.unplayable > 0)
    return none(`${unbiased.notApplicable + unbiased.unplayable} draws did not count`);
  const count = { successes: unbiased.failures, trials: unbiased.done };
  const share = binomialUpperBound(count, CONFIDENCE);
  return (
    `95 % confident that fewer than ${(100 * share).toPrecision(2)} % of the declared ` +
    `distribution fail (${unbiased.failures} of ${unbiased.done} independent draws failed)`
  );
}

function reasonsOf(counts: readonly MethodCount[], coverage: Coverage, results: readonly BlockResult[]): string[] {
  const reasons: string[] = [];
  const applicable = counts.reduce(
    (sum, one) => sum + one.done - one.notApplicable - one.unplayable,
    0,
  );
  if (applicable === 0) reasons.push("the precondition never occurred");
  for (const { method, asked, done, failures } of counts)
    if (done < asked && failures === 0) reasons.push(`${method}: ${done} of ${asked} runs done`);
  const unplayable = counts.reduce((sum, one) => sum + one.unplayable, 0);
  if (unplayable > 0) reasons.push(`the simulation refused ${unplayable} scenarios`);
  const isCounted = counts.some(({ method }) => method === "edges" || method === "unbiased");
  if (isCounted && applicable > 0) {
    for (const { dimension, name, hits, least } of coverage.classes)
      if (hits < least) reasons.push(`${dimension}, ${name}: ${hits} of ${least} hits`);
    if (coverage.pairsShort > 0)
      reasons.push(`${coverage.pairsShort} of ${coverage.pairs} pairs of classes met too seldom`);
  }
  const repeated = results.reduce((sum, result) => sum + result.repeated, 0);
  const differing = results.reduce((sum, result) => sum + result.differing, 0);
  if (differing > 0) reasons.push(`${differing} of ${repeated} repeated runs came out differently`);
  return reasons;
}

function firstFailure(space: Space, results: readonly BlockResult[]): ClaimResult["failure"] {
  for (const { failure, method } of results) {
    if (failure === null) continue;
    return { ...failure, method, words: pointInWords(space, failure.smallest.point) };
  }
  return null;
}

function shareOf(counts: readonly MethodCount[], methods: readonly Method[]): number | null {
  const margins = counts.flatMap(({ method, worst }) =>
    methods.includes(method) && worst !== null ? [worst.margin] : [],
  );
  return margins.length === 0 ? null : 1 - Math.min(...margins);
}

/** Judges one claim by the blocks that are done, in the order of the plan. */
export function judgeClaim(
  claim: Claim,
  results: readonly BlockResult[],
  { plan, context }: { readonly plan: Plan; readonly context: CampaignContext },
): ClaimResult {
  const space = claim.over(context);
  const counts = METHODS.flatMap((method) => {
    const asked = plan.asked.find((one) => one.claim === claim.id && one.method === method);
    return asked === undefined ? [] : [countsOf(method, asked.runs, results)];
  });
  const coverage = coverageOf(claim, space, results);
  const failures = counts.reduce((sum, one) => sum + one.failures, 0);
  const isCanary = claim.canary === true;
  const found = failures > 0 ? [] : reasonsOf(counts, coverage, results);
  const reasons = isCanary && failures === 0 ? ["the claim that must fail did not"] : found;
  const verdict: ClaimVerdict =
    failures > 0 ? "doesNotHold" : reasons.length > 0 ? "noVerdict" : "holds";
  const unaided: readonly Method[] = ["corpus", "edges", "search", "unbiased"];
  const against = claim.againstBound === true;
  return {
    id: claim.id,
    says: claim.says,
    verdict,
    reasons: isCanary && failures > 0 ? [] : reasons,
    isCanary,
    methods: counts,
    coverage,
    worst: counts.reduce<JudgedPoint | null>((worst, one) => worse(worst, one.worst), null),
    shareReached: {
      unaided: against ? shareOf(counts, unaided) : null,
      fromWitness: against ? shareOf(counts, ["witness"]) : null,
    },
    statement: statementOf(counts),
    failure: firstFailure(space, results),
    mustCatch: claim.mustCatch,
  };
}

/** Exit code of a campaign: 0 holds and is evidence, 1 a claim does not hold, 3 no verdict. */
export function exitCodeOf(claims: readonly ClaimResult[]): 0 | 1 | 3 {
  const judged = claims.filter(({ isCanary }) => !isCanary);
  if (judged.some(({ verdict }) => verdict === "doesNotHold")) return 1;
  const canaries = claims.filter(({ isCanary }) => isCanary);
  const isAlive = canaries.every(({ verdict }) => verdict === "doesNotHold");
  const hold = judged.every(({ verdict }) => verdict === "holds");
  return judged.length > 0 && hold && isAlive ? 0 : 3;
}
