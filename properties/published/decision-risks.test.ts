// Falsified by: a probability, guard band or multiplier that differs in a printed digit from the
// worked examples and published tables named, or a risk that an independent quadrature contradicts.
import * as fc from "fast-check";
import jStat from "jstat";
import { describe, expect, test } from "vitest";
import {
  capabilityIndex,
  conformanceProbability,
  specificRisk,
} from "../../lib/decision/conformance.ts";
import { globalRisk } from "../../lib/decision/global-risk.ts";
import type { Inspection } from "../../lib/decision/global-risk.ts";
import { fourWayVerdict, guardBand, guardBandMultiplier } from "../../lib/decision/guard-band.ts";
import { InvalidInputError, OutsideDomainError } from "../../lib/errors.ts";
import { normalQuantile } from "../../lib/statistics/normal-quantile.ts";

const normal = (estimate: number, standardUncertainty: number) => ({
  estimate,
  standardUncertainty,
});

describe("probability of conformity (JCGM 106:2012; from memory, reproduced by calculation)", () => {
  test.each([
    ["7.3, breakdown voltage", normal(-5.47, 0.05), { upper: -5.4 }, 0.9192, 4],
    ["7.3, burst pressure", normal(509.7, 8.6), { lower: 490 }, 0.98901, 4],
    ["7.4, viscosity", normal(13.6, 1.8), { lower: 12.5, upper: 16.3 }, 0.6626, 4],
  ])("%s", (_, measured, tolerance, expected, digits) => {
    expect(conformanceProbability(measured, tolerance)).toBeCloseTo(expected, digits);
  });

  test("a capability index of 4 is a test uncertainty ratio of 4:1 (7.6, from memory)", () => {
    expect(capabilityIndex({ lower: -2, upper: 2 }, 0.25)).toBe(4);
  });
});

describe("specific risk of limits 9 to 11 (published risk tables)", () => {
  test.each([
    [10, 0.01242],
    [10.5, 0.10574],
    [12, 0.99379],
  ])("measured %d with u = 0.4: %d", (estimate, expected) => {
    expect(specificRisk(normal(estimate, 0.4), { lower: 9, upper: 11 })).toBeCloseTo(expected, 5);
  });

  test("splits into 0.00621 each side in the middle, and 0.00009 and 0.10565 off it", () => {
    expect(specificRisk(normal(10, 0.4), { upper: 11 })).toBeCloseTo(0.00621, 5);
    expect(specificRisk(normal(10.5, 0.4), { lower: 9 })).toBeCloseTo(0.00009, 5);
    expect(specificRisk(normal(10.5, 0.4), { upper: 11 })).toBeCloseTo(0.10565, 5);
  });
});

describe("guard bands at one limit (ILAC-G8:09/2019; factors beside U from memory)", () => {
  test.each([
    [0, 0.5, 0],
    [0.83, 0.04846, 5],
    [1, 0.02275, 5],
    [1.5, 0.00135, 5],
    [3, 9.9e-10, 11],
  ])("w = %d U accepts wrongly with at most %d", (multiple, risk, digits) => {
    const found = guardBand({ kind: "expandedUncertainty", multiple }, 1);
    expect(found.largestSpecificRisk).toBeCloseTo(risk, digits);
    expect(found.width).toBe(2 * multiple);
  });

  test("a largest risk of 5 % is 0.822 U, 1.645 standard uncertainties (ISO 14253-1:2017)", () => {
    const found = guardBand({ kind: "specificRisk", risk: 0.05 }, 0.1);
    expect(found.multiple).toBeCloseTo(0.8224, 4);
    expect(found.width).toBeCloseTo(0.16449, 5);
    expect(guardBand({ kind: "simpleAcceptance" }, 0.1).width).toBe(0);
  });

  test("four verdicts, each limit on its own side (ILAC-G8:09/2019, 4.2.3)", () => {
    const verdict = (value: number) => fourWayVerdict(value, { limit: 34, guardBand: 1 });
    expect([33, 33.01, 34, 34.01, 35, 35.01].map(verdict)).toEqual([
      "pass",
      "conditionalPass",
      "conditionalPass",
      "conditionalFail",
      "conditionalFail",
      "fail",
    ]);
  });

  test("widths fall with the risk allowed and grow with the uncertainty", () => {
    const risks = fc.integer({ min: 1, max: 500_000 }).map((ppm) => ppm / 1_000_000);
    const spread = fc.integer({ min: 1, max: 10_000 }).map((mv) => mv / 1000);
    fc.assert(
      fc.property(risks, risks, spread, (one, other, u) => {
        fc.pre(one < other);
        const strict = guardBand({ kind: "specificRisk", risk: one }, u);
        const lax = guardBand({ kind: "specificRisk", risk: other }, u);
        expect(strict.width).toBeGreaterThan(lax.width);
        expect(guardBand({ kind: "specificRisk", risk: one }, 2 * u).width).toBeGreaterThan(
          strict.width,
        );
        expect(Math.abs(strict.largestSpecificRisk / one - 1)).toBeLessThan(1e-9);
        // The value at the acceptance limit has exactly the risk that was allowed.
        const atLimit = specificRisk(normal(34 - strict.width, u), { upper: 34 });
        expect(Math.abs(atLimit / one - 1)).toBeLessThan(1e-6);
      }),
    );
  });

  test("bad figures are refused", () => {
    expect(() => guardBand({ kind: "specificRisk", risk: 0.7 }, 1)).toThrow(OutsideDomainError);
    expect(() => guardBand({ kind: "specificRisk", risk: 0 }, 1)).toThrow(OutsideDomainError);
    expect(() => guardBand({ kind: "simpleAcceptance" }, Number.NaN)).toThrow(OutsideDomainError);
    expect(() => guardBand({ kind: "expandedUncertainty", multiple: -1 }, 1)).toThrow(
      OutsideDomainError,
    );
    expect(() => conformanceProbability(normal(1, 0), {})).toThrow(InvalidInputError);
    expect(() => guardBandMultiplier("rp10", 0)).toThrow(OutsideDomainError);
  });
});

