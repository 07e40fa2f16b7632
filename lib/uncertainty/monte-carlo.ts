import { shortestInterval, symmetricInterval } from "../statistics/coverage-interval.ts";
import type { CoverageInterval } from "../statistics/coverage-interval.ts";
import { Histogram } from "../statistics/histogram.ts";
import { sortValues } from "../statistics/sort-values.ts";
import { deviationOf, joinBlock, NO_BLOCKS } from "./block-summary.ts";
import type { BlockSummary, JoinedBlocks } from "./block-summary.ts";
import { numericalTolerance } from "./numerical-tolerance.ts";

/** How a Monte Carlo run ends. */
export interface MonteCarloPlan {
  readonly coverageProbability: number;
  /** Digits of the standard uncertainty that count as meaningful. */
  readonly significantDigits: 1 | 2;
  /** A number of trials, or until the figures are stable. */
  readonly trials: number | "adaptive";
  /** The adaptive rule gives up here. */
  readonly mostTrials: number;
  /** Figures are stable when they are known to the numerical tolerance divided by this. */
  readonly toleranceDivisor: number;
  /** Whose ends the rule watches. */
  readonly interval: "symmetric" | "shortest";
  /** Blocks that are made in any case; ten at least where an output is quantised. */
  readonly fewestBlocks: number;
}

/** Blocks of trials that are asked for next; block b holds the trials from b size on. */
export interface BlockRequest {
  readonly firstBlock: number;
  readonly blocks: number;
  /** Trials per block. */
  readonly size: number;
  /** Trials of the last of these blocks: a fixed number of trials may leave a remainder. */
  readonly lastSize: number;
}

/** One block done: a summary and the sorted values of each root, lent for one step. */
export interface BlockResult {
  readonly summaries: readonly BlockSummary[];
  readonly values: readonly Float64Array[];
}

/** What the Monte Carlo found for one output. */
export interface MonteCarloResult {
  readonly trials: number;
  readonly estimate: number;
  readonly standardUncertainty: number;
  readonly symmetricInterval: CoverageInterval;
  readonly shortestInterval: CoverageInterval;
  /** Tolerance on the figures that the significant digits stand for. */
  readonly numericalTolerance: number;
  /**
   * Whether twice the standard deviation of every figure between blocks came down to the
   * tolerance divided as asked.
   */
  readonly isStable: boolean;
  /** `exact`: order statistics of all trials; `histogram`: to 1/4096 of the spread. */
  readonly quantiles: "exact" | "histogram";
}

/** Values that are kept for exact quantiles; 8 bytes each. */
const MOST_KEPT = 1 << 20;

/** Trials that are asked for at once, where a block has no more. */
const MOST_AT_ONCE = 640_000;

/** Number of trials in a block. Source: JCGM 101:2008, 7.9.4 b). */
export function blockSize(coverageProbability: number): number {
  // The quotient of 100 and 1 - 0.99 comes out a little above 10 000.
  return Math.max(Math.ceil(100 / (1 - coverageProbability) - 1e-6), 10_000);
}

/** All the blocks that a plan may ask for. */
export interface BlockRange {
  readonly blocks: number;
  readonly size: number;
  /** Trials of the very last block: a fixed number of trials may leave a remainder. */
  readonly lastSize: number;
}

/** The blocks of a plan. */
export function blockRange({
  coverageProbability,
  trials,
  mostTrials,
}: MonteCarloPlan): BlockRange {
  const size = blockSize(coverageProbability);
  const total = trials === "adaptive" ? mostTrials : trials;
  const blocks = Math.max(1, Math.floor(total / size));
  return { blocks, size, lastSize: trials === "adaptive" ? size : total - (blocks - 1) * size };
}

/** Mean of a figure over blocks and the standard deviation of that mean, running. */
class RunningFigure {
  private count = 0;
  private mean = 0;
  private squares = 0;

  add(value: number): void {
    this.count += 1;
    const step = value - this.mean;
    this.mean += step / this.count;
    this.squares += step * (value - this.mean);
  }

  deviationOfMean(): number {
    if (this.count < 2) return Infinity;
    return Math.sqrt(this.squares / (this.count * (this.count - 1)));
  }
}

/** Everything gathered of one root. */
class RootRecord {
  private joined: JoinedBlocks = NO_BLOCKS;
  private readonly figures = Array.from({ length: 4 }, () => new RunningFigure());
  private kept: Float64Array[] = [];
  private histogram: Histogram | undefined;
  private readonly plan: MonteCarloPlan;

  constructor(plan: MonteCarloPlan) {
    this.plan = plan;
  }

