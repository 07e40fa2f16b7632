import type { Design } from "../../lib/design/design.ts";
import type { Scenario } from "../../sim/index.ts";

/** What a firmware is said to keep; durations in s, voltages in V, capacitances in F. */
export interface Promises {
  /** Longest time from the first separation of a contact to its last. */
  readonly bounce: number;
  /** Longest time from the last opening to its confirmation. */
  readonly latency: number;
  /** Earliest and latest instant of the reading against the stated one. */
  readonly instant: readonly [number, number];
  /** Below this product capacitance nothing is claimed. */
  readonly smallestCapacitance: number;
  /** Below this voltage a disconnection need not be found. */
  readonly triggerLevel: number;
  /** Limit lines whose crossing is timed. */
  readonly lines: readonly number[];
}

/** A proven bound of the error of indication, V, for true voltages of one band. */
export interface BoundBand {
  readonly lower: number;
  readonly upper: number;
  /** Signed errors. */
  readonly low: number;
  readonly high: number;
}

/** What a campaign knows before its first scenario. */
export interface CampaignContext {
  readonly design: Design;
  readonly promises: Promises;
  /** Bounds for the reading at its own instant: a latency of zero. */
  readonly voltageBounds: readonly BoundBand[];
  /** Bounds at the stated instant, the declared latency included. */
  readonly statedBounds: readonly BoundBand[];
}

/** What goes wrong between the converter and the firmware; samples counted from the first. */
export type DeliveryFault =
  /** Samples that never arrive; the count of lost ones is told. */
  | { readonly kind: "lost"; readonly first: number; readonly count: number }
  /** The code of the first of these samples stays. */
  | { readonly kind: "stuck"; readonly first: number; readonly count: number }
  /** The converter gives this code. */
  | {
      readonly kind: "railed";
      readonly first: number;
      readonly count: number;
      readonly at: "lowest" | "highest";
    };

/** One scenario with everything round it. */
export interface Situation {
  readonly scenario: Scenario;
  readonly promises: Promises;
  readonly mode: "watch" | "automatic";
  readonly faults: readonly DeliveryFault[];
  /** Time stamp of sample 0, ticks. */
  readonly counterStart: number;
  /** Samples of a block. */
  readonly blockSize: number;
  /** Measurements to be made one after the other, at least one. */
  readonly measurements: number;
  /** Codes in place of the simulated ones, from sample 0 on. */
  readonly codes?: Int32Array;
  /** s from the command to the opening of the tester's own contact. */
  readonly contactDelay: number;
}

/** Bound that covers a true voltage; undefined outside all bands. */
export function boundAt(bands: readonly BoundBand[], volts: number): BoundBand | undefined {
  return bands.find(({ lower, upper }) => volts >= lower && volts <= upper);
}

/** Largest proven error of any band within a voltage of zero, V. */
export function largestBound(bands: readonly BoundBand[], within: number): number {
  const near = bands.filter(({ lower, upper }) => lower <= within && upper >= -within);
  return Math.max(...near.flatMap(({ low, high }) => [-low, high]));
}