describe("multipliers of the tolerance by test uncertainty ratio (published formulas)", () => {
  test.each([
    [2, [0.866025, 0.5, 0.75, 0.859177]],
    [2.5, [0.916515, 0.6, 0.85, 0.914186]],
    [3, [0.942809, 0.666667, 0.916667, 0.948227]],
    [4, [0.968246, 0.75, 1, 0.98672]],
  ])("TUR %d", (ratio, expected) => {
    const methods = ["rootSumSquare", "expandedUncertainty", "rp10", "managedRisk"] as const;
    methods.forEach((method, index) => {
      expect(guardBandMultiplier(method, ratio)).toBeCloseTo(expected[index] ?? Number.NaN, 6);
    });
  });

  test("the risk-managed one reaches 1 near 4.6, where false acceptance is 1.965 % at worst", () => {
    expect(guardBandMultiplier("managedRisk", 4.6)).toBe(1);
    expect(guardBandMultiplier("managedRisk", 4.59)).toBeLessThan(1);
    // Items of every quality; the worst is searched over their standard deviation.
    const worst = (ratio: number, limit: number): number => {
      let found = 0;
      for (let step = 1; step <= 160; step += 1) {
        const risk = globalRisk({
          prior: { ...normal(0, step * 0.025), source: "swept over" },
          tolerance: { lower: -1, upper: 1 },
          acceptance: { lower: -limit, upper: limit },
          standardUncertainty: 1 / (2 * ratio),
        });
        found = Math.max(found, risk.consumer);
      }
      return 100 * found;
    };
    expect(worst(4, 1)).toBeCloseTo(2.238, 3);
    expect(worst(4.6, 1)).toBeCloseTo(1.965, 3);
  });
});

/** Items centred between limits of +/-1, measured with 1 / (2 TUR). */
function centred(inTolerance: number, ratio: number): Inspection {
  return {
    prior: { ...normal(0, 1 / normalQuantile((1 + inTolerance) / 2)), source: "test" },
    tolerance: { lower: -1, upper: 1 },
    acceptance: { lower: -1, upper: 1 },
    standardUncertainty: 1 / (2 * ratio),
  };
}

