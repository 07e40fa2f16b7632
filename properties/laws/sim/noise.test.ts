// Falsified by: a word that is not the project's generator's; a value that depends on how many are
// asked for at once; noise whose moments or tails are not those of a cut normal distribution.
import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import { OutsideDomainError } from "../../../lib/errors.ts";
import { philox4x32 } from "../../../lib/random/philox.ts";
import { keyOfSeed, streamOf } from "../../../lib/random/stream.ts";
import { CutNormals } from "../../../sim/cut-normals.ts";
import { philoxWords } from "../../../sim/philox-words.ts";

const seeds = fc.integer({ min: 0, max: Number.MAX_SAFE_INTEGER });
const firsts = fc.integer({ min: -1000, max: 2 ** 39 });

describe("random words", () => {
  it("are those of the project's counter-based generator, from any index on", () => {
    const counts = fc.integer({ min: 1, max: 40 });
    fc.assert(
      fc.property(
        seeds,
        firsts,
        counts,
        fc.integer({ min: 0, max: 7 }),
        (seed, first, n, stream) => {
          const words = new Uint32Array(n);
          philoxWords(seed).write(words, { stream, first });
          const { identifier, drawWord } = streamOf("sampling of a channel", stream);
          const block = new Uint32Array(4);
          for (let k = 0; k < n; k += 1) {
            const index = first + k + 2 ** 40;
            const number = Math.floor(index / 4);
            const high = Math.floor(number / 2 ** 32);
            philox4x32([number >>> 0, high, identifier, drawWord], keyOfSeed(seed), block);
            expect(words[k]).toBe(block[index % 4]);
          }
        },
      ),
      { numRuns: 200, seed: 4501 },
    );
  });

  it("carry where the lower word of a block's number overflows, and come in any quantity", () => {
    for (const [first, count] of [
      [2 ** 34 - 6, 16],
      [-7, 40_000],
    ] as const) {
      const words = new Uint32Array(count);
      philoxWords(8).write(words, { stream: 1, first });
      const { identifier, drawWord } = streamOf("sampling of a channel", 1);
      const block = new Uint32Array(4);
      for (let k = 0; k < count; k += 1) {
        const index = first + k + 2 ** 40;
        const number = Math.floor(index / 4);
        const counter = [number >>> 0, Math.floor(number / 2 ** 32), identifier, drawWord] as const;
        philox4x32(counter, keyOfSeed(8), block);
        if (words[k] !== block[index % 4]) expect.fail(`word ${first + k}`);
      }
    }
  });

  it("a seed that is no whole number is refused", () => {
    expect(() => philoxWords(1.5)).toThrow(OutsideDomainError);
  });
});

describe("cut normal values", () => {
  const COUNT = 400_000;

  function values(cut: number): Float64Array {
    const target = new Float64Array(COUNT);
    new CutNormals(philoxWords(3), cut).add(target, { stream: 0, first: 0, scale: 1 });
    return target;
  }

  it("the same value belongs to a sample however many are asked for", () => {
    fc.assert(
      fc.property(firsts, fc.integer({ min: 1, max: 9 }), (first, count) => {
        const normals = new CutNormals(philoxWords(11), 4);
        const whole = new Float64Array(20);
        normals.add(whole, { stream: 2, first, scale: 2 });
        for (let at = 0; at + count <= 20; at += count) {
          const part = new Float64Array(count);
          normals.add(part, { stream: 2, first: first + at, scale: 2 });
          expect(part).toEqual(whole.subarray(at, at + count));
        }
      }),
      { numRuns: 100, seed: 4502 },
    );
  });

  it.each([
    [2, 0.773741],
    [3, 0.973337],
    [4, 0.998929],
    [6, 0.99999993],
  ])("cut at %s the variance is %s and nothing lies beyond", (cut, variance) => {
    // Variance of a cut normal: 1 - 2 c phi(c) / (2 Phi(c) - 1); computed.
    const drawn = values(cut);
    let [mean, square] = [0, 0];
    for (const value of drawn) {
      mean += value / COUNT;
      square += (value * value) / COUNT;
    }
    expect(Math.abs(mean)).toBeLessThan(4 / Math.sqrt(COUNT));
    expect(Math.abs(square / variance - 1)).toBeLessThan(4 * Math.sqrt(2 / COUNT));
    expect(drawn.every((value) => Math.abs(value) <= cut)).toBe(true);
  });

  it("shares beyond 1, 2 and 3 standard deviations are the normal distribution's", () => {
    // 31.73 %, 4.55 % and 0.27 %: tables of the normal distribution.
    const drawn = values(6);
    for (const [beyond, share] of [
      [1, 0.317311],
      [2, 0.0455],
      [3, 0.0026998],
    ] as const) {
      const found = drawn.filter((value) => Math.abs(value) > beyond).length / COUNT;
      expect(Math.abs(found - share)).toBeLessThan(4 * Math.sqrt(share / COUNT));
    }
  });
});
