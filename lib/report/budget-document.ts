import type { Certificate } from "../guarantee/certificate.ts";
import type { Effect } from "../guarantee/effects.ts";

/** A witness: one number for every symbol but the roundings, in the symbol's unit. */
export type Witness = Readonly<Record<string, number>>;

/** One side of the error on one band; volts, signed as indication minus true voltage. */
export interface SideFigures {
  /** No error inside the limits passes it on this side; rounded outward. */
  readonly proven: number;
  /** Error of the witness through the real roundings, plain doubles. */
  readonly witnessed: number;
  /** (proven - witnessed) / proven. */
  readonly gap: number;
  readonly witness: Witness;
  /** Quantities that still had no sign where the bound was accepted. */
  readonly undecided: readonly string[];
}

/** One symbol of the equation with its limits; decimals are exact strings. */
export interface SymbolRow {
  readonly name: string;
  readonly meaning: string;
  readonly nominal: string;
  readonly lower: string;
  readonly upper: string;
  readonly unit: string;
  readonly kind: "production" | "drift" | "environment" | "reading" | "measurand" | "rounding";
  readonly part: string;
  readonly occasion: "all" | "use" | "adjustLow" | "adjustHigh";
  /** The limits are those of the row's band. */
  readonly perBand: boolean;
  readonly distribution:
    | { readonly shape: "rectangular" | "triangular" | "arcsine" | "twoPoint" }
    | { readonly shape: "normal"; readonly coverageFactor: number };
  /** `null`: infinite. */
  readonly degreesOfFreedom: number | null;
  readonly basis: string;
  readonly document: string;
}

/** Contribution of one quantity at the nominal point. */
export interface TermRow {
  readonly symbol: string;
  readonly part: string;
  readonly kind: SymbolRow["kind"];
  /** Volts per unit of the symbol. */
  readonly sensitivity: number;
  /** Largest magnitude of sensitivity times deviation, V. */
  readonly volts: number;
}

/** Share of one quantity in the variance of the error. */
export interface ShareRow {
  readonly symbol: string;
  readonly part: string;
  readonly kind: SymbolRow["kind"];
  /** 0 to 1, of first order; all together 1. */
  readonly share: number;
  /** With every interaction, sampled through the real roundings; only where it was worked out. */
  readonly total?: number;
}

/** The probabilistic figures of one row, at its voltage and not over its band; volts. */
export interface RowUncertainty {
  /** Expected error: the expanded uncertainty lies about it. */
  readonly estimate: number;
  readonly combinedStandardUncertainty: number;
  readonly coverageProbability: number;
  /** Not truncated; "infinite" where every standard uncertainty is known exactly. */
  readonly effectiveDegreesOfFreedom: number | "infinite";
  readonly coverageFactor: number;
  /** Law of propagation, JCGM 100, with a rectangular quantity for each rounding. */
  readonly expandedUncertainty: number;
  /** Probabilistically symmetric interval of the trials, JCGM 101, with the real roundings. */
  readonly coverageInterval: { readonly lower: number; readonly upper: number };
  readonly trials: number;
  /**
   * Two standard deviations of the less steady end over half the width of the interval; where the
   * indication is rounded an end moves in whole steps.
   */
  readonly endStability: number;
  /** Whether the law of propagation agrees with the trials to one digit. JCGM 101, 8.1. */
  readonly validated: boolean;
  /** Largest first; of the law of propagation. */
  readonly shares: readonly ShareRow[];
}

/** The budget at one voltage; the proven figures hold for every true voltage of the band. */
export interface BudgetRow extends Partial<RowUncertainty> {
  readonly voltage: number;
  readonly band: { readonly lower: string; readonly upper: string };
  readonly high: SideFigures;
  readonly low: SideFigures;
  /** The larger magnitude of the two proven figures. */
  readonly provenError: number;
  readonly witnessedError: number;
  readonly gap: number;
  /** False where a figure came from a computed double and not from a typed decimal. */
  readonly guaranteed: boolean;
  readonly stopped: "gap" | "work" | "rounding";
  /** What common practice would give: sum of magnitudes at the nominal point. */
  readonly linearSum: number;
  readonly rootSumSquare: number;
  /** Largest first. */
  readonly terms: readonly TermRow[];
  /** Ids of the published limits at this voltage. */
  readonly limits: readonly string[];
}

