/** A stream of numbers that looks random and is the same for the same seed. */
export class SeededRandom {
  private state: number;

  /** `seed` is any 32-bit integer. */
  constructor(seed: number) {
    this.state = seed >>> 0;
  }

  /** An integer from 0 to 2^32 - 1. */
  bits(): number {
    this.state = (this.state + 0x9e3779b9) >>> 0;
    let mixed = this.state;
    mixed = Math.imul(mixed ^ (mixed >>> 16), 0x21f0aaad);
    mixed = Math.imul(mixed ^ (mixed >>> 15), 0x735a2d97);
    return (mixed ^ (mixed >>> 15)) >>> 0;
  }

  /** A number from 0 to less than 1. */
  unit(): number {
    return this.bits() / 2 ** 32;
  }

  /** An integer from 0 to less than `count`. */
  below(count: number): number {
    return Math.floor(this.unit() * count);
  }
}