describe("global risks", () => {
  test("resistors, tolerance 0.2 ohm (JCGM 106:2012, 9.5.4; inputs from memory)", () => {
    const inspection: Inspection = {
      prior: { ...normal(1500, 0.12), source: "JCGM 106:2012, 9.5.4" },
      tolerance: { lower: 1499.8, upper: 1500.2 },
      acceptance: { lower: 1499.8, upper: 1500.2 },
      standardUncertainty: 0.04,
    };
    const simple = globalRisk(inspection);
    expect(100 * simple.nonconforming).toBeCloseTo(9.558, 3);
    expect(100 * simple.consumer).toBeCloseTo(1.894, 3);
    expect(100 * simple.producer).toBeCloseTo(3.721, 3);
    expect(100 * simple.accepted).toBeCloseTo(88.62, 2);
    const guarded = globalRisk({ ...inspection, acceptance: { lower: 1499.88, upper: 1500.12 } });
    expect(100 * guarded.consumer).toBeCloseTo(0.0469, 4);
    expect(100 * guarded.producer).toBeCloseTo(24.77, 2);
    expect(100 * guarded.accepted).toBeCloseTo(65.72, 2);
  });

  test.each([
    ["limits of 2 sigma, 4:1", 2, 4, 0.80061, 1.48509],
    ["limits of 2.5 sigma, 4:1", 2.5, 4, 0.24453, undefined],
    ["limits of 2.5 sigma, 1:1", 2.5, 1, 0.47236, undefined],
  ])("%s (published risk tables)", (_, limit, ratio, consumer, producer) => {
    // The ratio is that of the standard deviations of items and measurement.
    const risk = globalRisk({
      prior: { ...normal(0, 1), source: "test" },
      tolerance: { lower: -limit, upper: limit },
      acceptance: { lower: -limit, upper: limit },
      standardUncertainty: 1 / ratio,
    });
    expect(100 * risk.consumer).toBeCloseTo(consumer, 5);
    if (producer !== undefined) expect(100 * risk.producer).toBeCloseTo(producer, 5);
  });

  const RATIOS = [1, 1.5, 2, 3, 4, 10];
  test.each([
    [0.8, "5.4193/13.4765 4.2379/8.0967 3.4580/5.6877 2.5133/3.5236 1.9690/2.5412 0.8519/0.9442"],
    [0.89, "3.5093/13.6930 2.8753/7.7138 2.4183/5.1961 1.8214/3.0719 1.4556/2.1618 0.6549/0.7683"],
    [0.95, "1.8012/12.9572 1.5412/6.6245 1.3373/4.1775 1.0485/2.2936 0.8583/1.5537 0.4060/0.5162"],
    [0.99, "0.4064/10.8234 0.3661/4.4327 0.3312/2.3650 0.2757/1.0694 0.2348/0.6560 0.1219/0.1846"],
  ])("%d in tolerance, by test uncertainty ratio (computed)", (inTolerance, expected) => {
    const found = RATIOS.map((ratio) => {
      const { consumer, producer } = globalRisk(centred(inTolerance, ratio));
      return `${(100 * consumer).toFixed(4)}/${(100 * producer).toFixed(4)}`;
    });
    expect(found.join(" ")).toBe(expected);
  });

  /** Simpson's rule over a grid, with the normal distribution of another library. */
  function elsewhere({ prior, tolerance, acceptance, standardUncertainty }: Inspection) {
    const steps = 20_000;
    const density = (z: number): number =>
      Math.exp((-z * z) / 2) / (Math.sqrt(2 * Math.PI) * prior.standardUncertainty);
    const [from, to] = [
      prior.estimate - 9 * prior.standardUncertainty,
      prior.estimate + 9 * prior.standardUncertainty,
    ];
    const inside = (x: number): number =>
      jStat.normal.cdf(acceptance.upper ?? 1e9, x, standardUncertainty) -
      jStat.normal.cdf(acceptance.lower ?? -1e9, x, standardUncertainty);
    const over = (a: number, b: number, f: (x: number) => number): number => {
      if (b <= a) return 0;
      const h = (b - a) / steps;
      let sum = 0;
      for (let i = 0; i <= steps; i += 1) {
        const x = a + i * h;
        const weight = i === 0 || i === steps ? 1 : i % 2 === 1 ? 4 : 2;
        sum += weight * f(x) * density((x - prior.estimate) / prior.standardUncertainty);
      }
      return (sum * h) / 3;
    };
    const { lower = from, upper = to } = tolerance;
    const [a, b] = [Math.max(from, lower), Math.min(to, upper)];
    return {
      consumer: over(from, Math.min(a, to), inside) + over(Math.max(b, from), to, inside),
      producer: over(a, b, (x) => 1 - inside(x)),
    };
  }

  test("agree with Simpson's rule and the normal distribution of another library", () => {
    const milli = (min: number, max: number) =>
      fc.integer({ min, max }).map((thousandths) => thousandths / 1000);
    fc.assert(
      fc.property(
        milli(-1500, 1500),
        milli(100, 2000),
        milli(20, 1500),
        milli(500, 1200),
        fc.boolean(),
        (estimate, spread, standardUncertainty, limit, oneSided) => {
          const acceptance = oneSided ? { upper: limit } : { lower: -limit, upper: limit };
          const tolerance = oneSided ? { upper: 1 } : { lower: -1, upper: 1 };
          const prior = { ...normal(estimate, spread), source: "test" };
          const inspection = { prior, tolerance, acceptance, standardUncertainty };
          const found = globalRisk(inspection);
          const other = elsewhere(inspection);
          expect(Math.abs(found.consumer - other.consumer)).toBeLessThan(1e-7);
          expect(Math.abs(found.producer - other.producer)).toBeLessThan(1e-7);
          // Every item is accepted or rejected, and conforms or does not.
          const conforming = 1 - found.nonconforming;
          expect(found.accepted).toBeCloseTo(conforming - found.producer + found.consumer, 9);
        },
      ),
      { numRuns: 25 },
    );
  });

  test("need a prior with its source and figures that are some", () => {
    const inspection = centred(0.95, 4);
    const { prior } = inspection;
    expect(() => globalRisk({ ...inspection, prior: { ...prior, source: " " } })).toThrow(
      "source of the prior must be named",
    );
    expect(() =>
      globalRisk({ ...inspection, tolerance: {}, acceptance: { lower: 1, upper: 0 } }),
    ).toThrow(/2 faults/);
  });
});
