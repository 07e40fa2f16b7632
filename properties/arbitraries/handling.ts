import type { Configuration } from "../../sim/firmware/port.ts";

/** What goes wrong between the converter and the firmware; samples counted from the first. */
export type DeliveryFault =
  /** Samples that never arrive; how many is told. */
  | { readonly kind: "lost"; readonly first: number; readonly count: number }
  /** Samples that never arrive without a word: only the time stamp of the next one tells. */
  | { readonly kind: "skipped"; readonly first: number; readonly count: number }
  /** Samples that are handed in twice, the second time with the same time stamps. */
  | { readonly kind: "repeated"; readonly first: number; readonly count: number }
  /** The code of the first of these samples stays. */
  | { readonly kind: "stuck"; readonly first: number; readonly count: number }
  /** The code is one beyond the highest that the converter has. */
  | { readonly kind: "wild"; readonly first: number; readonly count: number }
  /** The input stage reports saturation; the codes are as they come. */
  | { readonly kind: "saturated"; readonly first: number; readonly count: number }
  /** The converter gives its lowest or its highest code. */
  | {
      readonly kind: "railed";
      readonly first: number;
      readonly count: number;
      readonly at: "lowest" | "highest";
    };

/** Measurements that a tester has made before the one that is looked at. */
export interface EarlierMeasurements {
  readonly count: number;
  /** Samples after which each is broken off by arming again; at its end where absent. */
  readonly brokenOffAt?: number;
  readonly faults?: readonly DeliveryFault[];
  /** Their codes, made from those of the one that is looked at; the same where absent. */
  readonly codes?: (codes: Int32Array) => Int32Array;
}

/** How the samples of a scenario reach the firmware; what is left out is as usual. */
export interface Handling {
  readonly faults?: readonly DeliveryFault[];
  /**
   * `automatic`: the firmware opens the tester's own contact, and the scenario's openings are
   * replaced by that of pole L.
   */
  readonly mode?: "watch" | "automatic";
  /** s from the command until the contact opens. */
  readonly contactDelay?: number;
  /** Measurements before this one, re-armed between; none where absent. */
  readonly earlier?: EarlierMeasurements;
  /** Samples after which the report is asked for; at the end where absent. */
  readonly until?: number;
  /** s after the opening at which is read, in place of the design's, where the firmware agrees. */
  readonly moment?: number;
  /** Time stamp of sample 0; near the end of the counter it wraps. */
  readonly firstTick?: number;
  /** Samples handed in at once. */
  readonly block?: number;
  /** Configuration in place of the design's; one that the firmware refuses is what is asked for. */
  readonly configured?: (usual: Configuration) => Configuration;
  /** Codes of each channel, made from those of the one that is simulated. */
  readonly wired?: (codes: Int32Array) => readonly Int32Array[];
  /** Codes in place of those of the simulation, from sample 0 on. */
  readonly codes?: Int32Array;
  /** What becomes of each code in a converter that is broken. */
  readonly recode?: (code: number) => number;
}
