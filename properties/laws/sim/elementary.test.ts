// Falsified by: an argument at which an elementary function of the simulation leaves the engine's
// own by more than a few units in the last place, or an identity that it breaks.
import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import { cosineOfTurns, exponential, logarithm, sineOfTurns } from "../../../sim/elementary.ts";

const argument = fc
  .tuple(fc.integer({ min: -700_000, max: 700_000 }), fc.integer({ min: 0, max: 999 }))
  .map(([thousandths, fine]) => thousandths / 1000 + fine * 1e-7);

describe("elementary functions from the four operations", () => {
  it("the exponential is that of the engine to 4e-16 (relative)", () => {
    fc.assert(
      fc.property(argument, (x) => {
        expect(Math.abs(exponential(x) / Math.exp(x) - 1)).toBeLessThan(4.5e-16);
      }),
      { numRuns: 3000, seed: 4401 },
    );
  });

  it("the exponential goes through the smallest numbers to zero, always finite", () => {
    fc.assert(
      fc.property(fc.integer({ min: -746_000, max: -708_000 }), (thousandths) => {
        const x = thousandths / 1000;
        const least = 2 ** -1074;
        const far = x < -745 ? least : 0;
        const apart = Math.abs(exponential(x) - Math.exp(x));
        expect(apart).toBeLessThanOrEqual(far + least + 1e-15 * Math.exp(x));
      }),
      { examples: [[-744_787], [-744_900], [-745_000]] },
    );
  });

  it("the exponential meets its limits", () => {
    expect(exponential(0)).toBe(1);
    expect(exponential(-800)).toBe(0);
    expect(exponential(800)).toBe(Infinity);
    expect(exponential(-740)).toBe(Math.exp(-740));
    expect(exponential(Number.NaN)).toBeNaN();
    // 20 digits of e: 2.7182818284590452354.
    expect(Math.abs(exponential(1) - Math.E)).toBeLessThan(5e-16);
  });

  it("sine and cosine of turns are those of the engine to 2e-15, whole turns are exact", () => {
    fc.assert(
      fc.property(argument, fc.integer({ min: -1000, max: 1000 }), (x, whole) => {
        const turns = x / 1000;
        expect(Math.abs(sineOfTurns(turns) - Math.sin(2 * Math.PI * turns))).toBeLessThan(2e-15);
        expect(Math.abs(cosineOfTurns(turns) - Math.cos(2 * Math.PI * turns))).toBeLessThan(2e-15);
        const eighth = whole + 0.125;
        expect(cosineOfTurns(eighth)).toBe(cosineOfTurns(0.125));
        expect(sineOfTurns(eighth)).toBe(sineOfTurns(0.125));
      }),
      { numRuns: 2000, seed: 4402 },
    );
    expect([0, 0.25, 0.5, 0.75].map(cosineOfTurns)).toEqual([1, -0, -1, 0]);
    expect([0, 0.25, 0.5, 0.75].map(sineOfTurns)).toEqual([0, 1, -0, -1]);
  });

  it("the logarithm undoes the exponential", () => {
    fc.assert(
      fc.property(argument, (x) => {
        fc.pre(Math.abs(x) > 1e-3);
        expect(Math.abs(logarithm(exponential(x)) / x - 1)).toBeLessThan(1e-13);
        expect(Math.abs(logarithm(Math.exp(x)) - Math.log(Math.exp(x)))).toBeLessThan(
          4e-16 * Math.max(1, Math.abs(x)),
        );
      }),
      { numRuns: 2000, seed: 4403 },
    );
    expect(logarithm(0)).toBe(-Infinity);
    expect(logarithm(1)).toBe(0);
    expect(logarithm(-1)).toBeNaN();
  });
});
