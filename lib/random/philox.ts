/** Multipliers and key increments of Philox4x32. */
const MULTIPLIER_0 = 0xd2511f53;
const MULTIPLIER_1 = 0xcd9e8d57;
const KEY_STEP_0 = 0x9e3779b9;
const KEY_STEP_1 = 0xbb67ae85;
const ROUNDS = 10;

/** Upper 32 bits of the product of two unsigned 32-bit integers. */
function multiplyHigh(a: number, b: number): number {
  const aLow = a & 0xffff;
  const aHigh = a >>> 16;
  const bLow = b & 0xffff;
  const bHigh = b >>> 16;
  // Each partial product is below 2^32 - 2^17 + 2, so that one carry always fits beside it.
  const low = Math.imul(aLow, bLow) >>> 16;
  const middle = (Math.imul(aHigh, bLow) + low) >>> 0;
  const other = (Math.imul(aLow, bHigh) + (middle & 0xffff)) >>> 0;
  return (Math.imul(aHigh, bHigh) + (middle >>> 16) + (other >>> 16)) >>> 0;
}

/** Four 32-bit words. */
export type PhiloxBlock = readonly [number, number, number, number];

/** Two 32-bit words, the seed of a whole run. */
export type PhiloxKey = readonly [number, number];

/** Room for one result, so that a loop makes no new objects. */
export type PhiloxWords = Uint32Array;

/**
 * Four random 32-bit words for a counter and a key, written to `out`: a bijection of the counter
 * for each key, so that any number of any stream can be made without those before it.
 *
 * Source: Philox4x32 with 10 rounds; Salmon, Moraes, Dror, Shaw, "Parallel random numbers: as easy
 * as 1, 2, 3", SC11 (2011).
 */
export function philox4x32(counter: PhiloxBlock, key: PhiloxKey, out: PhiloxWords): void {
  let [c0, c1, c2, c3] = counter;
  let [k0, k1] = key;
  for (let round = 0; round < ROUNDS; round += 1) {
    const high0 = multiplyHigh(c0, MULTIPLIER_0);
    const low0 = Math.imul(c0, MULTIPLIER_0);
    const high1 = multiplyHigh(c2, MULTIPLIER_1);
    const low1 = Math.imul(c2, MULTIPLIER_1);
    c0 = (high1 ^ c1 ^ k0) >>> 0;
    c1 = low1 >>> 0;
    c2 = (high0 ^ c3 ^ k1) >>> 0;
    c3 = low0 >>> 0;
    k0 = (k0 + KEY_STEP_0) >>> 0;
    k1 = (k1 + KEY_STEP_1) >>> 0;
  }
  out[0] = c0;
  out[1] = c1;
  out[2] = c2;
  out[3] = c3;
}
