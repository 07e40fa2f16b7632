/** Sides of the error: `high`, indication above the true voltage; `low`, below it. */
export type Side = "high" | "low";

/** One side of the error on one band: proven from outside, witnessed from inside; signed volts. */
export interface SideBracket {
  readonly proven: number;
  readonly witnessed: number;
  /** Values of all symbols that reach the witnessed error through the real roundings. */
  readonly witness: Float64Array;
  readonly boxes: number;
  readonly undecided: readonly number[];
  readonly stopped: "gap" | "work" | "rounding";
}

/** Both sides on one band. */
export interface Bracket {
  readonly band: { readonly lower: number; readonly upper: number };
  readonly high: SideBracket;
  readonly low: SideBracket;
}

/** (proven - witnessed) / proven of one side; 0 where the proven error is 0. */
export function gapOf({ proven, witnessed }: SideBracket): number {
  return proven === 0 ? 0 : Math.max(0, (proven - witnessed) / proven);
}
