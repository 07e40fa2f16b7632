/**
 * Independent 32-bit words, addressed: the word of a stream at an index is always the same, so
 * that neither the order in which samples are asked for nor the size of a block matters.
 */
export interface RandomWords {
  /** Writes the words of a stream from index `first` on. */
  write(target: Uint32Array, place: { readonly stream: number; readonly first: number }): void;
}

/** Makes the words of a seed. */
export type RandomSource = (seed: number) => RandomWords;
