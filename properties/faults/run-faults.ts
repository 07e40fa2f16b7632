import type { Claim } from "../claims/claim.ts";
import type { Subject } from "../claims/episode.ts";
import { spaceGroups } from "../campaign/plan.ts";
import { FAULT_BLOCK, faultKeyText, runFaultBlock } from "./fault-block.ts";
import type { FaultBlockKey, FaultBlockResult, FaultWork } from "./fault-block.ts";

/** A fault, and the claims of which one or more are expected to notice it. */
export interface SeededFault {
  readonly id: string;
  readonly caughtBy: readonly string[];
}

/** Generated faults of one block. */
const PART = 40;

/** How far a run over faults has come. */
export interface FaultProgress {
  /** Blocks done and planned so far. */
  readonly done: number;
  readonly planned: number;
  /** Faults that were noticed, of all. */
  readonly caught: number;
  readonly faults: number;
}

/** How a run over faults is made. */
export interface FaultRunOptions {
  /** Draws of each space that every firmware is held to; broken front ends are to one block. */
  readonly runs: number;
  /**
   * Draws up to which the claims that should notice a fault go on where they have not yet, and all
   * claims for a generated fault without a written reason.
   */
  readonly mostRuns: number;
  readonly known?: ReadonlyMap<string, FaultBlockResult>;
  readonly keep?: (result: FaultBlockResult) => void;
  readonly progress?: (progress: FaultProgress) => void;
  /** Does a block elsewhere; in this thread where absent. */
  readonly elsewhere?: (key: FaultBlockKey) => Promise<FaultBlockResult>;
  /** Blocks at once; one where absent. */
  readonly atOnce?: number;
  readonly isStopped?: () => boolean;
}

/** What a run over faults needs beside the testers, which may be elsewhere. */
export interface FaultRunParts {
  readonly claims: readonly Claim[];
  readonly subject: Subject;
  readonly faults: readonly SeededFault[];
  /** Generated faults: each is played until any claim has noticed it. */
  readonly generated?: readonly string[];
  /** Those of them that need not be noticed: they are not played beyond the usual draws. */
  readonly reasoned?: ReadonlySet<string>;
  /** For blocks that are done in this thread. */
  readonly work?: FaultWork;
}

/** All blocks of a run, in the order of their plan, and whether it came to its end. */
export interface FaultRun {
  readonly results: readonly FaultBlockResult[];
  readonly complete: boolean;
}

class Runner {
  private readonly parts: FaultRunParts;
  private readonly options: FaultRunOptions;
  private readonly groups: readonly (readonly string[])[];
  private readonly results: FaultBlockResult[] = [];
  /** Claims that have noticed, by fault. */
  private readonly caught = new Map<string, Set<string>>();
  private planned = 0;
  private done = 0;

  constructor(parts: FaultRunParts, options: FaultRunOptions) {
    this.parts = parts;
    this.options = options;
    const judged = parts.claims.filter(({ canary }) => canary !== true);
    this.groups = spaceGroups(judged, parts.subject);
  }

  private note(result: FaultBlockResult): void {
    for (const { fault, claim, failure } of result.cells) {
      if (failure === null) continue;
      const by = this.caught.get(fault) ?? new Set();
      this.caught.set(fault, by.add(claim));
    }
    const ids = [...this.parts.faults.map(({ id }) => id), ...(this.parts.generated ?? [])];
    const caught = ids.filter((id) => this.caught.has(id)).length;
    this.done += 1;
    const { done, planned } = this;
    this.options.progress?.({ done, planned, caught, faults: ids.length });
  }

