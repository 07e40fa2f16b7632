// Falsified by: shares that differ from those of a model whose shares are known in closed form.
import { describe, expect, test } from "vitest";
import { InvalidInputError } from "../../../lib/errors.ts";
import type { Distribution } from "../../../lib/statistics/distribution.ts";
import { evaluateUncertainty } from "../../../lib/uncertainty/evaluate-uncertainty.ts";
import { sensitivityShares } from "../../../lib/uncertainty/sensitivity-shares.ts";

const bell = (mean: number, standardDeviation: number): Distribution => ({
  shape: "normal",
  mean,
  standardDeviation,
});
const flat: Distribution = { shape: "rectangular", lower: 0, upper: 1 };

describe("sensitivity shares", () => {
  test("of an additive model are those of the gradient, first and total alike", () => {
    const inputs = [
      { name: "x", distribution: bell(3, 1) },
      { name: "y", distribution: bell(0, 2) },
      { name: "z", distribution: flat },
    ];
    const model = { outputs: { sum: "2 * x - y + z" }, inputs };
    const shares = sensitivityShares(model).sum!;
    const { contributions } = evaluateUncertainty(model, { trials: "none" }).outputs.sum!;
    shares.forEach(({ first, total }, index) => {
      expect(first).toBeCloseTo(contributions[index]!.share, 2);
      expect(total).toBeCloseTo(contributions[index]!.share, 2);
    });
  });

  test("of a product of centred inputs lie in the interaction only", () => {
    const inputs = ["x", "y"].map((name) => ({ name, distribution: bell(0, 1) }));
    for (const { first, total } of sensitivityShares({ outputs: { p: "x * y" }, inputs }).p!) {
      expect(first).toBeCloseTo(0, 1);
      expect(total).toBeCloseTo(1, 1);
    }
  });

  test("of the g-function agree with its closed form (Saltelli and Sobol, from memory)", () => {
    const a = [0, 1, 4.5, 9];
    const factor = (index: number) =>
      `((abs(4 * x${index} - 2) + ${a[index]}) / (1 + ${a[index]}))`;
    const inputs = a.map((_, index) => ({ name: `x${index}`, distribution: flat }));
    const g = a.map((_, index) => factor(index)).join(" * ");
    const found = sensitivityShares({ outputs: { g }, inputs }, { points: 8_192 }).g!;
    const parts = a.map((value) => 1 / (3 * (1 + value) ** 2));
    const variance = parts.reduce((product, part) => product * (1 + part), 1) - 1;
    found.forEach(({ first, total }, index) => {
      const others = parts.reduce((p, part, at) => (at === index ? p : p * (1 + part)), 1);
      expect(Math.abs(first - parts[index]! / variance)).toBeLessThan(0.01);
      expect(Math.abs(total - (parts[index]! * others) / variance)).toBeLessThan(0.01);
    });
  });

  test("are refused for correlated inputs and odd numbers of points", () => {
    const inputs = ["x", "y"].map((name) => ({ name, distribution: flat }));
    const outputs = { s: "x + y" };
    const correlation = [
      [1, 0.5],
      [0.5, 1],
    ];
    expect(() => sensitivityShares({ outputs, inputs, correlation })).toThrow(InvalidInputError);
    expect(() => sensitivityShares({ outputs, inputs }, { points: 1_000 })).toThrow(/power of 2/);
  });
});
