// Falsified by: a current at the divider's node that costs another voltage at the input than current
// times upper resistance, or another room for all currents together than the figures below. Computed,
// no source: node analysis of a divider.
import { describe, expect, test } from "vitest";
import { measurementModel } from "../../lib/chain/measurement-model.ts";
import { ErrorPropagation } from "../../lib/decision/error-uncertainty.ts";
import { ErrorBrackets } from "../../lib/guarantee/error-brackets.ts";
import { exampleDesign } from "../support/example-designs.ts";

/** The unadjusted demo design with one current into its node, the same at every temperature. */
function withCurrent(limit: string) {
  return exampleDesign("01-no-adjustment", (document) => {
    document.currents = [
      { name: "leak", at: "25 degC", limit: { lower: "0 A", upper: limit }, rise: ["0 K", "0 K"] },
    ];
  });
}

function largestError(limit: string): number {
  const brackets = new ErrorBrackets(measurementModel(withCurrent(limit)));
  return brackets.maximum("high", { lower: 34, upper: 34 }).bound;
}

describe("a current into the node at 100 Mohm", () => {
  test("of 1 nA costs 0.1 V whatever the ratio of the divider", () => {
    const expected = (limit: string): number =>
      new ErrorPropagation(measurementModel(withCurrent(limit))).at(34).expected;
    // The middle of the limits is half the current.
    expect(expected("2 nA") - expected("1 fA")).toBeCloseTo(0.1, 3);
  });

  test("of 17 nA uses up 5 % of 34 V at the nominal resistance", () => {
    const used = largestError("17 nA") - largestError("1 fA");
    // 1.7 V, and a little more where the resistance is above nominal.
    expect(used).toBeGreaterThan(0.05 * 34 * 0.999);
    expect(used).toBeLessThan(0.05 * 34 * 1.03);
  });
});
