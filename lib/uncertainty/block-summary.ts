import { shortestInterval, symmetricInterval } from "../statistics/coverage-interval.ts";
import type { CoverageInterval } from "../statistics/coverage-interval.ts";

import { sortValues } from "../statistics/sort-values.ts";

/** Statistics of one output over one block of trials. */
export interface BlockSummary extends JoinedBlocks {
  readonly symmetric: CoverageInterval;
  readonly shortest: CoverageInterval;
}

/** Mean and sum of squared deviations of values, in their order, in two passes. */
function spreadOf(values: Float64Array): { mean: number; squares: number } {
  let sum = 0;
  for (let index = 0; index < values.length; index += 1) sum += values[index]!;
  const mean = sum / values.length;
  let [squares, rest] = [0, 0];
  for (let index = 0; index < values.length; index += 1) {
    const deviation = values[index]! - mean;
    rest += deviation;
    squares += deviation * deviation;
  }
  return {
    mean: mean + rest / values.length,
    squares: Math.max(0, squares - (rest * rest) / values.length),
  };
}

/** Summary of a block; `values` is sorted in place afterwards. */
export function summariseBlock(values: Float64Array, coverage: number): BlockSummary {
  const { mean, squares } = spreadOf(values);
  sortValues(values);
  return {
    count: values.length,
    mean,
    squares,
    symmetric: symmetricInterval(values, coverage),
    shortest: shortestInterval(values, coverage),
  };
}

/** Blocks joined so far. */
export interface JoinedBlocks {
  readonly count: number;
  readonly mean: number;
  /** Sum of squares of the deviations from the mean. */
  readonly squares: number;
}

/** Before the first block. */
export const NO_BLOCKS: JoinedBlocks = { count: 0, mean: 0, squares: 0 };

/** Joins one more block; the order of the blocks decides the last digit. */
export function joinBlock(joined: JoinedBlocks, block: JoinedBlocks): JoinedBlocks {
  const count = joined.count + block.count;
  const step = block.mean - joined.mean;
  return {
    count,
    mean: joined.mean + step * (block.count / count),
    squares: joined.squares + block.squares + step * step * ((joined.count * block.count) / count),
  };
}

/** Standard deviation of all trials joined, with n - 1. */
export function deviationOf({ count, squares }: JoinedBlocks): number {
  return count > 1 ? Math.sqrt(squares / (count - 1)) : 0;
}
