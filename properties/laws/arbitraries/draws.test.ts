// Falsified by a draw outside its strata, a class that edge-biased draws hardly meet, an unbiased
// draw that depends on others, or a phase called slowest that is not where the trigger sees last.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { mutatedDraw, stratifiedDraws, unbiasedDraw } from "../../arbitraries/draws.ts";
import { openingParameters } from "../../arbitraries/opening.ts";
import { classesOf, spanOf } from "../../arbitraries/parameter.ts";
import type { Draw } from "../../arbitraries/parameter.ts";
import { PRODUCT_KINDS } from "../../arbitraries/product.ts";
import { scenarioSpace } from "../../arbitraries/scenario-space.ts";
import { seededUniform } from "../../arbitraries/seeded-uniform.ts";
import { exampleDesign } from "../../support/example-designs.ts";

const design = exampleDesign("03-good-at-34-volts");
const space = scenarioSpace(design, {
  kind: "opening",
  products: PRODUCT_KINDS,
  after: 0.1,
  contact: "real",
  smallestCapacitance: 1.2e-9,
});

const inside = (draw: Draw): boolean =>
  space.parameters.every((parameter) => {
    const [least, most] = spanOf(parameter);
    const value = draw[parameter.name]!;
    return Number.isInteger(value) && value >= least && value <= most;
  });

describe("draws of scenarios", () => {
  test("meet every class at least 50 times in 1 000 edge-biased runs", () => {
    const hits = new Map<string, number>();
    for (const draw of fc.sample(stratifiedDraws(space.classed), { numRuns: 1_000, seed: 7 }))
      for (const name of classesOf(space.classed, draw)) hits.set(name, (hits.get(name) ?? 0) + 1);
    const names = space.classed
      .filter(({ strata }) => strata.length > 1)
      .flatMap(({ meaning, strata }) => strata.map(({ name }) => `${meaning}: ${name}`));
    expect(names.length).toBeGreaterThan(30);
    expect(names.filter((name) => (hits.get(name) ?? 0) < 50)).toEqual([]);
  });

  test("stay inside their strata, drawn or changed", () => {
    const uniform = seededUniform(1, "mutations", 0);
    fc.assert(
      fc.property(stratifiedDraws(space.parameters), (draw) => {
        expect(inside(draw)).toBe(true);
        expect(inside(mutatedDraw(space.parameters, draw, uniform))).toBe(true);
      }),
      { numRuns: 50 },
    );
  });

  test("are the same unbiased ones for a seed and a trial, whatever was drawn before", () => {
    const first = [3, 4, 5].map((trial) => unbiasedDraw(space.parameters, 9, trial));
    expect(unbiasedDraw(space.parameters, 9, 4)).toEqual(first[1]);
    expect(unbiasedDraw(space.parameters, 10, 4)).not.toEqual(first[1]);
    expect(first.every(inside)).toBe(true);
  });

  test("of unbiased phases fill the turn evenly: mean within five standard errors", () => {
    const phase = openingParameters.find(({ name }) => name === "phase")!;
    const count = 2_000;
    const sum = Array.from({ length: count }, (_, trial) => unbiasedDraw([phase], 1, trial))
      .map((draw) => draw["phase"]!)
      .reduce((total, value) => total + value, 0);
    const error = 10_000 / Math.sqrt(12 * count);
    expect(Math.abs(sum / count - 4_999.5)).toBeLessThan(5 * error);
  });

  test("place the slowest phase where an ideal comparison sees the opening last", () => {
    // Held at cos(phase); seen when the mains differs by a tenth of the crest.
    const seenAfter = (turns: number): number => {
      const held = Math.cos(2 * Math.PI * turns);
      for (let step = 0; step < 10_000; step += 1)
        if (Math.abs(Math.cos(2 * Math.PI * (turns + step / 10_000)) - held) > 0.1)
          return step / 10_000;
      return 1;
    };
    const slowest = Array.from({ length: 10_000 }, (_, phase) => phase).reduce((one, other) =>
      seenAfter(other / 10_000) > seenAfter(one / 10_000) ? other : one,
    );
    const strata = openingParameters[0]!.strata.filter(({ name }) => name.includes("seen last"));
    expect(strata.some(({ least, most }) => slowest >= least && slowest <= most)).toBe(true);
    // t = (pi - asin(1 - 2d) - asin(1 - d)) / omega for d = 0.1.
    const formula = (Math.PI - Math.asin(0.8) - Math.asin(0.9)) / (2 * Math.PI);
    expect(seenAfter(slowest / 10_000)).toBeCloseTo(formula, 3);
  });
});
