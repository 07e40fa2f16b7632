import { OutsideDomainError } from "../errors.ts";
import { SOBOL_DIRECTIONS } from "./sobol-directions.ts";

const BITS = 32;

/** Direction numbers of a dimension, most significant bit first. */
function directionsOf(dimension: number, lines: readonly string[]): Uint32Array {
  const directions = new Uint32Array(BITS);
  if (dimension === 0) {
    for (let bit = 0; bit < BITS; bit += 1) directions[bit] = 2 ** (BITS - 1 - bit);
    return directions;
  }
  const [degree = 0, inner = 0, ...initial] = lines[dimension - 1]!.split(" ").map(Number);
  for (let bit = 0; bit < BITS; bit += 1) {
    if (bit < degree) {
      directions[bit] = initial[bit]! * 2 ** (BITS - 1 - bit);
      continue;
    }
    let value = directions[bit - degree]! ^ (directions[bit - degree]! >>> degree);
    for (let step = 1; step < degree; step += 1)
      if (((inner >>> (degree - 1 - step)) & 1) === 1) value ^= directions[bit - step]!;
    directions[bit] = value >>> 0;
  }
  return directions;
}

function reversed(word: number): number {
  let x = word;
  x = ((x >>> 1) & 0x55555555) | ((x & 0x55555555) << 1);
  x = ((x >>> 2) & 0x33333333) | ((x & 0x33333333) << 2);
  x = ((x >>> 4) & 0x0f0f0f0f) | ((x & 0x0f0f0f0f) << 4);
  x = ((x >>> 8) & 0x00ff00ff) | ((x & 0x00ff00ff) << 8);
  return ((x >>> 16) | (x << 16)) >>> 0;
}

/**
 * Nested uniform scramble of a 32-bit fraction: each bit is flipped or not by a hash of the bits
 * above it, so that the points keep their even spread in every elementary interval.
 *
 * Source: Owen (1995); as a hash: Burley, "Practical hash-based Owen scrambling", JCGT 9 (2020),
 * with the permutation of Laine and Karras (constants from memory; any even ones would do).
 */
export function owenScramble(fraction: number, seed: number): number {
  let x = reversed(fraction);
  x = (x + seed) >>> 0;
  x ^= Math.imul(x, 0x6c50b47c);
  x ^= Math.imul(x, 0xb82f1e52);
  x ^= Math.imul(x, 0xc7afe638);
  x ^= Math.imul(x, 0x8d22f6e6);
  return reversed(x >>> 0);
}

/** Number of dimensions that direction numbers are listed for. */
export const MOST_DIMENSIONS = 128;

/**
 * Sobol points in the unit cube, scrambled: far more even than random points, for means, standard
 * uncertainties and sensitivities of models with few kinks. Best in counts that are powers of 2.
 * They are not independent: no order statistics and no binomial statement may rest on them.
 */
export class ScrambledPoints {
  private readonly directions: readonly Uint32Array[];
  private readonly seeds: Uint32Array;

  /**
   * One seed per dimension, 32-bit integers. Throws OutsideDomainError for more than 128.
   */
  constructor(seeds: ArrayLike<number>) {
    if (seeds.length < 1 || seeds.length > MOST_DIMENSIONS) {
      throw new OutsideDomainError({
        path: "",
        quantity: "number of dimensions",
        permitted: `1 to ${MOST_DIMENSIONS}`,
        received: String(seeds.length),
      });
    }
    const lines = SOBOL_DIRECTIONS.trim().split("\n");
    this.seeds = Uint32Array.from(seeds);
    this.directions = Array.from(seeds, (_, dimension) => directionsOf(dimension, lines));
  }

  /** Coordinate before scrambling, as a 32-bit fraction; index below 2^32, in Gray-code order. */
  unscrambled(index: number, dimension: number): number {
    const directions = this.directions[dimension]!;
    let gray = (index ^ (index >>> 1)) >>> 0;
    let value = 0;
    for (let bit = 0; gray !== 0; bit += 1, gray >>>= 1)
      if ((gray & 1) === 1) value ^= directions[bit]!;
    return value >>> 0;
  }

  /** Coordinate of point number `index`, between 0 and 1, both excluded. */
  coordinate(index: number, dimension: number): number {
    const fraction = this.unscrambled(index, dimension);
    return (owenScramble(fraction, this.seeds[dimension]!) + 0.5) / 4_294_967_296;
  }
}