  /** Does some blocks, several at once; false where it was stopped before their end. */
  private async doAll(keys: readonly FaultBlockKey[]): Promise<boolean> {
    const { known, keep, elsewhere, atOnce = 1 } = this.options;
    this.planned += keys.length;
    const found = new Map<FaultBlockKey, FaultBlockResult>();
    let next = 0;
    const worker = async (): Promise<void> => {
      while (next < keys.length && this.options.isStopped?.() !== true) {
        const key = keys[next]!;
        next += 1;
        const earlier = known?.get(faultKeyText(key));
        const result = earlier ?? (await elsewhere?.(key)) ?? runFaultBlock(this.parts.work!, key);
        if (earlier === undefined) keep?.(result);
        found.set(key, result);
        this.note(result);
        // Lets a signal in between two blocks.
        await new Promise((resolve) => setImmediate(resolve));
      }
    };
    await Promise.all(Array.from({ length: atOnce }, worker));
    for (const key of keys) if (found.has(key)) this.results.push(found.get(key)!);
    return found.size === keys.length;
  }

  /** Claims that still have to show that they notice a fault. */
  private owed({ id, caughtBy }: SeededFault): readonly string[] {
    const { claims } = this.parts;
    const there = claims.filter(({ mustCatch }) => mustCatch.includes(id)).map((claim) => claim.id);
    const missing = there.filter((claim) => !this.caught.get(id)?.has(claim));
    return missing.length === 0 && !this.caught.has(id) ? caughtBy : missing;
  }

  /** One more block for the faults that who should has not noticed, in the spaces of those. */
  private further(block: number): FaultBlockKey[] {
    const owed = this.parts.faults.map((fault) => ({ id: fault.id, by: this.owed(fault) }));
    return this.groups.flatMap((claims): FaultBlockKey[] => {
      const own = owed.filter(({ by }) => by.some((id) => claims.includes(id)));
      if (own.length === 0) return [];
      return [{ claims, faults: own.map(({ id }) => id), block, runs: FAULT_BLOCK }];
    });
  }

  /** Generated faults, one space after the other: most are noticed in the first blocks. */
  private async runGenerated(): Promise<boolean> {
    const { generated = [], reasoned } = this.parts;
    const { runs, mostRuns } = this.options;
    for (let block = 0; block * FAULT_BLOCK < Math.max(runs, mostRuns); block += 1) {
      const isFurther = block * FAULT_BLOCK >= runs;
      const least = (isFurther ? mostRuns : runs) - block * FAULT_BLOCK;
      const asked = isFurther ? generated.filter((id) => reasoned?.has(id) !== true) : generated;
      for (const claims of this.groups) {
        const open = asked.filter((id) => !this.caught.has(id));
        const keys: FaultBlockKey[] = [];
        for (let from = 0; from < open.length; from += PART) {
          const faults = open.slice(from, from + PART);
          keys.push({
            claims,
            faults,
            block,
            runs: Math.min(FAULT_BLOCK, least),
          });
        }
        if (!(await this.doAll(keys))) return false;
      }
    }
    return true;
  }

  async run(): Promise<FaultRun> {
    const { runs, mostRuns } = this.options;
    const blocks = Math.ceil(runs / FAULT_BLOCK);
    const first = this.groups.flatMap((claims) =>
      Array.from({ length: blocks }, (_, block): FaultBlockKey => ({
        claims,
        block,
        runs: Math.min(FAULT_BLOCK, runs - block * FAULT_BLOCK),
        ...(block === 0 ? {} : { firmwareOnly: true }),
      })),
    );
    let complete = await this.doAll(first);
    for (let block = blocks; complete && block * FAULT_BLOCK < mostRuns; block += 1) {
      const keys = this.further(block);
      if (keys.length === 0) break;
      complete = await this.doAll(keys);
    }
    complete &&= await this.runGenerated();
    return { results: this.results, complete };
  }
}

/**
 * Holds every faulty tester, and the one without a fault, to all claims on the same draws; faults
 * that nothing noticed are held to the claims that should, on more draws. The results do not depend
 * on the number of blocks at once, nor on an interruption.
 */
export async function runFaults(parts: FaultRunParts, options: FaultRunOptions): Promise<FaultRun> {
  return new Runner(parts, options).run();
}
