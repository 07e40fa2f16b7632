// Falsified by: a word of a published test vector that differs, a uniform number that depends on
// anything but seed, stream and trial, or numbers that are not uniform or not independent.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { OutsideDomainError } from "../../../lib/errors.ts";
import { philox4x32 } from "../../../lib/random/philox.ts";
import type { PhiloxBlock, PhiloxKey } from "../../../lib/random/philox.ts";
import {
  coarseUniformOf,
  fillUniforms,
  keyOfSeed,
  streamOf,
  uniformOf,
} from "../../../lib/random/stream.ts";

/** philox4x32, 10 rounds, of the known-answer tests that go with the paper's reference code. */
const KNOWN: readonly (readonly [PhiloxBlock, PhiloxKey, PhiloxBlock])[] = [
  [
    [0, 0, 0, 0],
    [0, 0],
    [0x6627e8d5, 0xe169c58d, 0xbc57ac4c, 0x9b00dbd8],
  ],
  [
    [0xffffffff, 0xffffffff, 0xffffffff, 0xffffffff],
    [0xffffffff, 0xffffffff],
    [0x408f276d, 0x41c83b0e, 0xa20bc7c6, 0x6d5451fd],
  ],
  [
    [0x243f6a88, 0x85a308d3, 0x13198a2e, 0x03707344],
    [0xa4093822, 0x299f31d0],
    [0xd16cfe09, 0x94fdcceb, 0x5001e420, 0x24126ea1],
  ],
];

const word = fc.integer({ min: 0, max: 0xffffffff });

/** The paper's rounds in integers without limit. */
function philoxInIntegers(counter: readonly bigint[], key: readonly bigint[]): bigint[] {
  let [c0 = 0n, c1 = 0n, c2 = 0n, c3 = 0n] = counter;
  let [k0 = 0n, k1 = 0n] = key;
  const mask = 0xffffffffn;
  for (let round = 0; round < 10; round += 1) {
    const p0 = c0 * 0xd2511f53n;
    const p1 = c2 * 0xcd9e8d57n;
    [c0, c1, c2, c3] = [(p1 >> 32n) ^ c1 ^ k0, p1 & mask, (p0 >> 32n) ^ c3 ^ k1, p0 & mask];
    k0 = (k0 + 0x9e3779b9n) & mask;
    k1 = (k1 + 0xbb67ae85n) & mask;
  }
  return [c0, c1, c2, c3];
}

describe("the generator", () => {
  test.each(KNOWN)("reproduces the published vector for %o", (counter, key, expected) => {
    const out = new Uint32Array(4);
    philox4x32(counter, key, out);
    expect([...out]).toEqual(expected);
  });

  test("agrees with the same rounds in integers without limit", () => {
    const block = fc.tuple(word, word, word, word);
    fc.assert(
      fc.property(block, fc.tuple(word, word), (counter, key) => {
        const out = new Uint32Array(4);
        philox4x32(counter, key, out);
        expect([...out].map(BigInt)).toEqual(
          philoxInIntegers(counter.map(BigInt), key.map(BigInt)),
        );
      }),
      { numRuns: 500 },
    );
  });
});

function uniforms(name: string, firstTrial: number, count: number, seed = 7): Float64Array {
  const out = new Float64Array(count);
  // The names of coarse streams begin with a c here.
  const stream = streamOf(name, 0, name.startsWith("c") ? "coarse" : "fine");
  fillUniforms({ key: keyOfSeed(seed), stream, firstTrial }, out);
  return out;
}

