// Falsified by: a faulty model that is accepted or of which only the first fault is told; a figure
// that changes with the order of the inputs, with another input that does not act, or from run to
// run; a law of propagation that disagrees with exact algebra on a linear or quadratic model; a
// quantised output whose run stops on still lattice ends.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { InvalidInputError, OutsideDomainError } from "../../../lib/errors.ts";
import { add, multiply, symbol } from "../../../lib/expression/build.ts";
import type { Distribution } from "../../../lib/statistics/distribution.ts";
import { evaluateUncertainty } from "../../../lib/uncertainty/evaluate-uncertainty.ts";
import type { InputQuantity } from "../../../lib/uncertainty/measurement-model.ts";

const flat = (lower: number, upper: number): Distribution => ({
  shape: "rectangular",
  lower,
  upper,
});
const bell = (mean: number, standardDeviation: number): Distribution => ({
  shape: "normal",
  mean,
  standardDeviation,
});
const input = (name: string, distribution: Distribution): InputQuantity => ({ name, distribution });
const a = input("a", flat(1, 3));
const b = input("b", bell(5, 0.5));

function faultsOf(action: () => unknown): readonly string[] {
  try {
    action();
  } catch (error) {
    expect(error).toBeInstanceOf(InvalidInputError);
    return (error as InvalidInputError).faults.map((fault) => fault.path);
  }
  throw new Error("nothing was refused");
}

describe("a faulty model", () => {
  test("is refused with all its faults and their places at once", () => {
    const paths = faultsOf(() =>
      evaluateUncertainty({
        outputs: { y: "a + nobody", z: "a +", w: "sin(b)" },
        inputs: [
          input("a", flat(3, 1)),
          { name: "b", distribution: bell(0, -1), degreesOfFreedom: 0.5 },
          { name: "b", readings: [1] },
          { name: "c" },
          { name: "d", distribution: flat(0, 1), readings: [1, 2] },
          { name: "e", readings: [2, 2, 2] },
        ],
        correlation: [[1]],
      }),
    );
    expect(paths).toEqual([
      "inputs[0].distribution.upper",
      "inputs[1].distribution.standardDeviation",
      "inputs[1].degreesOfFreedom",
      "inputs[2].name",
      "inputs[2].readings",
      "inputs[3]",
      "inputs[4]",
      "correlation",
      "outputs.y",
      "outputs.z, character 4",
      "outputs.w, character 1",
      "inputs[5].readings",
    ]);
  });

  test.each([
    [
      [
        [1, 2],
        [2, 1],
      ],
      "correlation[0][1]",
    ],
    [
      [
        [1, 0.5],
        [0.4, 1],
      ],
      "correlation[0][1]",
    ],
    [
      [
        [0.9, 0],
        [0, 1],
      ],
      "correlation[0][0]",
    ],
    [
      [
        [1, 1],
        [1, 1],
      ],
      "correlation",
    ],
    [
      [
        [1, Number.NaN],
        [Number.NaN, 1],
      ],
      "correlation[0][1]",
    ],
  ])("with the correlation %o is refused at its place", (correlation, path) => {
    const model = { outputs: { y: "a + b" }, inputs: [a, b], correlation };
    expect(faultsOf(() => evaluateUncertainty(model))).toContain(path);
  });

  test("that is positive definite in no order is refused", () => {
    const correlation = [
      [1, 0.9, -0.9],
      [0.9, 1, 0.9],
      [-0.9, 0.9, 1],
    ];
    const inputs = [a, b, input("c", bell(0, 1))];
    const model = { outputs: { y: "a + b + c" }, inputs, correlation };
    expect(() => evaluateUncertainty(model)).toThrow(/positive definite/);
  });

  test.each([
    ["1 / (a - 2)", /divisor a - 2.*one sign.*values from/],
    ["log(a - 2)", /logarithm a - 2.*above zero/],
    ["sqrt(a - 1.5)", /root a - 1.5.*zero or above/],
  ])("%s is refused because of what happens inside the domain", (y, reason) => {
    expect(() => evaluateUncertainty({ outputs: { y }, inputs: [a] })).toThrow(reason);
  });

  test("that overflows in one trial of many says at which inputs", () => {
    const inputs = [input("x", bell(0, 100))];
    const run = () => evaluateUncertainty({ outputs: { y: "exp(x * 2)" }, inputs });
    expect(run).toThrow(OutsideDomainError);
    expect(run).toThrow(/finite.*Infinity.*in trial \d+ the inputs are x = /);
  });

  test("with faulty options is refused before anything else", () => {
    const options = { coverageProbability: 1.2, seed: -1, significantDigits: 3 as 1 };
    const model = { outputs: { y: "a" }, inputs: [a] };
    expect(faultsOf(() => evaluateUncertainty(model, options))).toEqual([
      "coverageProbability",
      "seed",
      "significantDigits",
    ]);
    expect(faultsOf(() => evaluateUncertainty(model, { trials: 10 }))).toEqual(["trials"]);
  });
});

