import type { BlockKey, BlockResult } from "./block.ts";
import { keyText } from "./block.ts";
import { runBlock } from "./run-block.ts";
import type { BlockWork } from "./run-block.ts";
import { judgeClaim } from "./verdict.ts";
import type { ClaimResult } from "./verdict.ts";

/** How far a campaign has come. */
export interface CampaignProgress {
  readonly done: number;
  readonly runs: number;
  /** Smallest margin so far, canaries left out; null before the first judgement. */
  readonly worst: { readonly claim: string; readonly margin: number } | null;
}

/** How the blocks of a campaign are run. */
export interface CampaignOptions {
  /** Blocks that are done already, by their text. */
  readonly known?: ReadonlyMap<string, BlockResult>;
  /** Called for each block that is done anew; blocks may end in any order. */
  readonly keep?: (result: BlockResult) => void;
  readonly progress?: (progress: CampaignProgress) => void;
  /** Does a block elsewhere; in this thread where absent. */
  readonly elsewhere?: (key: BlockKey) => Promise<BlockResult>;
  /** The plan that this one is a part of: what of it is not done is told. This one where absent. */
  readonly whole?: readonly BlockKey[];
  /** Blocks at once; one where absent. */
  readonly atOnce?: number;
  /** True once no further block shall begin. */
  readonly isStopped?: () => boolean;
}

class Campaign {
  private readonly work: BlockWork;
  private readonly plan: readonly BlockKey[];
  private readonly options: CampaignOptions;
  private readonly results = new Map<string, BlockResult>();
  private worst: CampaignProgress["worst"] = null;
  private done = 0;
  private next = 0;

  constructor(work: BlockWork, plan: readonly BlockKey[], options: CampaignOptions) {
    this.work = work;
    this.plan = plan;
    this.options = options;
  }

  private note(result: BlockResult): void {
    this.results.set(keyText(result.key), result);
    this.done += result.key.runs;
    const canaries = this.work.claims.filter(({ canary }) => canary).map(({ id }) => id);
    for (const { claim, worst } of result.tallies) {
      if (worst === null || canaries.includes(claim)) continue;
      if (this.worst === null || worst.margin < this.worst.margin)
        this.worst = { claim, margin: worst.margin };
    }
    const runs = this.plan.reduce((total, key) => total + key.runs, 0);
    this.options.progress?.({ done: this.done, runs, worst: this.worst });
  }

  private async worker(): Promise<void> {
    while (this.next < this.plan.length && this.options.isStopped?.() !== true) {
      const key = this.plan[this.next]!;
      this.next += 1;
      const known = this.options.known?.get(keyText(key));
      const result = known ?? (await this.options.elsewhere?.(key)) ?? runBlock(this.work, key);
      if (known === undefined) this.options.keep?.(result);
      this.note(result);
      // Lets a signal in between two blocks.
      await new Promise((resolve) => setImmediate(resolve));
    }
  }

  async run(): Promise<readonly BlockResult[]> {
    const count = this.options.atOnce ?? 1;
    await Promise.all(Array.from({ length: count }, () => this.worker()));
    return this.plan.flatMap((key) => this.results.get(keyText(key)) ?? []);
  }
}

/**
 * Runs the blocks of a plan and judges every claim. Results are taken in the order of the plan, so
 * that neither the number of workers nor an interruption changes what is said of complete blocks.
 */
export async function runCampaign(
  work: BlockWork,
  plan: readonly BlockKey[],
  options: CampaignOptions = {},
): Promise<{ readonly results: readonly BlockResult[]; readonly claims: readonly ClaimResult[] }> {
  const results = await new Campaign(work, plan, options).run();
  const { subject } = work;
  const whole = options.whole ?? plan;
  const claims = work.claims.map((claim) => judgeClaim(claim, results, { plan: whole, subject }));
  return { results, claims };
}
