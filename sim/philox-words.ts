import { keyOfSeed, streamOf } from "../lib/random/stream.ts";
import type { RandomWords } from "./noise.ts";

const TWO_32 = 4_294_967_296;
const WORDS = 4;

/** Words before the first that can be asked for: samples before instant zero have indices below 0. */
const ORIGIN = 2 ** 40;

/** Upper 32 bits of a times 0xd2511f53, from products of halves. */
function highOfFirst(a: number): number {
  const low = a & 0xffff;
  const high = a >>> 16;
  const carry = (Math.imul(high, 0x1f53) + (Math.imul(low, 0x1f53) >>> 16)) >>> 0;
  const other = (Math.imul(low, 0xd251) + (carry & 0xffff)) >>> 0;
  return (Math.imul(high, 0xd251) + (carry >>> 16) + (other >>> 16)) >>> 0;
}

/** Upper 32 bits of a times 0xcd9e8d57. */
function highOfSecond(a: number): number {
  const low = a & 0xffff;
  const high = a >>> 16;
  const carry = (Math.imul(high, 0x8d57) + (Math.imul(low, 0x8d57) >>> 16)) >>> 0;
  const other = (Math.imul(low, 0xcd9e) + (carry & 0xffff)) >>> 0;
  return (Math.imul(high, 0xcd9e) + (carry >>> 16) + (other >>> 16)) >>> 0;
}

/** Place of a block of four words, and the key. */
interface BlockPlace {
  readonly key0: number;
  readonly key1: number;
  readonly identifier: number;
  readonly drawWord: number;
}

/**
 * The project's counter-based generator (lib/random), spelled out for the sampling loop: the same
 * words without an object per block. A test holds the two together.
 */
function writeBlock(number: number, place: BlockPlace, out: Uint32Array, at: number): void {
  let c0 = number | 0;
  let c1 = Math.floor(number / TWO_32) | 0;
  let c2 = place.identifier | 0;
  let c3 = place.drawWord | 0;
  let k0 = place.key0 | 0;
  let k1 = place.key1 | 0;
  for (let round = 0; round < 10; round += 1) {
    const high0 = highOfFirst(c0);
    const high1 = highOfSecond(c2);
    const low0 = Math.imul(c0, 0xd2511f53);
    const low1 = Math.imul(c2, 0xcd9e8d57);
    c0 = high1 ^ c1 ^ k0;
    c1 = low1;
    c2 = high0 ^ c3 ^ k1;
    c3 = low0;
    k0 = (k0 + 0x9e3779b9) | 0;
    k1 = (k1 + 0xbb67ae85) | 0;
  }
  out[at] = c0;
  out[at + 1] = c1;
  out[at + 2] = c2;
  out[at + 3] = c3;
}

/**
 * Random words from the counter-based generator that the whole project uses: block `index / 4` of
 * the stream named "sampling of a channel" with the stream's number as its draw. Throws
 * OutsideDomainError unless the seed is an integer from 0 to 2^53 - 1.
 */
export function philoxWords(seed: number): RandomWords {
  const [key0, key1] = keyOfSeed(seed);
  const places = new Map<number, BlockPlace>();
  const placeOf = (stream: number): BlockPlace => {
    const known = places.get(stream);
    if (known !== undefined) return known;
    const place = { key0, key1, ...streamOf("sampling of a channel", stream & 0xff) };
    places.set(stream, place);
    return place;
  };
  const block = new Uint32Array(WORDS);
  return {
    write(target, { stream, first }) {
      const place = placeOf(stream);
      let number = Math.floor((first + ORIGIN) / WORDS);
      let word = first + ORIGIN - number * WORDS;
      for (let k = 0; k < target.length; number += 1) {
        if (word === 0 && k + WORDS <= target.length) {
          writeBlock(number, place, target, k);
          k += WORDS;
          continue;
        }
        writeBlock(number, place, block, 0);
        for (; word < WORDS && k < target.length; word += 1, k += 1) target[k] = block[word]!;
        word = 0;
      }
    },
  };
}