describe("the law of propagation", () => {
  const thousandths = fc.integer({ min: -5_000, max: 5_000 }).map((count) => count / 1_000);
  const spreads = fc.integer({ min: 1, max: 3_000 }).map((count) => count / 1_000);

  test("is exact for a linear model with correlated inputs", () => {
    const coefficient = fc.integer({ min: -95, max: 95 }).map((count) => count / 100);
    fc.assert(
      fc.property(thousandths, thousandths, spreads, spreads, coefficient, (p, q, u, v, r) => {
        const correlation = [
          [1, r],
          [r, 1],
        ];
        const outputs = {
          y: add(multiply(p, symbol("x1")), multiply(q, symbol("x2"))),
          z: symbol("x1"),
        };
        const inputs = [input("x1", bell(1, u)), input("x2", bell(-2, v))];
        const found = evaluateUncertainty({ outputs, inputs, correlation }, { trials: "none" });
        const variance = p * p * u * u + q * q * v * v + 2 * p * q * r * u * v;
        const combined = found.outputs.y!.firstOrder.combinedStandardUncertainty;
        expect(combined ** 2).toBeCloseTo(Math.max(0, variance), 9);
        const shares = found.outputs.y!.contributions.map(({ share }) => share);
        if (combined > 0) expect(shares[0]! + shares[1]!).toBeCloseTo(1, 9);
        const covariance = p * u * u + q * r * u * v;
        expect(found.correlation[0]![1]! * combined * u).toBeCloseTo(covariance, 8);
      }),
    );
  });

  test("treats a symbol used twice as one quantity, whatever the form", () => {
    const inputs = [a, b];
    const outputs = { twice: "a + a", once: "2 * a", gone: "a + b - a", square: "a * a - a^2" };
    const found = evaluateUncertainty({ outputs, inputs }, { trials: "none" });
    const u = (name: string) => found.outputs[name]!.firstOrder.combinedStandardUncertainty;
    expect(u("twice")).toBeCloseTo(u("once"), 14);
    expect(u("gone")).toBeCloseTo(0.5, 14);
    expect(u("square")).toBe(0);
    expect(found.outputs.square!.contributions.every(({ share }) => share === 0)).toBe(true);
  });

  test("of second order is exact for products and squares of normal quantities", () => {
    fc.assert(
      fc.property(thousandths, thousandths, spreads, spreads, (x, y, u, v) => {
        const inputs = [input("x", bell(x, u)), input("y", bell(y, v))];
        const outputs = { product: "x * y", square: "x^2" };
        const found = evaluateUncertainty({ outputs, inputs }, { trials: "none" });
        const variance = (name: string) =>
          found.outputs[name]!.secondOrder!.combinedStandardUncertainty ** 2;
        const product = y * y * u * u + x * x * v * v + u * u * v * v;
        expect(variance("product")).toBeCloseTo(product, 8);
        expect(variance("square")).toBeCloseTo(4 * x * x * u * u + 2 * u ** 4, 8);
      }),
    );
  });

  test("of second order uses third derivatives: the sine-like cubic x - x^3/6 loses variance", () => {
    // f' = 1 - x^2/2, f'' = -x, f''' = -1 at 0: 1/2 f''^2 + f' f''' = -1.
    const model = { outputs: { y: "x - x^3 / 6" }, inputs: [input("x", bell(0, 0.1))] };
    const { secondOrder } = evaluateUncertainty(model, { trials: "none" }).outputs.y!;
    expect(secondOrder!.combinedStandardUncertainty ** 2).toBeCloseTo(0.01 - 0.0001, 12);
  });
});

