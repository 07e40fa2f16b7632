// Falsified by: a bit in which the WebAssembly loop differs from the plain one, a trial whose value
// depends on the block it is made in, an elementary function off by more than it states.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  absolute,
  add,
  divide,
  exponential,
  floor,
  logarithm,
  maximum,
  minimum,
  multiply,
  negate,
  power,
  squareRoot,
  subtract,
  symbol,
} from "../../../lib/expression/build.ts";
import type { Expression } from "../../../lib/expression/node.ts";
import { parseInfix } from "../../../lib/expression/parse-infix.ts";
import { compileTape } from "../../../lib/expression/tape.ts";
import { keyOfSeed } from "../../../lib/random/stream.ts";
import type { Distribution } from "../../../lib/statistics/distribution.ts";
import {
  plainExp,
  plainLog,
  plainSineOfHalfTurns,
} from "../../../lib/statistics/plain-elementary.ts";
import { prepareModel } from "../../../lib/uncertainty/prepare-model.ts";
import { planSampling } from "../../../lib/uncertainty/sampling-plan.ts";
import { plainKernel } from "../../../lib/uncertainty/trial-kernel.ts";
import type { TrialBlock, TrialKernel } from "../../../lib/uncertainty/trial-kernel.ts";
import { trialKernel } from "../../../lib/uncertainty/wasm-kernel.ts";

const SHAPES: readonly Distribution[] = [
  { shape: "rectangular", lower: -2, upper: 3 },
  { shape: "triangular", lower: -1, upper: 5 },
  { shape: "trapezoidal", lower: 0, upper: 1, topRatio: 0.3 },
  { shape: "curvilinearTrapezoid", lower: -1, upper: 1, limitUncertainty: 0.2 },
  { shape: "arcsine", lower: -1, upper: 1 },
  { shape: "twoPoint", lower: -1, upper: 2 },
  { shape: "normal", mean: 1, standardDeviation: 2 },
  { shape: "normal", mean: 0, standardDeviation: 1, cut: 2 },
  { shape: "studentT", mean: 0, scale: 1, degreesOfFreedom: 3 },
  { shape: "empirical", values: [1, 5, 2] },
];
const inputs = SHAPES.map((distribution, index) => ({ name: `q${index}`, distribution }));

function recipeOf(root: Expression, correlation?: number[][]) {
  const model = prepareModel({
    outputs: { y: root },
    inputs,
    ...(correlation === undefined ? {} : { correlation }),
  });
  const names = model.inputs.map(({ name }) => name);
  const tape = compileTape([...model.outputs, symbol("q6")], names);
  return { tape, plan: planSampling(model), key: keyOfSeed(11) };
}

function valuesOf(kernel: TrialKernel, block: TrialBlock): Float64Array[] {
  const outputs = [0, 1].map(() => new Float64Array(block.count));
  kernel.run(block, outputs);
  return outputs;
}

const leaf = fc.constantFrom(...inputs.map(({ name }) => symbol(name)));
const models: fc.Arbitrary<Expression> = fc.letrec<{ node: Expression }>((tie) => ({
  node: fc.oneof(
    { maxDepth: 5 },
    leaf,
    fc
      .tuple(
        fc.constantFrom(add, subtract, multiply, divide, minimum, maximum),
        tie("node"),
        tie("node"),
      )
      .map(([build, left, right]) => build(left, right)),
    fc
      .tuple(
        fc.constantFrom(negate, exponential, logarithm, squareRoot, absolute, floor),
        tie("node"),
      )
      .map(([build, operand]) => build(operand)),
    fc
      .tuple(tie("node"), fc.integer({ min: 2, max: 5 }))
      .map(([operand, exponent]) => power(operand, exponent)),
  ),
})).node;

