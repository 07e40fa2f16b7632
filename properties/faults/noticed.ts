import type { JudgedDraw } from "../campaign/block.ts";
import type { FaultBlockResult } from "./fault-block.ts";

/** A claim that noticed a fault. */
export interface Noticed {
  readonly claim: string;
  /** Runs to which the claim applied, up to the one that failed. */
  readonly after: number;
  readonly failure: JudgedDraw;
}

/** Claims that noticed a tester in the blocks of a run. */
export function noticedOf(id: string, results: readonly FaultBlockResult[]): Noticed[] {
  const byClaim = new Map<string, { judged: number; failure: JudgedDraw | null }>();
  for (const { cells } of results)
    for (const { fault, claim, judged, failure } of cells) {
      if (fault !== id) continue;
      const sum = byClaim.get(claim) ?? { judged: 0, failure: null };
      if (sum.failure !== null) continue;
      byClaim.set(claim, { judged: sum.judged + judged, failure });
    }
  return [...byClaim].flatMap(([claim, { judged, failure }]) =>
    failure === null ? [] : [{ claim, after: judged, failure }],
  );
}
