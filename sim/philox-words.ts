import { philox4x32 } from "../lib/random/philox.ts";
import { keyOfSeed, streamOf } from "../lib/random/stream.ts";
import type { RandomWords } from "./noise.ts";

const TWO_32 = 4_294_967_296;
const WORDS = 4;

/**
 * Random words from the counter-based generator that the whole project uses. Throws
 * OutsideDomainError unless the seed is an integer from 0 to 2^53 - 1.
 */
export function philoxWords(seed: number): RandomWords {
  const key = keyOfSeed(seed);
  const block = new Uint32Array(WORDS);
  return {
    fill(target, { stream, first }) {
      const { identifier, drawWord } = streamOf("sampling of a channel", stream & 0xff);
      let made = Number.NaN;
      for (let k = 0; k < target.length; k += 1) {
        // Samples before the first have indices below zero: 2^40 keeps the counter positive.
        const index = first + k + 2 ** 40;
        const number = Math.floor(index / WORDS);
        if (number !== made) {
          const high = Math.floor(number / TWO_32);
          philox4x32([number >>> 0, high, identifier, drawWord], key, block);
          made = number;
        }
        target[k] = block[index - number * WORDS]!;
      }
    },
  };
}
