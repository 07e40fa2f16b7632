// Falsified by: a total effect that differs from the exact one of a model whose variance is known.
import { expect, test } from "vitest";
import { parseInfix } from "../../../lib/expression/parse-infix.ts";
import { totalEffects } from "../../../lib/uncertainty/total-effects.ts";

const flat = { shape: "rectangular", lower: -Math.sqrt(3), upper: Math.sqrt(3) } as const;
const inputs = ["a", "b", "c", "r"].map((name) => ({ name, distribution: flat }));

test("the effects of a sum and of a product are the exact ones", () => {
  // a, b, c have variance 1: V^2 + 2^2 + 1 in all, of which the product takes 1.
  const model = {
    parameters: ["V"],
    rounded: parseInfix("V * a + 2 * b + b * c"),
    smooth: parseInfix("V * a + 2 * b + b * c + r"),
    inputs,
  };
  const options = { parameters: [3], inputs: ["a", "b", "c", "r"], trials: 100_000 };
  const found = totalEffects(model, options);
  expect(found.map(({ input }) => input)).toEqual(["a", "b", "c"]);
  expect(found[0]!.total).toBeCloseTo(9 / 14, 2);
  expect(found[1]!.total).toBeCloseTo(5 / 14, 2);
  expect(found[2]!.total).toBeCloseTo(1 / 14, 2);
});
