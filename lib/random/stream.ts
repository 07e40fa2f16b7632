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
}

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
export function streamOf(name: string, draw = 0): Stream {
  return {
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

/**
 * Fills `out` with the uniform numbers of consecutive trials, between 0 and 1, both excluded, each
 * an odd multiple of 2^-53. The number of a trial depends on key, stream and trial number only;
 * two trials share one block of the generator.
 */
export function fillUniforms({ key, stream, firstTrial }: TrialRange, out: Float64Array): void {
  for (let index = 0; index < out.length;) {
    const trial = firstTrial + index;
    const pair = Math.floor(trial / 2);
    const high = Math.floor(pair / TWO_32);
    philox4x32([pair >>> 0, high, stream.identifier, stream.drawWord], key, words);
    if (trial % 2 === 0) {
      out[index] = uniformOf(words[0]!, words[1]!);
      index += 1;
      if (index === out.length) return;
    }
    out[index] = uniformOf(words[2]!, words[3]!);
    index += 1;
  }
}
