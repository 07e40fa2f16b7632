import type { Design } from "../../lib/design/design.ts";

/** What a firmware promises beside the figures of its design. Claims hold it to them. */
export interface Promises {
  /** s: longest time over which contacts may bounce. */
  readonly bounce: number;
  /** s from the last opening until the disconnection is confirmed or reported below trigger. */
  readonly latency: number;
  /** s: how early and how late the reported opening may lie. */
  readonly instant: { readonly lower: number; readonly upper: number };
  /** V below which a disconnection need not be found. */
  readonly triggerLevel: number;
  /** F: smallest capacitance of a product in scope. */
  readonly smallestCapacitance: number;
  /** Share of the crest: a contact that closes again and moves the pins by less may go unseen. */
  readonly reclosureShare: number;
  /**
   * Share of the crest from which on a converter that sticks may be taken for a held voltage: the
   * mains stand still there, and so does a large capacitor.
   */
  readonly restingShare: number;
}

/** Promises where a firmware declares none of its own. */
export const DEFAULT_PROMISES: Promises = {
  bounce: 10e-3,
  latency: 25e-3,
  // Where the design does not say.
  instant: { lower: -1e-3, upper: 1e-3 },
  triggerLevel: 20,
  smallestCapacitance: 1.2e-9,
  // Twice the 10 % that firmware compares with: the filter flattens what is shorter than itself.
  reclosureShare: 0.2,
  restingShare: 0.75,
};

/** Promises where a firmware declares none, for a design: it says itself how late its reading is. */
export function usualPromises({ timing }: Design): Promises {
  if (timing === undefined) return DEFAULT_PROMISES;
  const { lower, upper } = timing.latency;
  return { ...DEFAULT_PROMISES, instant: { lower: lower.toNumber(), upper: upper.toNumber() } };
}
