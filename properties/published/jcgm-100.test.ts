// Falsified by: a figure of a worked example of JCGM 100:2008 (GUM) that our calculation rounds
// otherwise. Status beside each: "confirmed" read in a public text, "from memory; recomputed"
// recalled and reproduced by an independent calculation, "computed" from confirmed inputs.
import { describe, expect, test } from "vitest";
import { normalQuantile } from "../../lib/statistics/normal-quantile.ts";
import type { Distribution } from "../../lib/statistics/distribution.ts";
import { standardUncertaintyOf } from "../../lib/statistics/distribution-moments.ts";
import { effectiveDegreesOfFreedom } from "../../lib/statistics/effective-degrees-of-freedom.ts";
import { studentQuantile } from "../../lib/statistics/student-quantile.ts";
import { evaluateUncertainty } from "../../lib/uncertainty/evaluate-uncertainty.ts";
import type { InputQuantity } from "../../lib/uncertainty/measurement-model.ts";
import {
  printExpandedUncertainty,
  printStandardUncertainty,
} from "../../lib/uncertainty/print-figures.ts";
import { correlationOfReadings, evaluateReadings } from "../../lib/uncertainty/readings.ts";

function normal(name: string, mean: number, standardDeviation: number, nu?: number): InputQuantity {
  const distribution = { shape: "normal", mean, standardDeviation } as const;
  return { name, distribution, ...(nu === undefined ? {} : { degreesOfFreedom: nu }) };
}

/** The graph has no cosine: with t = tan(phi/2) both follow, and phi's slope is carried over. */
const half = (angle: number) => Math.tan(angle / 2);

const limits = (lower: number, upper: number) => ({ lower, upper });

describe("H.1, end gauge in nm", () => {
  // Inputs, output, components, uc 32 nm, 16 degrees of freedom, U99 93 nm: confirmed.
  const result = evaluateUncertainty(
    {
      outputs: {
        l: {
          infix: "ls + d - ls * (dalpha * theta + alpha * dtheta)",
          definitions: [
            { name: "d", infix: "dbar + d1 + d2" },
            { name: "theta", infix: "thetabar + Delta" },
          ],
        },
        d: "dbar + d1 + d2",
        theta: "thetabar + Delta",
      },
      inputs: [
        normal("ls", 50_000_623, 25, 18),
        normal("dbar", 215, 5.8, 24),
        normal("d1", 0, 3.9, 5),
        normal("d2", 0, 6.7, 8),
        normal("alpha", 11.5e-6, 1.2e-6),
        normal("thetabar", -0.1, 0.2),
        {
          name: "Delta",
          distribution: { shape: "arcsine", lower: -0.5, upper: 0.5 },
        },
        normal("dalpha", 0, 1e-6 / Math.sqrt(3), 50),
        normal("dtheta", 0, 0.05 / Math.sqrt(3), 2),
      ],
    },
    { coverageProbability: 0.99, trials: "none" },
  );
  const { firstOrder, secondOrder, contributions } = result.outputs.l!;
  const componentOf = (name: string) =>
    Math.abs(contributions.find(({ input }) => input === name)?.contribution ?? Number.NaN);

  test("estimate and combined standard uncertainty", () => {
    expect(firstOrder.estimate).toBeCloseTo(50_000_838, 6);
    expect(firstOrder.combinedStandardUncertainty).toBeCloseTo(31.6637674111, 3);
    expect(printStandardUncertainty(firstOrder.combinedStandardUncertainty)).toBe("32");
  });

  test("components: 25, 9.7, 2.9, 16.6 and three that are zero", () => {
    expect(componentOf("ls")).toBeCloseTo(25, 3);
    expect(result.outputs.d!.firstOrder.combinedStandardUncertainty).toBeCloseTo(9.68194195397, 9);
    expect(result.outputs.d!.firstOrder.effectiveDegreesOfFreedom).toBeCloseTo(25.4472507774, 8);
    expect(componentOf("dalpha")).toBeCloseTo(2.887, 3);
    expect(componentOf("dtheta")).toBeCloseTo(16.599, 3);
    for (const name of ["alpha", "thetabar", "Delta"]) expect(componentOf(name)).toBe(0);
    const theta = result.outputs.theta!.firstOrder.combinedStandardUncertainty;
    expect(theta).toBeCloseTo(0.41, 2);
  });

  test("effective degrees of freedom, coverage factor and expanded uncertainty at 99 %", () => {
    expect(Math.floor(firstOrder.effectiveDegreesOfFreedom)).toBe(16);
    expect(firstOrder.effectiveDegreesOfFreedom).toBeCloseTo(16.7, 0);
    expect(firstOrder.coverageFactor).toBeCloseTo(2.9208, 4);
    expect(printExpandedUncertainty(firstOrder.expandedUncertainty)).toBe("93");
    expect(result.outputs.l!.text).toBe("50000838 +/- 93 (k = 2.92)");
  });

  test("H.1.7, second order: 34 nm", () => {
    const combined = secondOrder?.combinedStandardUncertainty ?? Number.NaN;
    expect(printStandardUncertainty(combined)).toBe("34");
    // By hand: ls u(dalpha) u(theta) and ls u(alpha) u(dtheta) are what matters.
    const theta = Math.hypot(0.2, 0.5 / Math.SQRT2);
    const flat = 1 / Math.sqrt(3);
    const added = Math.hypot(1e-6 * flat * theta, 1.2e-6 * 0.05 * flat) * 50_000_623;
    const byHand = Math.hypot(firstOrder.combinedStandardUncertainty, added);
    expect(combined).toBeCloseTo(byHand, 4);
  });

  test("the exact components give 16.7521475092 degrees, the rounded 32 gives 17.47 (computed)", () => {
    const parts = [
      { standardUncertainty: 25, degreesOfFreedom: 18 },
      { standardUncertainty: 9.68194195397, degreesOfFreedom: 25.4472507774 },
      { standardUncertainty: 50_000_623 * 0.1 * (1e-6 / Math.sqrt(3)), degreesOfFreedom: 50 },
      {
        standardUncertainty: 50_000_623 * 11.5e-6 * (0.05 / Math.sqrt(3)),
        degreesOfFreedom: 2,
      },
    ];
    const combined = Math.hypot(...parts.map((part) => part.standardUncertainty));
    expect(combined).toBeCloseTo(31.6637674111, 3);
    expect(effectiveDegreesOfFreedom(combined, parts)).toBeCloseTo(16.7521475092, 2);
    expect(effectiveDegreesOfFreedom(32, parts)).toBeCloseTo(17.47, 1);
  });
});

