import { normalProbability } from "../lib/statistics/normal-probability.ts";
import { normalQuantile } from "../lib/statistics/normal-quantile.ts";
import type { RandomWords } from "./random-words.ts";

const CELLS = 65536;

const tables = new Map<number, Float32Array>();

/**
 * Quantiles of the standard normal distribution cut at a multiple of its standard deviation, in the
 * middles of equal cells of probability: 65 536 values, at most 0.0001 standard deviations apart
 * inside two of them. Kept to single precision: the last bits of the logarithm inside may
 * differ between engines, these do not.
 */
function quantileTable(cut: number): Float32Array {
  const earlier = tables.get(cut);
  if (earlier !== undefined) return earlier;
  const outside = normalProbability(-cut);
  const table = Float32Array.from({ length: CELLS }, (_, index) => {
    const share = (index + 0.5) / CELLS;
    return normalQuantile(outside + share * (1 - 2 * outside));
  });
  tables.set(cut, table);
  return table;
}

/** Standard normal values cut at a multiple: inverse distribution function, half a word each. */
export class CutNormals {
  private readonly table: Float32Array;
  private readonly words: RandomWords;
  private scratch = new Uint32Array(0);

  constructor(words: RandomWords, cut: number) {
    this.words = words;
    this.table = quantileTable(cut);
  }

  /** Adds `scale` times the values of a stream to the target, from index `first` on. */
  add(target: Float64Array, { stream, first, scale }: NoisePlace): void {
    const { length } = target;
    // Two values to a word: the halves of one word belong to an even sample and the next.
    const begin = Math.floor(first / 2);
    const count = Math.floor((first + length - 1) / 2) - begin + 1;
    if (this.scratch.length !== count) this.scratch = new Uint32Array(count);
    const { scratch, table } = this;
    this.words.write(scratch, { stream, first: begin });
    let k = first - 2 * begin;
    if (k === 1) target[0]! += scale * table[scratch[0]! & 0xffff]!;
    for (let at = k; k + 1 < length; at += 1, k += 2) {
      const word = scratch[at]!;
      target[k]! += scale * table[word >>> 16]!;
      target[k + 1]! += scale * table[word & 0xffff]!;
    }
    if (k < length) target[k]! += scale * table[scratch[count - 1]! >>> 16]!;
  }
}

/** Which values are added, and how much of them. */
export interface NoisePlace {
  readonly stream: number;
  /** Sample of the first value. */
  readonly first: number;
  /** Unit of the target for one LSB, or one standard deviation. */
  readonly scale: number;
}
