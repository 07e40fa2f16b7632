import { OutsideDomainError } from "../errors.ts";
import { philox4x32 } from "./philox.ts";
import type { PhiloxKey } from "./philox.ts";

/**
 * Where a random number comes from: the quantity it is for, and the how-manieth number this
 * quantity takes in one trial. Two identifiers are 56 bits of a hash of the name.
 */
export interface Stream {
  readonly identifier: number;
  /** Upper 24 bits: more of the hash; lower 8 bits: number of the draw. */
  readonly drawWord: number;
  /**
   * `fine`: odd multiples of 2^-53, two from a block of the generator, for distributions with
   * tails. `coarse`: odd multiples of 2^-33, four from a block, enough between two limits.
   */
  readonly resolution: Resolution;
}

/** How finely a stream divides the interval from 0 to 1. */
export type Resolution = "fine" | "coarse";

const TWO_32 = 4_294_967_296;

function mixed(hash: number): number {
  let h = hash;
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return (h ^ (h >>> 16)) >>> 0;
}

/** FNV-1a over the UTF-16 code units, then mixed; `basis` gives independent hashes. */
function hashOf(text: string, basis: number): number {
  let hash = basis;
  for (let index = 0; index < text.length; index += 1) {
    const unit = text.charCodeAt(index);
    hash = Math.imul(hash ^ (unit & 0xff), 0x01000193);
    hash = Math.imul(hash ^ (unit >>> 8), 0x01000193);
  }
  return mixed(hash);
}

/**
 * The stream of a quantity by its name, `draw` from 0 to 255. The same name gives the same numbers
 * in every model, so that adding a quantity leaves the numbers of the others unchanged.
 */
export function streamOf(name: string, draw = 0, resolution: Resolution = "fine"): Stream {
  return {
    resolution,
    identifier: hashOf(name, 0x811c9dc5),
    drawWord: ((hashOf(name, 0x1b873593) & 0xffffff00) | draw) >>> 0,
  };
}

/** The key for a seed: an integer from 0 to 2^53 - 1. Throws OutsideDomainError for any other. */
export function keyOfSeed(seed: number): PhiloxKey {
  if (!Number.isSafeInteger(seed) || seed < 0) {
    throw new OutsideDomainError({
      path: "seed",
      quantity: "seed",
      permitted: "an integer from 0 to 9007199254740991",
      received: String(seed),
    });
  }
  return [seed >>> 0, Math.floor(seed / TWO_32) >>> 0];
}

/** 52 bits and a half: an odd multiple of 2^-53, never 0 and never 1. */
export function uniformOf(high: number, low: number): number {
  return ((high >>> 6) * 67_108_864 + (low >>> 6) + 0.5) * 2.220446049250313e-16;
}

/** Which numbers of a stream are asked for. */
export interface TrialRange {
  readonly key: PhiloxKey;
  readonly stream: Stream;
  /** Number of the first trial, from 0. */
  readonly firstTrial: number;
}

const words = new Uint32Array(4);

/** 32 bits and a half: an odd multiple of 2^-33. */
export function coarseUniformOf(word: number): number {
  return (word + 0.5) * 2.3283064365386963e-10;
}

/** The uniform number of place `place` in a block of the generator. */
function uniformAt(resolution: Resolution, place: number): number {
  return resolution === "coarse"
    ? coarseUniformOf(words[place]!)
    : uniformOf(words[2 * place]!, words[2 * place + 1]!);
}

/**
 * Fills `out` with the uniform numbers of consecutive trials, between 0 and 1, both excluded. The
 * number of a trial depends on key, stream and trial number only; two or four trials share one
 * block of the generator.
 */
export function fillUniforms({ key, stream, firstTrial }: TrialRange, out: Float64Array): void {
  const { identifier, drawWord, resolution } = stream;
  const perBlock = resolution === "coarse" ? 4 : 2;
  for (let index = 0; index < out.length;) {
    const trial = firstTrial + index;
    const block = Math.floor(trial / perBlock);
    const high = Math.floor(block / TWO_32);
    philox4x32([block >>> 0, high, identifier, drawWord], key, words);
    const end = Math.min(out.length, index + perBlock - (trial % perBlock));
    for (let place = trial % perBlock; index < end; place += 1, index += 1)
      out[index] = uniformAt(resolution, place);
  }
}
