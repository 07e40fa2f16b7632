// Falsified by: a linear-programme solver that finds another least mean width than the unrounded
// fit, another least share for given volts, or another least volts for a given share.
import { createRequire } from "node:module";
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { fitAccuracyStatement } from "../../lib/guarantee/accuracy-fit.ts";
import { Decimal } from "../../lib/quantity/decimal.ts";
import { accuracyCases, extremes, provenBands } from "../support/accuracy-cases.ts";
import type { AccuracyCase } from "../support/accuracy-cases.ts";

// The package declares the types of its CommonJS build only, so that build is the one loaded.
const { default: loadHighs } = createRequire(import.meta.url)("highs") as typeof import("highs");
const highs = await loadHighs();

/** Voltages and errors of the cases are whole millivolts. */
const UNIT = 1000;

/** Bounds of the two columns, in the language of the programme. */
interface Columns {
  readonly share: string;
  readonly volts: string;
}

/**
 * Least `share * mean + volts` such that every extreme voltage and error of the bands is permitted,
 * one row each; `undefined` where the solver finds no such pair.
 */
function leastWidth(drawn: AccuracyCase, mean: number, columns: Columns): number | undefined {
  const rows = drawn.bands
    .flatMap((band) => extremes(band, drawn))
    .map(({ voltage, error }) => {
      const indication = Math.abs(voltage + error) / UNIT;
      return `${indication} share + volts >= ${Math.abs(error) / UNIT}`;
    });
  const programme = [
    "Minimize",
    `${mean} share + volts`,
    "Subject To",
    ...rows,
    "Bounds",
    columns.share,
    columns.volts,
    "End",
  ].join("\n");
  const found = highs.solve(programme, {
    output_flag: false,
    primal_feasibility_tolerance: 1e-10,
    dual_feasibility_tolerance: 1e-10,
  });
  return found.Status === "Optimal" ? found.ObjectiveValue : undefined;
}

function exactFit(drawn: AccuracyCase, fixed: { fixedShare?: Decimal; fixedVolts?: Decimal } = {}) {
  const [from, to] = [drawn.from, drawn.to].map((end) => Decimal.ofScaled(BigInt(end), -3));
  const bands = provenBands(drawn.bands, UNIT);
  return fitAccuracyStatement(bands, { from: from!, to: to!, ...fixed }).exact;
}

function expectNear(value: number, reference: number): void {
  expect(Math.abs(value - reference)).toBeLessThanOrEqual(1e-6 * Math.abs(reference) + 1e-9);
}

const FREE: Columns = { share: "0 <= share <= 0.99", volts: "volts >= 0" };

const wild = accuracyCases({ bands: 6, width: 12_000, error: 20_000, from: 1_000 });
const tame = accuracyCases({ bands: 40, width: 20_000, error: 3_000, from: 5_000 });
const cases = fc.oneof(wild, tame);

/** Bands of 2 V to +/-430 V, with errors that bend upwards as a share and a constant part do. */
const likeATester: AccuracyCase = {
  bands: Array.from({ length: 430 }, (_, index) => {
    const lower = -430_000 + 2_000 * index;
    const most = Math.max(Math.abs(lower), Math.abs(lower + 2_000));
    const size = Math.round(400 + 0.011 * most + 2e-9 * most * most);
    return { lower, upper: lower + 2_000, low: -size - 13, high: size };
  }),
  from: 30_000,
  to: 400_000,
};

describe("the fit before rounding and a linear programme over the same bands", () => {
  test("agree on the least mean width", () => {
    const kinds = { inside: 0, noShare: 0, noVolts: 0 };
    fc.assert(
      fc.property(cases, (drawn) => {
        const [from, to] = [drawn.from / UNIT, drawn.to / UNIT];
        const mean = from === to ? from : (to - from) / Math.log(to / from);
        const { share, volts } = exactFit(drawn);
        kinds[share === 0 ? "noShare" : volts === 0 ? "noVolts" : "inside"] += 1;
        expectNear(share * mean + volts, leastWidth(drawn, mean, FREE)!);
      }),
      { numRuns: 150 },
    );
    expect(Math.min(kinds.inside, kinds.noShare)).toBeGreaterThan(10);
  });

  test("agree on it for a curve such as a tester has", () => {
    const mean = 370 / Math.log(400 / 30);
    const { share, volts } = exactFit(likeATester);
    expectNear(share * mean + volts, leastWidth(likeATester, mean, FREE)!);
    expect(share).toBeGreaterThan(0.011);
    expect(volts).toBeGreaterThan(0.2);
  });

  test("agree on the least volts for a given share", () => {
    fc.assert(
      fc.property(cases, fc.integer({ min: 0, max: 99 }), (drawn, percent) => {
        const { volts } = exactFit(drawn, { fixedShare: Decimal.ofScaled(BigInt(percent), -2) });
        const columns = { share: `share = ${percent / 100}`, volts: "volts >= 0" };
        expectNear(volts, leastWidth(drawn, 0, columns)!);
      }),
      { numRuns: 200 },
    );
  });

  test("agree on the least share for given volts, or that there is none", () => {
    const outcomes = { found: 0, none: 0 };
    fc.assert(
      fc.property(cases, fc.integer({ min: 0, max: 200 }), (drawn, tenths) => {
        const columns = { ...FREE, volts: `volts = ${tenths / 10}` };
        const least = leastWidth(drawn, 1, columns);
        const fixed = { fixedVolts: Decimal.ofScaled(BigInt(tenths), -1) };
        outcomes[least === undefined ? "none" : "found"] += 1;
        if (least === undefined) expect(() => exactFit(drawn, fixed)).toThrow("at least");
        else expectNear(exactFit(drawn, fixed).share, least - tenths / 10);
      }),
      { numRuns: 200 },
    );
    expect(Math.min(outcomes.found, outcomes.none)).toBeGreaterThan(10);
  });
});
