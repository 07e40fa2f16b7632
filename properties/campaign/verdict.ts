import { binomialUpperBound } from "../../lib/statistics/binomial-bounds.ts";
import type { Claim } from "../claims/claim.ts";
import type { Subject } from "../claims/episode.ts";
import { METHODS, REPEATED } from "./block.ts";
import type {
  BlockKey,
  BlockResult,
  ClaimTally,
  FoundFailure,
  JudgedDraw,
  Method,
} from "./block.ts";
import { coverageOf } from "./coverage.ts";
import type { Coverage } from "./coverage.ts";
import { listedOf, listedText } from "./listed.ts";
import type { Listed } from "./listed.ts";
import { strengthOf } from "./strength.ts";
import type { Strength } from "./strength.ts";
import { drawInWords } from "./tally.ts";

/** What a campaign can say of a claim. */
export type ClaimVerdict = "holds" | "doesNotHold" | "noVerdict";

/** Counts of one method of one claim. */
export interface MethodCount {
  readonly method: Method;
  readonly asked: number;
  readonly done: number;
  readonly notApplicable: number;
  readonly unplayable: number;
  readonly failures: number;
  readonly worst: JudgedDraw | null;
}

/** Runs that were made more than once. */
export interface RepeatCount {
  /** Of so many runs one is repeated. */
  readonly oneIn: number;
  readonly repeated: number;
  readonly differing: number;
  /** Runs that the plain build made too, and those in which it said otherwise. */
  readonly compared: number;
  readonly unlike: number;
}

/** What a campaign says of one claim. */
export interface ClaimResult {
  readonly id: string;
  readonly says: string;
  readonly verdict: ClaimVerdict;
  /**
   * Why a run without failure is no evidence; empty where it is. A claim that does not hold because
   * the two builds of the firmware disagree has that as its reason.
   */
  readonly reasons: readonly string[];
  readonly canary: boolean;
  readonly methods: readonly MethodCount[];
  readonly coverage: Coverage;
  readonly repeats: RepeatCount;
  readonly worst: JudgedDraw | null;
  /** How much of a finite list was gone through; null for a claim without one. */
  readonly listed: Listed | null;
  /** How close the runs came to what is proven: reported, neither passed nor failed. */
  readonly strength: Strength;
  /** What may be said of the failing share of scenarios, or why nothing may. */
  readonly statement: string;
  readonly failure:
    (FoundFailure & { readonly method: Method; readonly words: readonly string[] }) | null;
}

/** The blocks of one claim with its own part of each. */
interface OwnBlock {
  readonly block: BlockResult;
  readonly tally: ClaimTally;
}

const CONFIDENCE = 0.95;

function worse(one: JudgedDraw | null, other: JudgedDraw | null): JudgedDraw | null {
  if (one === null || other === null) return one ?? other;
  return other.margin < one.margin ? other : one;
}

function sum<T>(list: readonly T[], pick: (one: T) => number): number {
  return list.reduce((total, one) => total + pick(one), 0);
}

function countsOf(id: string, plan: readonly BlockKey[], own: readonly OwnBlock[]): MethodCount[] {
  return METHODS.flatMap((method) => {
    const keys = plan.filter((key) => key.method === method && key.claims.includes(id));
    if (keys.length === 0) return [];
    const blocks = own.filter(({ block }) => block.key.method === method);
    return [
      {
        method,
        asked: sum(keys, ({ runs }) => runs),
        done: sum(blocks, ({ block }) => block.done),
        notApplicable: sum(blocks, ({ tally }) => tally.notApplicable),
        unplayable: sum(blocks, ({ block }) => block.unplayable),
        failures: sum(blocks, ({ tally }) => tally.failures),
        worst: blocks.reduce<JudgedDraw | null>((one, { tally }) => worse(one, tally.worst), null),
      },
    ];
  });
}

/**
 * The statistical sentence, only for unbiased draws that are complete and were all applicable.
 * Source: exact binomial bound; IEC 61508-7 annex D for the case without failure.
 */
function statementOf(counts: readonly MethodCount[], listed: Listed | null): string {
  if (listed !== null) return listedText(listed);
  const unbiased = counts.find(({ method }) => method === "unbiased");
  const none = (why: string): string => `no statistical statement: ${why}`;
  if (unbiased === undefined) return none("no unbiased draws");
  if (unbiased.done < unbiased.asked) return none("the unbiased draws are not complete");
  const rejected = unbiased.notApplicable + unbiased.unplayable;
  if (rejected > 0) return none(`${rejected} draws did not count`);
  const share = binomialUpperBound(
    { successes: unbiased.failures, trials: unbiased.done },
    CONFIDENCE,
  );
  return (
    `95 % confident that fewer than ${(100 * share).toPrecision(2)} % of the declared ` +
    `distribution fail (${unbiased.failures} of ${unbiased.done} independent draws failed)`
  );
}

function repeatsOf(own: readonly OwnBlock[]): RepeatCount {
  return {
    oneIn: REPEATED,
    repeated: sum(own, ({ block }) => block.repeated),
    differing: sum(own, ({ block }) => block.differing),
    compared: sum(own, ({ block }) => block.compared),
    unlike: sum(own, ({ block }) => block.unlike),
  };
}

