import { keyOfSeed, streamOf, uniformOf } from "../../lib/random/stream.ts";
import { philox4x32 } from "../../lib/random/philox.ts";

/** A source of numbers between 0 and 1, both excluded. */
export type Uniform = () => number;

const words = new Uint32Array(4);

/**
 * Numbers of a stream that belongs to a name and a place in a campaign: the same for the same seed,
 * whoever draws before or beside it.
 */
export function seededUniform(seed: number, name: string, place: number): Uniform {
  const key = keyOfSeed(seed);
  const { identifier, drawWord } = streamOf(name);
  let count = 0;
  return () => {
    philox4x32([count, place, identifier, drawWord], key, words);
    count += 1;
    return uniformOf(words[0]!, words[1]!);
  };
}