describe("the WebAssembly loop", () => {
  test("gives the bits of the plain loop for any model, also where it is not finite", () => {
    fc.assert(
      fc.property(models, fc.nat({ max: 1_000 }), (root, half) => {
        const recipe = recipeOf(root);
        const block = { firstTrial: 2 * half, count: 301 };
        expect(valuesOf(trialKernel(recipe), block)).toEqual(valuesOf(plainKernel(recipe), block));
      }),
      { numRuns: 150 },
    );
  });

  test("gives the bits of the plain loop far out in the normal tails", () => {
    // Among two million numbers some lie beyond 4.9 standard deviations.
    const recipe = recipeOf(symbol("q6"));
    const block = { firstTrial: 0, count: 400_000 };
    expect(valuesOf(trialKernel(recipe), block)).toEqual(valuesOf(plainKernel(recipe), block));
  });

  test("gives the bits of the plain loop for correlated inputs", () => {
    for (const [one, other] of [
      [6, 0],
      [6, 7],
    ] as const) {
      const correlation = inputs.map((_, i) => inputs.map((__, j) => Number(i === j)));
      correlation[one]![other] = correlation[other]![one] = -0.7;
      const recipe = recipeOf(parseInfix("q6 * q0 + q7"), correlation);
      const block = { firstTrial: 512, count: 999 };
      expect(valuesOf(trialKernel(recipe), block)).toEqual(valuesOf(plainKernel(recipe), block));
    }
  });

  test("gives each trial the same value in whatever block it is made", () => {
    const recipe = recipeOf(parseInfix("exp(q0) * q1 + floor(10 * q6) / (q3 + 2) + q8"));
    const kernel = trialKernel(recipe);
    const [whole] = valuesOf(kernel, { firstTrial: 0, count: 4_000 });
    fc.assert(
      fc.property(fc.nat({ max: 3_999 }), fc.integer({ min: 1, max: 1_500 }), (from, length) => {
        const count = Math.min(length, 4_000 - from);
        const [part] = valuesOf(kernel, { firstTrial: from, count });
        expect(part).toEqual(whole!.slice(from, from + count));
      }),
      { numRuns: 60 },
    );
  });

  test("gives with parameters the bits of the same model with the values written in", () => {
    const value = fc.integer({ min: -400, max: 400 });
    fc.assert(
      fc.property(models, models, value, value, (one, other, first, second) => {
        const root = add(multiply(one, symbol("p")), other);
        const names = [...inputs.map(({ name }) => name), "p"];
        const { plan, key } = recipeOf(symbol("q0"));
        const block = { firstTrial: 0, count: 700 };
        const runs = [first, second].map((parameter) => ({
          parameters: [parameter],
          outputs: [new Float64Array(block.count)],
        }));
        const parameter = {
          name: "p",
          draw: { kind: "parameter", place: 0 } as const,
          streams: [],
        };
        const tape = compileTape([root], names);
        trialKernel({ tape, plan: [...plan, parameter], key }).sweep(block, runs);
        for (const { parameters, outputs } of runs) {
          const draw = { kind: "constant", value: parameters[0]! } as const;
          const constant = { name: "p", draw, streams: [] };
          const expected = new Float64Array(block.count);
          plainKernel({ tape, plan: [...plan, constant], key }).run(block, [expected]);
          expect(outputs[0]).toEqual(expected);
        }
      }),
      { numRuns: 100 },
    );
  });

  test.each([33, 34])(
    "goes on where the counter's lower word overflows, at 2^%s trials",
    (bits) => {
      const recipe = recipeOf(parseInfix("q0 + q6"));
      const block = { firstTrial: 2 ** bits - 512, count: 1_024 };
      expect(valuesOf(trialKernel(recipe), block)).toEqual(valuesOf(plainKernel(recipe), block));
    },
  );
});

describe("the plain exponential and logarithm", () => {
  test("are within 3 units in the last place of the engine's", () => {
    const wide = fc.integer({ min: -7_000_000, max: 7_000_000 }).map((count) => count / 10_000);
    fc.assert(
      fc.property(wide, (x) => {
        const exact = Math.exp(x);
        expect(Math.abs(plainExp(x) - exact)).toBeLessThanOrEqual(3 * 2 ** -52 * exact + 1e-320);
        if (exact === 0) return;
        const log = Math.log(exact);
        expect(Math.abs(plainLog(exact) - log)).toBeLessThanOrEqual(3 * 2 ** -52 * Math.abs(log));
      }),
      { numRuns: 3_000 },
    );
  });

  test("and the sine are within 2^-51 of the engine's", () => {
    fc.assert(
      fc.property(fc.integer({ min: -500_000, max: 500_000 }), (count) => {
        const t = count / 1_000_000;
        expect(Math.abs(plainSineOfHalfTurns(t) - Math.sin(Math.PI * t))).toBeLessThan(2 ** -51);
      }),
    );
  });

  test("keep the special values", () => {
    expect([0, 1000, -1000, Infinity, -Infinity].map(plainExp)).toEqual([
      1,
      Infinity,
      0,
      Infinity,
      0,
    ]);
    expect(plainExp(Number.NaN)).toBeNaN();
    expect([1, 0, -0, Infinity].map(plainLog)).toEqual([0, -Infinity, -Infinity, Infinity]);
    expect(plainLog(-1e-300)).toBeNaN();
    expect(plainLog(5e-324)).toBeCloseTo(Math.log(5e-324), 11);
    expect(plainExp(709.78) / Math.exp(709.78)).toBeCloseTo(1, 14);
  });
});