/** Named as what it is: the claim was shown for one of the two builds only. */
function disagreementOf({ unlike, compared }: RepeatCount): string[] {
  if (unlike === 0) return [];
  return [`the plain build says otherwise than the trapping one in ${unlike} of ${compared} runs`];
}

interface ReasonParts {
  readonly own: readonly OwnBlock[];
  readonly isListed: boolean;
  /** Of the runs that cover classes: scenarios that the simulation refused; a few do no harm. */
  readonly refused: number;
}

function reasonsOf(
  counts: readonly MethodCount[],
  coverage: Coverage,
  { own, isListed, refused }: ReasonParts,
): string[] {
  const reasons: string[] = [];
  const done = sum(counts, (one) => one.done);
  const idle = sum(counts, (one) => one.notApplicable + one.unplayable);
  // Where runs were asked for and none was made, that is told below.
  const isAsked = counts.some(({ asked }) => asked > 0);
  if (done === idle && (done > 0 || !isAsked)) reasons.push("the precondition never occurred");
  for (const one of counts)
    if (one.done < one.asked) reasons.push(`${one.method}: ${one.done} of ${one.asked} runs done`);
  const unplayable = sum(counts, (one) => one.unplayable);
  if (unplayable * 100 > done)
    reasons.push(`the simulation refused ${unplayable} of ${done} scenarios`);
  // A list that was gone through needs no classes.
  if (done > idle && !isListed) {
    for (const { name, hits, least } of coverage.classes)
      if (hits < least) reasons.push(`${name}: ${hits} of ${least} hits`);
    if (coverage.runs + refused < 1_000)
      reasons.push(`${coverage.runs} of 1000 edge-biased runs: classes and pairs are too thin`);
    else if (coverage.pairsShort > 0)
      reasons.push(`${coverage.pairsShort} of ${coverage.pairs} pairs of classes met too seldom`);
  }
  const { differing, repeated } = repeatsOf(own);
  if (differing > 0) reasons.push(`${differing} of ${repeated} repeated runs came out differently`);
  return reasons;
}

/** Judges one claim by the blocks that are done. */
export function judgeClaim(
  claim: Claim,
  results: readonly BlockResult[],
  { plan, subject }: { readonly plan: readonly BlockKey[]; readonly subject: Subject },
): ClaimResult {
  const own = results.flatMap((block): OwnBlock[] => {
    const tally = block.tallies.find((one) => one.claim === claim.id);
    return tally === undefined ? [] : [{ block, tally }];
  });
  const space = claim.over(subject);
  const counts = countsOf(claim.id, plan, own);
  const covering = own.filter(({ block }) => ["edges", "unbiased"].includes(block.key.method));
  const refused = sum(covering, ({ block }) => block.unplayable);
  const runs = sum(covering, ({ block }) => block.done) - refused;
  const tallies = covering.map(({ tally }) => tally);
  const coverage = coverageOf(claim, space, { tallies, runs });
  const listed = listedOf(claim, counts, subject);
  const failures = sum(counts, (one) => one.failures);
  const canary = claim.canary === true;
  const isPlayed = counts.some(({ done }) => done > 0);
  const silent = canary && isPlayed ? ["the claim that must fail did not"] : [];
  const repeats = repeatsOf(own);
  const apart = canary ? [] : disagreementOf(repeats);
  const open = failures > 0 || apart.length > 0;
  const reasons = open
    ? apart
    : [...silent, ...reasonsOf(counts, coverage, { own, isListed: listed !== null, refused })];
  const failed = own.find(({ tally }) => tally.failure !== null);
  const failure = failed?.tally.failure;
  return {
    id: claim.id,
    says: claim.says,
    verdict: open ? "doesNotHold" : reasons.length > 0 ? "noVerdict" : "holds",
    reasons,
    canary,
    methods: counts,
    coverage,
    repeats,
    worst: counts.reduce<JudgedDraw | null>((one, other) => worse(one, other.worst), null),
    listed,
    strength: strengthOf(claim, counts),
    statement: statementOf(counts, listed),
    failure:
      failed === undefined || failure === null || failure === undefined
        ? null
        : {
            ...failure,
            method: failed.block.key.method,
            words: drawInWords(space, failure.smallest.draw),
          },
  };
}

/** Whether a claim holds for the members of its list that were tried, which are not all of them. */
export function holdsWhereTried({ verdict, listed }: ClaimResult): boolean {
  return verdict === "holds" && listed !== null && listed.run < listed.members;
}

/** Exit code of a campaign: 0 holds and is evidence, 1 a claim does not hold, 3 no verdict. */
export function exitCodeOf(claims: readonly ClaimResult[]): 0 | 1 | 3 {
  const judged = claims.filter(({ canary }) => !canary);
  if (judged.some(({ verdict }) => verdict === "doesNotHold")) return 1;
  const canaries = claims.filter(({ canary }) => canary);
  const alive = canaries.length > 0 && canaries.every(({ verdict }) => verdict === "doesNotHold");
  const hold = judged.every(({ verdict }) => verdict === "holds");
  return judged.length > 0 && hold && alive ? 0 : 3;
}