  add(summary: BlockSummary, values: Float64Array, mayKeep: boolean): void {
    this.joined = joinBlock(this.joined, summary);
    const interval = summary[this.plan.interval];
    const deviation = Math.sqrt(summary.squares / Math.max(1, summary.count - 1));
    [summary.mean, deviation, interval.lower, interval.upper].forEach((figure, index) =>
      this.figures[index]!.add(figure),
    );
    if (mayKeep) this.kept.push(values.slice());
    else this.count(values);
  }

  private count(values: Float64Array): void {
    if (this.histogram === undefined) {
      const { mean } = this.joined;
      const standardDeviation = deviationOf(this.joined);
      const spread = standardDeviation > 0 ? standardDeviation : Math.abs(mean) || 1;
      this.histogram = new Histogram({ centre: mean, spread });
      for (const block of this.kept) this.histogram.add(block);
      this.kept = [];
    }
    this.histogram.add(values);
  }

  /** Largest ratio of twice a figure's standard deviation to what is permitted; 0 when still. */
  unrest(): number {
    const standardDeviation = deviationOf(this.joined);
    const { significantDigits, toleranceDivisor } = this.plan;
    const permitted = numericalTolerance(standardDeviation, significantDigits) / toleranceDivisor;
    const widest = Math.max(...this.figures.map((figure) => 2 * figure.deviationOfMean()));
    return widest === 0 ? 0 : widest / permitted;
  }

  result(isStable: boolean): MonteCarloResult {
    const { coverageProbability, significantDigits } = this.plan;
    const { mean, count: trials } = this.joined;
    const standardDeviation = deviationOf(this.joined);
    const facts = {
      trials,
      estimate: mean,
      standardUncertainty: standardDeviation,
      numericalTolerance: numericalTolerance(standardDeviation, significantDigits),
      isStable,
    };
    if (this.histogram !== undefined) {
      return {
        ...facts,
        symmetricInterval: this.histogram.symmetricInterval(coverageProbability),
        shortestInterval: this.histogram.shortestInterval(coverageProbability),
        quantiles: "histogram",
      };
    }
    const all = new Float64Array(trials);
    let place = 0;
    for (const block of this.kept) {
      all.set(block, place);
      place += block.length;
    }
    sortValues(all);
    return {
      ...facts,
      symmetricInterval: symmetricInterval(all, coverageProbability),
      shortestInterval: shortestInterval(all, coverageProbability),
      quantiles: "exact",
    };
  }
}

/**
 * The adaptive procedure as a dialogue: it asks for blocks of trials and is given their results,
 * in order, by whoever runs it, on one core or many. What it decides depends on the blocks by
 * number only; blocks asked for ahead and not needed are left out.
 *
 * `roots` is the number of functions evaluated, of which the first `reported` are outputs and the
 * others have only to be stable too.
 *
 * Source: JCGM 101:2008, 7.9.
 */
export function* monteCarlo(
  plan: MonteCarloPlan,
  { roots, reported }: { readonly roots: number; readonly reported: number },
): Generator<BlockRequest, MonteCarloResult[], readonly BlockResult[]> {
  const records = Array.from({ length: roots }, () => new RootRecord(plan));
  const { blocks: most, size, lastSize } = blockRange(plan);
  const isFixed = plan.trials !== "adaptive";
  let done = 0;
  let batch = Math.min(most, Math.max(2, plan.fewestBlocks));
  let isStable = false;
  const isQuiet = (): boolean => done >= 2 && records.every((record) => record.unrest() <= 1);
  while (done < most) {
    if (isStable && !isFixed) break;
    const results = yield {
      firstBlock: done,
      blocks: batch,
      size,
      lastSize: done + batch === most ? lastSize : size,
    };
    for (const { summaries, values } of results) {
      done += 1;
      const mayKeep = done * size * roots <= MOST_KEPT;
      records.forEach((record, root) => record.add(summaries[root]!, values[root]!, mayKeep));
      isStable = done >= plan.fewestBlocks && isQuiet();
      if (isStable && !isFixed) break;
    }
    // The deviations fall with the root of the number of blocks.
    const unrest = Math.max(...records.map((record) => record.unrest()));
    const needed = Number.isFinite(unrest) ? Math.ceil(done * (unrest * unrest - 1)) : done;
    const atOnce = Math.max(1, Math.floor(MOST_AT_ONCE / size));
    batch = Math.min(most - done, atOnce, isFixed ? atOnce : Math.max(1, needed));
  }
  return records.slice(0, reported).map((record) => record.result(isStable));
}