export type Verdict = "holds" | "doesNotHold" | "notProven";

/** The signed errors a requirement allows: lower <= 0 <= upper, V. */
export interface PermittedRange {
  /** True voltage, V. */
  readonly voltage: number;
  readonly lower: number;
  readonly upper: number;
}

/** Where a requirement asks for its accuracy, and what it allows there. */
export interface RequirementPlaces {
  /** "points": at the voltages listed and nowhere else; "range": at every one between them too. */
  readonly over: "points" | "range";
  /** Ascending by voltage, one or more. */
  readonly errors: readonly PermittedRange[];
}

/** A requirement judged at one voltage or over a range; the binding side is shown. */
export interface RequirementRow {
  readonly id: string;
  readonly text: string;
  readonly source: string;
  /** True voltage at which the margin is least, V. */
  readonly voltage: number;
  readonly side: "high" | "low";
  /** Error allowed there on that side, magnitude, V. */
  readonly limit: number;
  readonly proven: number;
  readonly witnessed: number;
  /** limit - proven, V. */
  readonly margin: number;
  readonly verdict: Verdict;
  /** For the picture; without it only the binding side at the binding voltage is drawn. */
  readonly permitted?: RequirementPlaces;
}

/** Another instrument's statement beside the design's own error at the voltages of the rows. */
export interface ComparisonRow {
  readonly name: string;
  readonly text: string;
  /** Permitted error at each row's voltage, V. */
  readonly errors: readonly number[];
  /** Voltage below which it permits more than 5 % of the indication, V. */
  readonly exceedsFivePercentBelow: number | "never" | "always";
}

/** +/-(share of indication + volts), decimals as exact text. */
export interface StatementFigures {
  /** Fraction of the magnitude of the indication. */
  readonly share: string;
  /** V. */
  readonly volts: string;
}

/** The accuracy a data sheet may state: |I - V| <= share |I| + volts, proven. */
export interface StatementDocument extends StatementFigures {
  /** Magnitudes of true voltage for which it holds, V. */
  readonly from: string;
  readonly to: string;
  /** The pair before rounding. */
  readonly exact: { readonly share: number; readonly volts: number };
  /** Ends of the curve of pairs: no share, and least volts. */
  readonly ends: readonly StatementFigures[];
  /** What picked the pair, one sentence. */
  readonly objective: string;
  /**
   * Share of the statement that each stretch of the range is proven not to exceed, 0 to 1: no
   * tighter than the statement needs.
   */
  readonly used: readonly {
    readonly lower: string;
    readonly upper: string;
    readonly low: number;
    readonly high: number;
  }[];
}

/** One named part of an equation. */
export interface EquationPart {
  readonly name: string;
  readonly infix: string;
}

/** What `plumbvolt budget --json` prints. */
export interface BudgetDocument {
  readonly format: "plumbvolt.budget/1";
  readonly producer: { readonly name: string; readonly version: string };
  readonly design: {
    readonly name: string;
    readonly revision: string;
    readonly sha256: string;
  };
  readonly conditions: Readonly<Record<string, string>>;
  readonly measuringInterval: readonly (readonly [string, string])[];
  readonly symbols: readonly SymbolRow[];
  readonly equation: {
    readonly unit: "V";
    readonly shown: { readonly definitions: readonly EquationPart[]; readonly error: string };
    readonly bounded: { readonly definitions: readonly EquationPart[]; readonly error: string };
    readonly quantisers: readonly {
      readonly shown: string;
      readonly argument: string;
      readonly symbol: string;
      readonly mode: "nearest" | "down";
    }[];
  };
  readonly rows: readonly BudgetRow[];
  /** For what the probabilistic figures of the rows speak; absent where there are none. */
  readonly uncertaintyFor?: string;
  readonly requirements: readonly RequirementRow[];
  readonly comparisons: readonly ComparisonRow[];
  readonly statement: StatementDocument;
  /** What adjustment, temperature and time do to the error; only where it was asked for. */
  readonly effects?: readonly Effect[];
  /** Proofs of the rows, for the checker. */
  readonly certificate: Certificate;
  /** Figures that are no guaranteed limits, as "divider.upper[0] tolerance: typical (document)". */
  readonly conditionalOn: readonly string[];
  readonly assumptions: readonly string[];
  readonly notModelled: readonly string[];
  readonly cautions: readonly string[];
}
