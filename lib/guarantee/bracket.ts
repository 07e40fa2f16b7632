import type { ProofStep, Stop } from "./maximum.ts";

/** Sides of the error: `high`, indication above the true voltage; `low`, below it. */
export type Side = "high" | "low";

export const SIDES = ["high", "low"] as const;

/** Magnitude of an error of each side, V: towards which sign, a side's name says. */
export type Magnitudes = Readonly<Record<Side, number>>;

/** A statement on the codes from the lower end of a band to a voltage. */
export interface CodeClaim {
  readonly code: number;
  /** V; reversed in sign for the low side. */
  readonly voltage: number;
  readonly proof: ProofStep;
}

/** What the proven figure of one side rests on. */
export type SideClaim =
  /** The error over the whole band, every rounding a quantity. */
  | { readonly kind: "error"; readonly proof: ProofStep }
  /** Codes that cannot occur; codes and voltages of the low side have their signs reversed. */
  | {
      readonly kind: "codes";
      /** No higher code at the lower end of the band. */
      readonly first: CodeClaim;
      /** Each code above the first, and the voltage up to which it cannot occur. */
      readonly thresholds: readonly CodeClaim[];
      /** No higher code anywhere in the band. */
      readonly last: CodeClaim;
    };

/** One side of the error on one band, proven from outside; signed volts. */
export interface SideBound {
  readonly proven: number;
  readonly boxes: number;
  /** Slots of the quantities that had no sign where the bound was accepted. */
  readonly undecided: readonly number[];
  readonly stopped: Stop;
  readonly claim: SideClaim;
  /** Point of the bounded equation that comes closest, by slot; only where it was bounded so. */
  readonly point?: Float64Array;
}

/** One side of the error on one band, proven from outside and witnessed from inside. */
export interface SideBracket extends SideBound {
  readonly witnessed: number;
  /** Values of all symbols that reach the witnessed error through the real roundings. */
  readonly witness: Float64Array;
}

/** Proven figures of both sides on one band. */
export interface Bound {
  readonly band: { readonly lower: number; readonly upper: number };
  readonly high: SideBound;
  readonly low: SideBound;
}

/** Both sides on one band, from outside and from inside. */
export interface Bracket extends Bound {
  readonly high: SideBracket;
  readonly low: SideBracket;
}

/** (proven - witnessed) / proven of one side; 0 where the proven error is 0. */
export function gapOf({ proven, witnessed }: SideBracket): number {
  return proven === 0 ? 0 : Math.abs((proven - witnessed) / proven);
}

/**
 * A proven figure leaves this much more room than the arithmetic of the proof asks for, so that a
 * checker with other arithmetic and other rounding confirms it.
 */
const CHECKER_ROOM = 2 ** -40;

/** A bound in volts, moved away from zero by the room kept for the checker. */
export function withCheckerRoom(bound: number): number {
  return bound + (Math.abs(bound) + 1e-3) * CHECKER_ROOM;
}

/** The bound that, with the room kept for the checker, is no more than a proven figure. */
export function withoutCheckerRoom(proven: number): number {
  return proven - 2 * (Math.abs(proven) + 1e-3) * CHECKER_ROOM;
}
