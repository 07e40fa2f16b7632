/** What a calibration certificate states at one voltage, V. */
export interface CertificatePoint {
  /** True voltage. */
  readonly voltage: number;
  /** Error of indication found. */
  readonly error: number;
  readonly expandedUncertainty: number;
}

/** A calibration of one unit. */
export interface UnitCertificate {
  readonly document: string;
  /** Ambient temperature at which it was made, degrees Celsius. */
  readonly ambientCelsius: number;
  readonly coverageFactor: number;
  /** Of the uncertainties; infinite when absent. */
  readonly degreesOfFreedom?: number;
  /** Ascending voltages, two or more; between them the figures are taken along straight lines. */
  readonly points: readonly CertificatePoint[];
}

/** Correction of a result to the voltage without the tester; fractions of the voltage. */
export interface LoadingCorrection {
  /** What the tester takes away. */
  readonly correction: number;
  readonly standardUncertainty: number;
  /** Whether the result was corrected; if not, the correction counts as an error. */
  readonly isApplied: boolean;
}

/** How one result came about. */
export interface ResultInUse {
  /** Ambient temperature during the reading, degrees Celsius. */
  readonly ambientCelsius?: { readonly lower: number; readonly upper: number };
  /** Repeated readings whose mean is the result, V; their scatter is what counts. */
  readonly readings?: readonly number[];
  readonly loading?: LoadingCorrection;
}

/** What is known of one unit, or of one result, beyond the drawing. */
export interface Particulars {
  readonly certificate?: UnitCertificate;
  readonly use?: ResultInUse;
}

/**
 * For what an uncertainty budget speaks: `type`, any unit made to the drawing; `unit`, the one on
 * the certificate; `result`, one result in use.
 */
export type BudgetSubject = "type" | "unit" | "result";
