// Falsified by: one bit of a result that depends on the number of workers or the size of tasks, or
// an error inside a worker that is lost.
import { afterAll, describe, expect, test } from "vitest";
import { OutsideDomainError } from "../../../lib/errors.ts";
import {
  evaluateUncertaintyOnPool,
  openTrialPool,
} from "../../../lib/uncertainty/evaluate-in-parallel.ts";
import { evaluateUncertainty } from "../../../lib/uncertainty/evaluate-uncertainty.ts";
import type { UncertaintyModel } from "../../../lib/uncertainty/measurement-model.ts";

const model: UncertaintyModel = {
  outputs: { y: "floor(20 * exp(-a) * b + 0.5) / 20", z: "a * b" },
  inputs: [
    { name: "a", distribution: { shape: "rectangular", lower: 0.1, upper: 0.3 } },
    { name: "b", distribution: { shape: "normal", mean: 5, standardDeviation: 0.2 } },
  ],
};

describe("the same seed", () => {
  const pools = [1, 2, 4].map((workers) => openTrialPool(workers));
  afterAll(async () => {
    await Promise.all(pools.map((pool) => pool.close()));
  });

  test("gives identical bytes on one core, 1, 2 and 4 workers, in tasks of any size", async () => {
    // Of many trials the values are counted and not kept.
    const many = { trials: 1_304_321 };
    for (const options of [{ trials: 234_567 }, { mostTrials: 900_000 }, many]) {
      const alone = JSON.stringify(evaluateUncertainty(model, options));
      for (const [index, pool] of pools.entries()) {
        const sized = { ...options, blocksPerTask: 1 + 3 * index };
        const result = await evaluateUncertaintyOnPool(model, sized, pool);
        expect(JSON.stringify(result)).toBe(alone);
      }
    }
  });

  test("finds the same trial that is not finite", async () => {
    const inputs = [
      { name: "x", distribution: { shape: "normal", mean: 0, standardDeviation: 100 } },
    ] as const;
    const faulty = { outputs: { y: "exp(2 * x)" }, inputs };
    const message = /in trial \d+ the inputs are x = /;
    expect(() => evaluateUncertainty(faulty)).toThrow(message);
    await expect(evaluateUncertaintyOnPool(faulty, {}, pools[1]!)).rejects.toThrow(message);
    const error: unknown = await evaluateUncertaintyOnPool(faulty, {}, pools[1]!).catch(
      (caught: unknown) => caught,
    );
    expect(error).toBeInstanceOf(OutsideDomainError);
  });

  test("needs a number of workers that makes sense", () => {
    for (const workers of [0, 1.5, 65])
      expect(() => openTrialPool(workers)).toThrow(OutsideDomainError);
  });
});
