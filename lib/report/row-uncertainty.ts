import type { MeasurementModel } from "../chain/measurement-model.ts";
import { errorModel } from "../uncertainty/error-model.ts";
import type { Particulars } from "../uncertainty/particulars.ts";
import { uncertaintyAlong } from "../uncertainty/uncertainty-along.ts";
import type { SweepOptions, SweptUncertainty } from "../uncertainty/uncertainty-along.ts";
import { totalEffects } from "../uncertainty/total-effects.ts";
import { demandingRow } from "./term-groups.ts";
import type { BudgetDocument, BudgetRow, RowUncertainty, ShareRow } from "./budget-document.ts";

/** How the probabilistic figures are made, and for what they speak. */
export interface RowUncertaintyOptions extends SweepOptions {
  /** Absent: for any unit made to the drawing. */
  readonly particulars?: Particulars;
  /** For what the figures speak, as printed; needed with particulars. */
  readonly words?: string;
}

const ADDED: ReadonlyMap<string, Pick<ShareRow, "part" | "kind">> = new Map([
  ["certificate_error", { part: "certificate", kind: "production" }],
  ["repeatability", { part: "use", kind: "reading" }],
  ["loading_correction", { part: "use", kind: "environment" }],
]);

function sharesOf(row: BudgetRow, { contributions }: SweptUncertainty): ShareRow[] {
  const known = new Map(row.terms.map((term) => [term.symbol, term]));
  return contributions
    .filter(({ share }) => share > 0)
    .map(({ input, share }) => {
      const { part, kind } = known.get(input) ??
        ADDED.get(input) ?? { part: "quantiser", kind: "rounding" };
      return { symbol: input, part, kind, share };
    })
    .sort((one, other) => other.share - one.share);
}

/** Figures of one row as the document holds them; infinite degrees of freedom as a word. */
function rowUncertainty(
  row: BudgetRow,
  found: SweptUncertainty,
  coverageProbability: number,
): RowUncertainty {
  const { propagated, monteCarlo, validation } = found;
  const { effectiveDegreesOfFreedom: freedom } = propagated;
  return {
    estimate: propagated.estimate,
    combinedStandardUncertainty: propagated.combinedStandardUncertainty,
    coverageProbability,
    effectiveDegreesOfFreedom: freedom === Infinity ? "infinite" : freedom,
    coverageFactor: propagated.coverageFactor,
    expandedUncertainty: propagated.expandedUncertainty,
    coverageInterval: monteCarlo.interval,
    trials: monteCarlo.trials,
    endStability: monteCarlo.endStability,
    validated: validation.isValid,
    shares: sharesOf(row, found),
  };
}

/**
 * The probabilistic figures at the voltages of rows and not over their bands: JCGM 100 with a
 * rectangular quantity for each rounding, JCGM 101 with the real roundings. One core.
 */
export function sweepVoltages(
  model: MeasurementModel,
  voltages: readonly number[],
  options: RowUncertaintyOptions,
): readonly SweptUncertainty[] {
  const swept = errorModel(model, options.particulars);
  const parameters = voltages.map((voltage) => swept.parametersAt(voltage));
  return uncertaintyAlong(swept, parameters, options);
}

/** Rows of a budget with what {@link sweepVoltages} found beside the proven figures. */
export function withUncertainty(
  rows: readonly BudgetRow[],
  found: readonly SweptUncertainty[],
  { coverageProbability = 0.95 }: RowUncertaintyOptions,
): readonly BudgetRow[] {
  return rows.map((row, index) => ({
    ...row,
    ...rowUncertainty(row, found[index]!, coverageProbability),
  }));
}

/** Inputs whose total effect is sampled, and trials for each. */
const MOST_TOTALS = 8;
const TOTAL_TRIALS = 4_096;

/** The document with total effects beside the largest shares of the row that is hardest. */
export function withTotalEffects(
  model: MeasurementModel,
  document: BudgetDocument,
  { particulars, seed = 1 }: RowUncertaintyOptions,
): BudgetDocument {
  const row = demandingRow(document)?.row;
  const { shares } = row ?? {};
  if (row === undefined || shares === undefined) return document;
  const swept = errorModel(model, particulars);
  const effects = totalEffects(swept, {
    parameters: swept.parametersAt(row.voltage),
    inputs: shares.slice(0, MOST_TOTALS).map(({ symbol }) => symbol),
    trials: TOTAL_TRIALS,
    seed,
  });
  const totalOf = new Map(effects.map(({ input, total }) => [input, total]));
  const completed = shares.map((share): ShareRow => {
    const total = totalOf.get(share.symbol);
    return total === undefined ? share : { ...share, total };
  });
  const rows = document.rows.map((one) => (one === row ? { ...one, shares: completed } : one));
  return { ...document, rows };
}
