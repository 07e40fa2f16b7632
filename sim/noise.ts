import { invariant } from "../lib/errors.ts";
import { codeNoise } from "../lib/design/converter-quantities.ts";
import type { Design } from "../lib/design/design.ts";
import { normalProbability } from "../lib/statistics/normal-probability.ts";
import { normalQuantile } from "../lib/statistics/normal-quantile.ts";
import type { Noise } from "./scenario.ts";

/**
 * Independent 32-bit words, addressed: the word of a stream at an index is always the same, so
 * that neither the order in which samples are asked for nor the size of a block matters.
 */
export interface RandomWords {
  /** Fills with the words of a stream from index `first` on. */
  fill(target: Uint32Array, place: { readonly stream: number; readonly first: number }): void;
}

/** Makes the words of a seed. */
export type RandomSource = (seed: number) => RandomWords;

const CELLS = 65536;

const tables = new Map<number, Float32Array>();

/**
 * Quantiles of the standard normal distribution cut at a multiple of its standard deviation, at
 * equal steps of probability. Kept to single precision: the last bits of the logarithm inside may
 * differ between engines, these do not.
 */
function quantileTable(cut: number): Float32Array {
  const earlier = tables.get(cut);
  if (earlier !== undefined) return earlier;
  const outside = normalProbability(-cut);
  const table = Float32Array.from({ length: CELLS + 1 }, (_, index) => {
    const share = index / CELLS;
    return normalQuantile(outside + share * (1 - 2 * outside));
  });
  table[0] = -cut;
  table[CELLS] = cut;
  tables.set(cut, table);
  return table;
}

/** Standard normal values cut at a multiple: inverse distribution function, one word each. */
export class CutNormals {
  private readonly table: Float32Array;
  private readonly words: RandomWords;
  private scratch = new Uint32Array(0);

  constructor(words: RandomWords, cut: number) {
    this.words = words;
    this.table = quantileTable(cut);
  }

  /** Adds `scale` times the values of a stream to the target, from index `first` on. */
  add(target: Float64Array, place: Place, scale: number): void {
    const { length } = target;
    if (this.scratch.length !== length) this.scratch = new Uint32Array(length);
    const { scratch, table } = this;
    this.words.fill(scratch, place);
    for (let k = 0; k < length; k += 1) {
      const word = scratch[k]!;
      const cell = word >>> 16;
      const low = table[cell]!;
      // Middles of 65 536 steps inside each cell.
      const share = ((word & 0xffff) + 0.5) * (1 / 65536);
      target[k]! += scale * (low + share * (table[cell + 1]! - low));
    }
  }
}

interface Place {
  readonly stream: number;
  readonly first: number;
}

/** Streams of one channel: noise, jitter, and noise of the two adjustment readings. */
export const STREAMS_PER_CHANNEL = 4;

/** Adds noise to code positions. */
export interface NoiseAdder {
  /** Adds noise, LSB, to the values of samples from index `first` on. */
  (target: Float64Array, place: Place): void;
}

function silence(): void {}

/** What random noise needs. */
export interface NoiseParts {
  readonly design: Design;
  readonly words: RandomWords | undefined;
}

/** The noise of a scenario. */
export function noiseOf(noise: Noise, parts?: NoiseParts): NoiseAdder {
  if (noise.kind === "none") return silence;
  if (noise.kind === "sequence") {
    const { first, values } = noise;
    return (target, place) => {
      if (place.stream % STREAMS_PER_CHANNEL !== 0) return;
      for (let k = 0; k < target.length; k += 1) target[k]! += values[place.first + k - first] ?? 0;
    };
  }
  invariant(parts?.words !== undefined, "random noise has a source of words");
  const normals = new CutNormals(parts.words, noise.cut);
  const sigma = codeNoise(parts.design).toNumber();
  return (target, place) => normals.add(target, place, sigma);
}
