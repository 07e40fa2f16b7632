// Falsified by: a point that differs from the published direction numbers' sequence, a scramble
// that is no permutation or breaks the even spread, or an integral that converges no faster than
// with random points.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { OutsideDomainError } from "../../../lib/errors.ts";
import { owenScramble, ScrambledPoints } from "../../../lib/random/scrambled-points.ts";

const DIMENSIONS = [0, 1, 2, 7, 30, 64, 100, 127] as const;

/** Unscrambled points times 2^32 by a widely used scientific library, same direction numbers. */
const REFERENCE: readonly (readonly [index: number, coordinates: readonly number[]])[] = [
  [
    2,
    [
      3221225472, 1073741824, 1073741824, 3221225472, 1073741824, 3221225472, 1073741824,
      1073741824,
    ],
  ],
  [
    5,
    [3758096384, 3758096384, 536870912, 1610612736, 3758096384, 3758096384, 536870912, 536870912],
  ],
  [
    100,
    [1778384896, 1107296256, 3321888768, 2046820352, 3053453312, 838860800, 167772160, 1979711488],
  ],
  [
    1023,
    [4194304, 3233808384, 2629828608, 2654994432, 3988783104, 423624704, 1019215872, 3007315968],
  ],
];

const seeds = Uint32Array.from({ length: 128 }, (_, index) => Math.imul(index + 1, 0x9e3779b9));
const points = new ScrambledPoints(seeds);

describe("the points", () => {
  test.each(REFERENCE)("number %s is the published one before scrambling", (index, expected) => {
    const found = DIMENSIONS.map((dimension) => points.unscrambled(index, dimension));
    expect(found).toEqual(expected);
  });

  test("put one coordinate into each of 2^k equal parts, in every dimension, scrambled too", () => {
    for (let dimension = 0; dimension < 128; dimension += 1) {
      const seen = new Set<number>();
      for (let index = 0; index < 256; index += 1)
        seen.add(Math.floor(points.coordinate(index, dimension) * 256));
      expect(seen.size).toBe(256);
    }
  });

  test("stay inside the unit cube and refuse more dimensions than are listed", () => {
    for (let index = 0; index < 2_000; index += 1) {
      expect(points.coordinate(index, 3)).toBeGreaterThan(0);
      expect(points.coordinate(index, 3)).toBeLessThan(1);
    }
    expect(() => new ScrambledPoints(new Uint32Array(129))).toThrow(OutsideDomainError);
    expect(() => new ScrambledPoints([])).toThrow(OutsideDomainError);
  });

  test("integrate a smooth product far better than the square root law", () => {
    const count = 1 << 12;
    let sum = 0;
    for (let index = 0; index < count; index += 1) {
      let product = 1;
      for (let dimension = 0; dimension < 6; dimension += 1)
        product *= 1 + (points.coordinate(index, dimension) - 0.5);
      sum += product / count;
    }
    const random = Math.sqrt(((1 + 1 / 12) ** 6 - 1) / count);
    expect(Math.abs(sum - 1)).toBeLessThan(random / 10);
  });
});

describe("the scramble", () => {
  const word = fc.integer({ min: 0, max: 0xffffffff });

  test("keeps points together as long as their leading bits agree, and splits them after", () => {
    fc.assert(
      fc.property(word, word, fc.integer({ min: 0, max: 31 }), (fraction, seed, bit) => {
        const other = (fraction ^ (2 ** bit)) >>> 0;
        const difference = (owenScramble(fraction, seed) ^ owenScramble(other, seed)) >>> 0;
        expect(Math.floor(Math.log2(difference))).toBe(bit);
      }),
      { numRuns: 1_000 },
    );
  });

  test("depends on its seed", () => {
    const distinct = new Set(
      Array.from({ length: 1_000 }, (_, seed) => owenScramble(0x12345678, seed * 7_919)),
    );
    expect(distinct.size).toBeGreaterThan(990);
  });
});
