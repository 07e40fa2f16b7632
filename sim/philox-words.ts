import { keyOfSeed, streamOf } from "../lib/random/stream.ts";
import type { RandomWords } from "./random-words.ts";
import { philoxKernel } from "./philox-kernel.ts";

const TWO_32 = 4_294_967_296;
const WORDS = 4;

/** Words before the first that can be asked for: samples before instant zero have indices below 0. */
const ORIGIN = 2 ** 40;

const kernel = philoxKernel();
const { words } = kernel;
const MOST_BLOCKS = words.length / WORDS;

/**
 * Random words from the counter-based generator that the whole project uses: block `index / 4` of
 * the stream named "sampling of a channel" with the stream's number as its draw. A test holds them
 * against the generator in lib/random. Throws OutsideDomainError unless the seed is an integer from
 * 0 to 2^53 - 1.
 */
export function philoxWords(seed: number): RandomWords {
  const [key0, key1] = keyOfSeed(seed);
  const streams = new Map<number, { readonly identifier: number; readonly drawWord: number }>();
  const streamAt = (stream: number) => {
    const known = streams.get(stream);
    if (known !== undefined) return known;
    const { identifier, drawWord } = streamOf("sampling of a channel", stream & 0xff);
    const made = { identifier, drawWord };
    streams.set(stream, made);
    return made;
  };
  return {
    write(target, { stream, first }) {
      const { identifier, drawWord } = streamAt(stream);
      let number = Math.floor((first + ORIGIN) / WORDS);
      let skipped = first + ORIGIN - number * WORDS;
      for (let done = 0; done < target.length; skipped = 0) {
        const wanted = target.length - done;
        const blocks = Math.min(Math.ceil((wanted + skipped) / WORDS), MOST_BLOCKS);
        const high = Math.floor(number / TWO_32);
        kernel.generate({ low: number, high, identifier, drawWord, key0, key1 }, blocks);
        const count = Math.min(wanted, WORDS * blocks - skipped);
        target.set(words.subarray(skipped, skipped + count), done);
        done += count;
        number += blocks;
      }
    },
  };
}