describe("the uniform numbers", () => {
  test.each(["x", "coarse"])("of a trial do not depend on the block it is made in: %s", (name) => {
    const whole = uniforms(name, 1_000, 64);
    fc.assert(
      fc.property(fc.nat({ max: 63 }), fc.integer({ min: 1, max: 64 }), (from, length) => {
        const count = Math.min(length, 64 - from);
        const part = uniforms(name, 1_000 + from, count);
        expect(part).toEqual(whole.slice(from, from + count));
      }),
    );
  });

  test("go on beyond 2^33 trials without coming back to the first", () => {
    expect([...uniforms("x", 2 ** 33, 4)]).not.toEqual([...uniforms("x", 0, 4)]);
    expect([...uniforms("x", 2 ** 33 - 2, 4)].slice(2)).toEqual([...uniforms("x", 2 ** 33, 2)]);
  });

  test("are odd multiples of 2^-53 or 2^-33 that reach neither 0 nor 1", () => {
    expect([coarseUniformOf(0), coarseUniformOf(0xffffffff)]).toEqual([2 ** -33, 1 - 2 ** -33]);
    expect(uniformOf(0, 0)).toBe(2 ** -53);
    expect(uniformOf(0xffffffff, 0xffffffff)).toBe(1 - 2 ** -53);
    fc.assert(
      fc.property(word, word, (high, low) => {
        const multiple = uniformOf(high, low) * 2 ** 53;
        expect(multiple % 2).toBe(1);
        expect(Math.abs(multiple / 2 ** 53 - (high + low / 2 ** 32) / 2 ** 32)).toBeLessThan(1e-7);
      }),
    );
  });

  test.each(["uniform", "coarse"])(
    "are uniform: chi-square over 256 classes, moments: %s",
    (name) => {
      const count = 1 << 18;
      const values = uniforms(name, 0, count);
      const classes = new Float64Array(256);
      let [mean, square] = [0, 0];
      for (const value of values) {
        classes[Math.floor(value * 256)]! += 1;
        mean += value / count;
        square += (value - 0.5) ** 2 / count;
      }
      const expected = count / 256;
      const chiSquare = classes.reduce((sum, seen) => sum + (seen - expected) ** 2 / expected, 0);
      // Five standard deviations of chi-square with 255 degrees of freedom.
      expect(Math.abs(chiSquare - 255)).toBeLessThan(5 * Math.sqrt(2 * 255));
      expect(Math.abs(mean - 0.5)).toBeLessThan(5 / Math.sqrt(12 * count));
      expect(Math.abs(square - 1 / 12)).toBeLessThan(5 * Math.sqrt(1 / 180 / count));
    },
  );

  test.each([
    ["two quantities", () => uniforms("gain", 0, 1 << 16), () => uniforms("gain_1", 0, 1 << 16)],
    ["two coarse quantities", () => uniforms("c", 0, 1 << 16), () => uniforms("c1", 0, 1 << 16)],
    ["neighbouring coarse ones", () => uniforms("c", 0, 1 << 16), () => uniforms("c", 1, 1 << 16)],
    ["two seeds", () => uniforms("x", 0, 1 << 16, 1), () => uniforms("x", 0, 1 << 16, 2)],
    ["neighbouring trials", () => uniforms("x", 0, 1 << 16), () => uniforms("x", 1, 1 << 16)],
  ])("of %s are uncorrelated and fill the square evenly", (_, one, other) => {
    const [a, b] = [one(), other()];
    let correlation = 0;
    const cells = new Float64Array(256);
    a.forEach((value, index) => {
      const second = b[index]!;
      correlation += (12 * (value - 0.5) * (second - 0.5)) / a.length;
      cells[16 * Math.floor(16 * value) + Math.floor(16 * second)]! += 1;
    });
    expect(Math.abs(correlation)).toBeLessThan(5 / Math.sqrt(a.length));
    const expected = a.length / 256;
    const chiSquare = cells.reduce((sum, seen) => sum + (seen - expected) ** 2 / expected, 0);
    expect(Math.abs(chiSquare - 255)).toBeLessThan(5 * Math.sqrt(2 * 255));
  });

  test("have a seed that is a non-negative integer", () => {
    for (const seed of [-1, 0.5, Number.NaN, 2 ** 53])
      expect(() => keyOfSeed(seed)).toThrow(OutsideDomainError);
    expect(keyOfSeed(2 ** 32 + 5)).toEqual([5, 1]);
  });

  test("of different draws and names come from different streams", () => {
    const names = Array.from({ length: 5_000 }, (_, index) => `q${index}`);
    const streams = names.flatMap((name) => [streamOf(name, 0), streamOf(name, 1)]);
    const distinct = new Set(streams.map((stream) => `${stream.identifier}/${stream.drawWord}`));
    expect(distinct.size).toBe(streams.length);
  });
});