describe("H.2, resistance and reactance", () => {
  // Readings, means, uncertainties, correlations, results: confirmed.
  const V = [5.007, 4.994, 5.005, 4.99, 4.999];
  const I = [19.663, 19.639, 19.64, 19.685, 19.678].map((value) => value / 1_000);
  const phi = [1.0456, 1.0438, 1.0468, 1.0428, 1.0433];

  test("Type A evaluation of the readings", () => {
    const [v, i, p] = [V, I, phi].map(evaluateReadings);
    expect(v!.mean).toBeCloseTo(4.999, 12);
    expect(i!.mean).toBeCloseTo(0.019661, 12);
    expect(p!.mean).toBeCloseTo(1.04446, 12);
    expect(v!.standardUncertainty).toBeCloseTo(0.00320936, 8);
    expect(i!.standardUncertainty).toBeCloseTo(0.00000947101, 11);
    expect(p!.standardUncertainty).toBeCloseTo(0.000752064, 9);
    expect(v!.degreesOfFreedom).toBe(4);
    const r = correlationOfReadings([V, I, phi]);
    expect(r[0]![1]).toBeCloseTo(-0.355311, 6);
    expect(r[0]![2]).toBeCloseTo(0.857624, 6);
    expect(r[1]![2]).toBeCloseTo(-0.645111, 6);
  });

  const outputs = {
    R: "V / I * (1 - t^2) / (1 + t^2)",
    X: "V / I * 2 * t / (1 + t^2)",
    Z: "V / I",
  };
  const slope = (1 + half(1.04446) ** 2) / 2;

  test("results and their correlation from the means", () => {
    const [v, i, p] = [V, I, phi].map(evaluateReadings);
    const inputs = [
      normal("V", v!.mean, v!.standardUncertainty),
      normal("I", i!.mean, i!.standardUncertainty),
      normal("t", half(p!.mean), slope * p!.standardUncertainty),
    ];
    const model = { outputs, inputs, correlation: correlationOfReadings([V, I, phi]) };
    const result = evaluateUncertainty(model, { trials: "none" });
    const found = ["R", "X", "Z"].map((name) => result.outputs[name]!.firstOrder);
    expect(found.map(({ estimate }) => estimate)[0]).toBeCloseTo(127.73217, 5);
    expect(found.map(({ estimate }) => estimate)[1]).toBeCloseTo(219.84651, 5);
    expect(found.map(({ estimate }) => estimate)[2]).toBeCloseTo(254.2597, 5);
    const u = found.map(({ combinedStandardUncertainty }) => combinedStandardUncertainty);
    expect(u[0]).toBeCloseTo(0.0710714, 6);
    expect(u[1]).toBeCloseTo(0.2955817, 6);
    expect(u[2]).toBeCloseTo(0.2363361, 6);
    expect(result.correlation[0]![1]).toBeCloseTo(-0.58843, 5);
    expect(result.correlation[0]![2]).toBeCloseTo(-0.485259, 5);
    expect(result.correlation[1]![2]).toBeCloseTo(0.992512, 5);
  });

  test("with the rounded inputs that the example prints", () => {
    const inputs = [
      normal("V", 4.999, 0.0032),
      normal("I", 0.019661, 0.0000095),
      normal("t", half(1.04446), slope * 0.00075),
    ];
    const correlation = [
      [1, -0.36, 0.86],
      [-0.36, 1, -0.65],
      [0.86, -0.65, 1],
    ];
    const result = evaluateUncertainty({ outputs, inputs, correlation }, { trials: "none" });
    const u = ["R", "X", "Z"].map(
      (name) => result.outputs[name]!.firstOrder.combinedStandardUncertainty,
    );
    expect(u[0]).toBeCloseTo(0.0699787279884, 9);
    expect(u[1]).toBeCloseTo(0.295716826846, 9);
    expect(u[2]).toBeCloseTo(0.236602971835, 9);
    expect(result.correlation[0]![1]).toBeCloseTo(-0.591484610819, 9);
    expect(result.correlation[0]![2]).toBeCloseTo(-0.490623905441, 9);
    expect(result.correlation[1]![2]).toBeCloseTo(0.992797472722, 9);
  });

  test("table H.5, correlation ignored on purpose (from memory; recomputed)", () => {
    const [v, i, p] = [V, I, phi].map(evaluateReadings);
    const inputs = [
      normal("V", v!.mean, v!.standardUncertainty),
      normal("I", i!.mean, i!.standardUncertainty),
      normal("t", half(p!.mean), slope * p!.standardUncertainty),
    ];
    const result = evaluateUncertainty({ outputs, inputs }, { trials: "none" });
    const u = ["R", "X", "Z"].map(
      (name) => result.outputs[name]!.firstOrder.combinedStandardUncertainty,
    );
    expect(u[0]).toBeCloseTo(0.194544, 6);
    expect(u[1]).toBeCloseTo(0.200909, 6);
    expect(u[2]).toBeCloseTo(0.204076, 6);
  });

  test("approach 2: the mean of R, X, Z of each set (confirmed, computed)", () => {
    const sets = V.map((volts, k) => {
      const z = volts / I[k]!;
      return [z * Math.cos(phi[k]!), z * Math.sin(phi[k]!), z] as const;
    });
    const series = [0, 1, 2].map((column) => sets.map((set) => set[column]!));
    const [r, x, z] = series.map(evaluateReadings);
    expect([r!.mean, x!.mean, z!.mean].map((mean) => mean.toFixed(5))).toEqual([
      "127.73163",
      "219.84689",
      "254.26005",
    ]);
    expect(r!.standardUncertainty).toBeCloseTo(0.0712735, 6);
    expect(x!.standardUncertainty).toBeCloseTo(0.2954891, 6);
    expect(z!.standardUncertainty).toBeCloseTo(0.2362475, 6);
    const matrix = correlationOfReadings(series);
    expect(matrix[0]![1]).toBeCloseTo(-0.588277, 5);
    expect(matrix[0]![2]).toBeCloseTo(-0.485065, 5);
    expect(matrix[1]![2]).toBeCloseTo(0.992508, 5);
  });
});

