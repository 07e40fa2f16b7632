import type { Claim } from "../claims/claim.ts";
import type { JudgedDraw, Method } from "./block.ts";

/** How close a campaign came to what is proven: worst error found over the proven bound. */
export interface Strength {
  /** Without help from the proof; null where it is not known. */
  readonly unaided: number | null;
  /** From the witnesses of the proof, a little aside of them included. */
  readonly fromWitness: number | null;
  /** Why a share is not known; null where both are. */
  readonly reason: string | null;
}

/** Methods that know nothing of the proof. A corpus may hold what a witness led to. */
const UNAIDED: readonly Method[] = ["edges", "search", "unbiased"];

interface WorstOf {
  readonly method: Method;
  readonly worst: JudgedDraw | null;
}

function shareOf(counts: readonly WorstOf[], methods: readonly Method[]): number | null {
  const margins = counts.flatMap(({ method, worst }) =>
    worst !== null && methods.includes(method) ? [worst.margin] : [],
  );
  return margins.length === 0 ? null : 1 - Math.min(...margins);
}

/** The strength of what was run for a claim. */
export function strengthOf({ worstCase }: Claim, counts: readonly WorstOf[]): Strength {
  if (worstCase === undefined) {
    const reason = "the claim's margin is no share of a proven error";
    return { unaided: null, fromWitness: null, reason };
  }
  const unaided = shareOf(counts, UNAIDED);
  const fromWitness = shareOf(counts, ["witness"]);
  const missing = [
    ...(unaided === null ? ["no run without the witnesses was judged"] : []),
    ...(fromWitness === null ? ["no run from a witness was judged"] : []),
  ];
  return { unaided, fromWitness, reason: missing.length === 0 ? null : missing.join(", ") };
}

const percent = (share: number): string => `${(100 * share).toFixed(1)} %`;

/** A strength in one line; undefined for a claim that has none. */
export function strengthText({ unaided, fromWitness, reason }: Strength): string | undefined {
  if (unaided === null && fromWitness === null) return undefined;
  const parts = [
    ...(unaided === null ? [] : [`${percent(unaided)} of the proven bound unaided`]),
    ...(fromWitness === null ? [] : [`${percent(fromWitness)} from the budget's witnesses`]),
    ...(reason === null ? [] : [reason]),
  ];
  return `worst error found ${parts.join(", ")}`;
}
