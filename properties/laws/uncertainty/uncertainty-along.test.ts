// Falsified by: a figure along the parameter that differs from the one of the general evaluation
// with the value written into the equation, a result that depends on the values beside it, a fault
// of model or options that is not told.
import { expect, test } from "vitest";
import { parseInfix } from "../../../lib/expression/parse-infix.ts";
import type { SweptModel } from "../../../lib/uncertainty/uncertainty-along.ts";
import { uncertaintyAlong } from "../../../lib/uncertainty/uncertainty-along.ts";
import { evaluateUncertainty } from "../../../lib/uncertainty/evaluate-uncertainty.ts";

const model: SweptModel = {
  parameters: ["V"],
  rounded: parseInfix("floor((V * (1 + g) + o) * 100 + 1/2) / 100 - V + c"),
  smooth: parseInfix("V * (1 + g) + o + r / 100 - V + c"),
  inputs: [
    { name: "g", distribution: { shape: "rectangular", lower: -0.001, upper: 0.001 } },
    { name: "o", readings: [0.01, 0.02, 0.015, 0.012] },
    { name: "r", distribution: { shape: "rectangular", lower: -0.5, upper: 0.5 } },
  ],
  constants: { c: 0.25 },
};

test("the figures are those of the general evaluation at each value", () => {
  const values = [34, 60, -400];
  const found = uncertaintyAlong(
    model,
    values.map((value) => [value]),
    { trials: 50_000 },
  );
  values.forEach((value, index) => {
    const written = (text: string) => text.replaceAll("V", `(${value})`).replaceAll("c", "0.25");
    const smooth = evaluateUncertainty(
      { outputs: { e: written("V * (1 + g) + o + r / 100 - V + c") }, inputs: model.inputs },
      { trials: "none" },
    ).outputs["e"]!.firstOrder;
    const rounded = evaluateUncertainty(
      {
        outputs: { e: `floor(((${value}) * (1 + g) + o) * 100 + 1/2) / 100 - (${value}) + 0.25` },
        inputs: model.inputs,
      },
      { trials: 50_000 },
    ).outputs["e"]!.monteCarlo!;
    const { propagated, monteCarlo } = found[index]!;
    expect(propagated.estimate).toBeCloseTo(smooth.estimate, 12);
    expect(propagated.expandedUncertainty).toBeCloseTo(smooth.expandedUncertainty, 12);
    expect(propagated.effectiveDegreesOfFreedom).toBeCloseTo(smooth.effectiveDegreesOfFreedom, 6);
    expect(monteCarlo.interval.lower).toBeCloseTo(rounded.symmetricInterval.lower, 9);
    expect(monteCarlo.interval.upper).toBeCloseTo(rounded.symmetricInterval.upper, 9);
    expect(monteCarlo.standardUncertainty).toBeCloseTo(rounded.standardUncertainty, 9);
  });
});

test("a value has the same figures alone and among many, and shares add up to 1", () => {
  const many = uncertaintyAlong(
    model,
    Array.from({ length: 50 }, (_, i) => [8 * i]),
    {
      trials: 100_000,
    },
  );
  expect(uncertaintyAlong(model, [[8 * 47]], { trials: 100_000 })[0]).toEqual(many[47]);
  for (const { contributions } of many)
    expect(contributions.reduce((sum, { share }) => sum + share, 0)).toBeCloseTo(1, 12);
});

test("every fault is told, and a trial that is not finite", () => {
  const broken = { ...model, parameters: ["W"], inputs: [...model.inputs, model.inputs[0]!] };
  expect(() => uncertaintyAlong(broken, [[1]], { trials: 10, coverageProbability: 2 })).toThrow(
    /coverage probability.*\n.*number of trials.*\n.*used for one input only.*\n.*"V"/,
  );
  const pole = { ...model, rounded: parseInfix("log(g) + V") };
  expect(() => uncertaintyAlong(pole, [[1]])).toThrow("finite for all values");
});