describe("clause 4 and annexes", () => {
  test("4.4.3, table 1: 20 readings (from memory; recomputed)", () => {
    const readings = [
      96.9, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07, 100.33, 100.42, 100.68,
      100.95, 101.11, 101.2, 101.57, 101.84, 102.36, 102.72,
    ];
    const found = evaluateReadings(readings);
    expect(found.mean).toBeCloseTo(100.145, 10);
    expect(found.standardDeviation).toBeCloseTo(1.48884, 5);
    expect(found.standardUncertainty).toBeCloseTo(0.332916, 6);
  });

  test.each<[string, Distribution, number]>([
    ["4.4.5 rectangular 96 to 104", { shape: "rectangular", ...limits(96, 104) }, 2.3094],
    ["4.4.5 triangular 96 to 104", { shape: "triangular", ...limits(96, 104) }, 1.63299],
    ["4.3.7 +/-0.40 in 1e-6", { shape: "rectangular", ...limits(-0.4, 0.4) }, 0.23094],
    ["4.3.8 16.40 to 16.92", { shape: "rectangular", ...limits(16.4, 16.92) }, 0.150111],
    ["4.3.9 trapezoid, ratio 0", { shape: "trapezoidal", topRatio: 0, ...limits(-1, 1) }, 0.408248],
    ["4.3.9 trapezoid, ratio 1", { shape: "trapezoidal", topRatio: 1, ...limits(-1, 1) }, 0.57735],
    [
      "4.3.9 trapezoid, ratio 0.5",
      { shape: "trapezoidal", topRatio: 0.5, ...limits(-1, 1) },
      Math.sqrt(1.25 / 6),
    ],
    ["H.1 arcsine (confirmed)", { shape: "arcsine", ...limits(-0.5, 0.5) }, 0.5 / Math.SQRT2],
    ["F.2.2.1 resolution", { shape: "rectangular", ...limits(-0.5, 0.5) }, 0.288675],
  ])("%s (from memory; recomputed)", (_, distribution, expected) => {
    expect(standardUncertaintyOf(distribution)).toBeCloseTo(expected, 5);
  });

  test("4.3.3 to 4.3.5: certificate values (from memory; 4.3.4, 4.3.5 recomputed)", () => {
    expect(240 / 3).toBe(80);
    const ohms = 129e-6 / normalQuantile(0.995);
    expect(printStandardUncertainty(ohms)).toBe("0.000050");
    expect(ohms / 10.000742).toBeCloseTo(5.0e-6, 7);
    const millimetres = 0.04 / normalQuantile(0.75);
    expect(millimetres).toBeCloseTo(0.059304, 6);
  });

  test("4.3.7 example 2 with 5.1.5: voltmeter (from memory; recomputed)", () => {
    const halfWidth = 14e-6 * 0.928571 + 2e-6;
    expect(halfWidth).toBeCloseTo(15e-6, 8);
    const result = evaluateUncertainty(
      {
        outputs: { V: "reading + correction" },
        inputs: [
          normal("reading", 0.928571, 12e-6),
          {
            name: "correction",
            distribution: { shape: "rectangular", lower: -15e-6, upper: 15e-6 },
          },
        ],
      },
      { trials: "none" },
    );
    const { firstOrder, contributions } = result.outputs.V!;
    expect(contributions[1]!.contribution).toBeCloseTo(8.66025e-6, 10);
    expect(firstOrder.combinedStandardUncertainty).toBeCloseTo(14.79865e-6, 10);
    expect(firstOrder.combinedStandardUncertainty / 0.928571).toBeCloseTo(16e-6, 6);
  });

  test("Welch-Satterthwaite of a textbook: 0.57 (9 degrees) and 0.25 (confirmed)", () => {
    const nu = effectiveDegreesOfFreedom(Math.hypot(0.57, 0.25), [
      { standardUncertainty: 0.57, degreesOfFreedom: 9 },
      { standardUncertainty: 0.25, degreesOfFreedom: Infinity },
    ]);
    expect(nu).toBeCloseTo(12.7956, 4);
  });

  test("E.4.3, table E.1: relative standard deviation of s (formula computed)", () => {
    const percent = [2, 3, 4, 5, 10, 20, 30, 50].map((n) => 100 / Math.sqrt(2 * (n - 1)));
    [70.7, 50, 40.8, 35.4, 23.6, 16.2, 13.1, 10.1].forEach((expected, index) =>
      expect(percent[index]).toBeCloseTo(expected, 1),
    );
    // G.4.2: the degrees of freedom of an uncertainty known to 25 % are 8.
    expect(0.5 / 0.25 ** 2).toBe(8);
  });

  test("the factor 2.92 of H.1 comes from 16 degrees of freedom and 99 % (confirmed)", () => {
    expect(studentQuantile(0.995, 16)).toBeCloseTo(2.9208, 4);
  });
});
