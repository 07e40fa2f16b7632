import type { Decimal } from "../quantity/decimal.ts";

/** Where a figure comes from. Only `guaranteed` carries a guarantee further. */
export type Basis = "guaranteed" | "typical" | "characterised" | "measured" | "assumed";

/** Origin of a figure: its basis and the document with revision it was read in. */
export interface Origin {
  readonly basis: Basis;
  readonly document?: string;
}

/** Distribution inside the limits, for the probabilistic reading only. */
export type LimitDistribution =
  | { readonly shape: "rectangular" }
  | { readonly shape: "triangular" }
  | { readonly shape: "arcsine" }
  | { readonly shape: "twoPoint" }
  /** The limits are `coverageFactor` standard uncertainties from their middle. */
  | { readonly shape: "normal"; readonly coverageFactor: number };

/**
 * For what a quantity keeps its value: production, one unit for life; drift, one unit and growing
 * with time; environment, all parts of a unit at one moment; reading, one reading.
 */
export type QuantityKind = "production" | "drift" | "environment" | "reading";

/** Occasions on which the chain is read: in use, and at each adjustment point. */
export type Occasion = "use" | "adjustLow" | "adjustHigh";

/** A declared pair of limits with everything said about them. */
export interface Limits {
  readonly lower: Decimal;
  readonly upper: Decimal;
  readonly distribution: LimitDistribution;
  /** Infinite when absent. */
  readonly degreesOfFreedom?: number;
  readonly origin: Origin;
}

/**
 * A toleranced quantity of a design. Its name is made here and used by every reader: a name used
 * twice is the same quantity.
 */
export interface Quantity extends Limits {
  /** Identifier, as `upper1_tolerance` or `ambient_use`. */
  readonly name: string;
  /** What it is, in a few words. */
  readonly meaning: string;
  /** Part it belongs to, as `divider.upper[0]`. */
  readonly part: string;
  readonly kind: QuantityKind;
  /** `all`: one value for every reading of the unit; otherwise the one reading it belongs to. */
  readonly occasion: "all" | Occasion;
  readonly nominal: Decimal;
  /** SI unit, `1` for a ratio, `LSB` for codes. */
  readonly unit: string;
}