describe("the Monte Carlo", () => {
  const quick = { trials: 20_000 } as const;

  test("gives the same bytes for the same seed, others for another", () => {
    const model = { outputs: { y: "a * b" }, inputs: [a, b] };
    const one = evaluateUncertainty(model, { ...quick, seed: 5 });
    expect(evaluateUncertainty(model, { ...quick, seed: 5 })).toEqual(one);
    const other = evaluateUncertainty(model, { ...quick, seed: 6 });
    expect(other.outputs.y!.monteCarlo).not.toEqual(one.outputs.y!.monteCarlo);
  });

  test("is not changed by the order of the inputs or by one that does not act", () => {
    const outputs = { y: "a * b" };
    const one = evaluateUncertainty({ outputs, inputs: [a, b] }, quick).outputs.y!;
    const inputs = [b, input("c", flat(0, 1)), a];
    const other = evaluateUncertainty({ outputs, inputs }, quick).outputs.y!;
    expect(other.monteCarlo).toEqual(one.monteCarlo);
  });

  test("goes on over a million trials in a histogram with the same answer as exact ranks", () => {
    const model = { outputs: { y: "a + b" }, inputs: [a, b] };
    const options = { trials: 1_200_000 } as const;
    const { monteCarlo } = evaluateUncertainty(model, options).outputs.y!;
    const exact = evaluateUncertainty(model, { trials: 1_000_000 }).outputs.y!.monteCarlo!;
    expect([monteCarlo!.quantiles, exact.quantiles]).toEqual(["histogram", "exact"]);
    for (const end of ["lower", "upper"] as const)
      expect(
        Math.abs(monteCarlo!.symmetricInterval[end] - exact.symmetricInterval[end]),
      ).toBeLessThan(2e-3);
    expect(Math.abs(monteCarlo!.standardUncertainty - exact.standardUncertainty)).toBeLessThan(
      5e-4,
    );
  });

  test("draws correlated normal inputs with the stated correlation", () => {
    const inputs = [input("x", bell(0, 1)), input("y", bell(0, 2))];
    const correlation = [
      [1, 0.8],
      [0.8, 1],
    ];
    const model = { outputs: { sum: "x + y", difference: "x - y" }, inputs, correlation };
    const { outputs, notes } = evaluateUncertainty(model, { trials: 200_000 });
    expect(outputs.sum!.monteCarlo!.standardUncertainty).toBeCloseTo(Math.sqrt(8.2), 1);
    expect(outputs.difference!.monteCarlo!.standardUncertainty).toBeCloseTo(Math.sqrt(1.8), 1);
    expect(notes.join(" ")).not.toContain("normal scores");
    const flatInputs = [a, input("y", flat(0, 1))];
    const copula = { outputs: { sum: "a + y" }, inputs: flatInputs, correlation };
    expect(evaluateUncertainty(copula, quick).notes.join(" ")).toContain("a, y apply to normal");
  });

  test("draws from every distribution with its own mean and standard deviation", () => {
    const shapes: readonly [Distribution, number, number][] = [
      [flat(0, 2), 1, 1 / Math.sqrt(3)],
      [{ shape: "triangular", lower: 0, upper: 2 }, 1, 1 / Math.sqrt(6)],
      [{ shape: "trapezoidal", lower: 0, upper: 2, topRatio: 0.5 }, 1, Math.sqrt(1.25 / 6)],
      [
        { shape: "curvilinearTrapezoid", lower: 0, upper: 2, limitUncertainty: 0.6 },
        1,
        Math.sqrt(1 / 3 + 0.04),
      ],
      [{ shape: "arcsine", lower: 0, upper: 2 }, 1, Math.SQRT1_2],
      [{ shape: "twoPoint", lower: 0, upper: 2 }, 1, 1],
      [bell(1, 2), 1, 2],
      [{ shape: "normal", mean: 1, standardDeviation: 2, cut: 1 }, 1, 2 * Math.sqrt(0.29112509)],
      [{ shape: "studentT", mean: 1, scale: 2, degreesOfFreedom: 8 }, 1, 2 * Math.sqrt(8 / 6)],
      [{ shape: "empirical", values: [1, 2, 6] }, 3, Math.sqrt(14 / 3)],
    ];
    const inputs = shapes.map(([distribution], index) => input(`q${index}`, distribution));
    const outputs = Object.fromEntries(inputs.map(({ name }) => [name, name]));
    const found = evaluateUncertainty({ outputs, inputs }, { trials: 100_000 });
    shapes.forEach(([distribution, mean, deviation], index) => {
      const result = found.outputs[`q${index}`]!.monteCarlo!;
      const bound = (5 * deviation) / Math.sqrt(100_000);
      expect(Math.abs(result.estimate - mean), distribution.shape).toBeLessThan(bound);
      expect(Math.abs(result.standardUncertainty / deviation - 1), distribution.shape).toBeLessThan(
        0.015,
      );
    });
  });

  test("makes ten blocks at least of a quantised output, and waits for its reading", () => {
    const inputs = [input("V", bell(10.2, 0.4))];
    const coarse = { outputs: { y: "floor(V + 0.5)" }, inputs };
    const { outputs, notes } = evaluateUncertainty(coarse);
    expect(outputs.y!.monteCarlo!.trials).toBeGreaterThanOrEqual(100_000);
    expect(notes[0]).toContain("rounding");
    const guarded = evaluateUncertainty(
      { ...coarse, unquantised: { y: "V" } },
      { significantDigits: 2, mostTrials: 3_000_000 },
    );
    const alone = evaluateUncertainty({ outputs: { y: "V" }, inputs }, { significantDigits: 2 });
    expect(guarded.outputs.y!.monteCarlo!.trials).toBeGreaterThanOrEqual(
      Math.min(3_000_000, alone.outputs.y!.monteCarlo!.trials),
    );
    expect(Object.keys(guarded.outputs)).toEqual(["y"]);
  });

  test("says when the trials allowed were too few", () => {
    const model = { outputs: { y: "a + b" }, inputs: [a, b] };
    const options = { significantDigits: 2, mostTrials: 30_000 } as const;
    const { monteCarlo, validation } = evaluateUncertainty(model, options).outputs.y!;
    expect(monteCarlo).toMatchObject({ isStable: false, trials: 30_000 });
    expect(validation!.firstOrder.sentence).toContain("not stable");
  });
});

describe("an uncertainty with readings", () => {
  test("takes mean, standard uncertainty of the mean and n - 1 degrees of freedom", () => {
    const model = { outputs: { y: "x" }, inputs: [{ name: "x", readings: [1, 2, 3, 4] }] };
    const { outputs } = evaluateUncertainty(model, { trials: 100_000 });
    const { firstOrder, monteCarlo } = outputs.y!;
    expect(firstOrder.estimate).toBe(2.5);
    expect(firstOrder.combinedStandardUncertainty).toBeCloseTo(Math.sqrt(5 / 3 / 4), 12);
    expect(firstOrder.effectiveDegreesOfFreedom).toBeCloseTo(3, 12);
    expect(firstOrder.coverageFactor).toBeCloseTo(3.182446, 6);
    // One Student t input alone: both ways must give the same interval.
    expect(monteCarlo!.symmetricInterval.upper).toBeCloseTo(firstOrder.coverageInterval.upper, 1);
  });
});
