// Falsified by: a loading that does not fall, or an error that does not rise, with the input
// resistance; an optimum that another point beats; or a point that the scaled document contradicts.
import { describe, expect, test } from "vitest";
import { loadingFactor } from "../../../lib/circuit/discharge.ts";
import { errorAgainstResistance } from "../../../lib/decision/resistance-optimum.ts";
import { InvalidInputError } from "../../../lib/errors.ts";
import { budgetAt, exampleDesign } from "../../support/example-designs.ts";

const FACTS = { voltage: 34, duration: 1, capacitance: { lower: 0.22e-6, upper: 0.22e-6 } };

describe("error against input resistance", () => {
  const curve = errorAgainstResistance(exampleDesign("03-good-at-34-volts"), FACTS);
  const { points, optimum } = curve;

  test("loading falls and what leaks at the node rises, so that there is an optimum inside", () => {
    expect(points).toHaveLength(13);
    for (const [index, point] of points.slice(1).entries()) {
      expect(point.loading).toBeLessThan(points[index]!.loading);
      expect(point.error).toBeGreaterThan(points[index]!.error);
      expect(point.total).toBe(point.loading + point.error);
    }
    for (const point of points) expect(optimum.total).toBeLessThanOrEqual(point.total);
    expect(optimum).not.toBe(points[0]);
    expect(optimum).not.toBe(points.at(-1));
  });

  test("the loading is that of the least resistance on the least capacitance", () => {
    for (const { inputResistance, loading } of points) {
      const left = loadingFactor({
        duration: 1,
        productCapacitance: 0.22e-6,
        inputResistance,
        inputCapacitance: 0,
      });
      expect(loading).toBeCloseTo(34 * (1 - left), 6);
    }
  });

  test("a point is the proven error of the document with ten times the resistance", () => {
    const tenfold = exampleDesign("03-good-at-34-volts", (document) => {
      document.divider.upper[0]!.resistance = "100 Mohm";
      document.divider.lower[0]!.resistance = "2.61 Mohm";
    });
    const row = budgetAt(tenfold, ["34"]).rows[0]!;
    const found = points.at(-1)!.error;
    // The row's band is a code wide, the point has no width.
    expect(found).toBeLessThanOrEqual(row.provenError * (1 + 1e-9));
    expect(found).toBeGreaterThan(row.provenError * 0.99);
  });

  test("a voltage outside the range is refused", () => {
    const design = exampleDesign("03-good-at-34-volts");
    expect(() => errorAgainstResistance(design, { ...FACTS, voltage: 500 })).toThrow(
      InvalidInputError,
    );
  });
});
