import { expectedVolt } from "./mains.ts";
import type { LearnedMains } from "./mains.ts";

/** The figures of the method: s, and shares of the crest. */
export interface Method {
  /** s: how long the voltage is held before a disconnection is believed. */
  readonly hold: number;
  /** Share of the crest by which a sample leaves the mains. */
  readonly divergence: number;
  /** Share of the crest within which a sample still is the mains. */
  readonly agreement: number;
  /** Share of the crest by which a held voltage may rise. */
  readonly rise: number;
}

/** Figures with which the claims hold. */
export const USUAL_METHOD: Method = { hold: 9.5e-3, divergence: 0.1, agreement: 6e-3, rise: 0.02 };

/** s from the opening to the divergence at most, and s of agreement that end the search for it. */
const LONGEST_BACK = 6e-3;
const QUIET = 2e-3;

/** s before the voltage was held within which the opening lies; earlier ones were bounces. */
const LONGEST_BEFORE_HOLD = 5e-3;

/** Periods after which a candidate that came to nothing is given up. */
const PATIENCE = 6;

/** What came of one more sample. */
export type Finding =
  | { readonly kind: "watching" | "candidate" }
  | { readonly kind: "belowTrigger" }
  /** The candidate came to nothing, and the mains is no longer the one that was learned. */
  | { readonly kind: "lost" }
  /** `opening` in samples, with a fraction; the filter's lag is not taken off. */
  | { readonly kind: "confirmed"; readonly opening: number };

/**
 * Finds the disconnection: a sample that leaves the mains makes a candidate, a voltage that is held
 * confirms it. Samples are counted from the start, instants in samples.
 */
export class Trigger {
  /** Sample that left the mains; undefined while watching. */
  divergence: number | undefined;
  private end: number;
  private heldSince: number | undefined;
  private lowSince: number | undefined;
  private least = 0;
  private readonly volts: readonly number[];
  private readonly mains: LearnedMains;
  private readonly setup: {
    readonly method: Method;
    readonly level: number;
    readonly rate: number;
  };

  /** `level`: trigger level, V; `rate`: samples per second. Watching begins at the last sample. */
  constructor(
    volts: readonly number[],
    mains: LearnedMains,
    setup: { readonly method: Method; readonly level: number; readonly rate: number },
  ) {
    this.volts = volts;
    this.mains = mains;
    this.setup = setup;
    this.end = volts.length - 1;
  }

  private distance(sample: number): number {
    const expected = expectedVolt(this.volts, this.mains, { sample, end: this.end });
    return Math.abs(this.volts[sample]! - expected) / this.mains.crest;
  }

  /** Follows how long the voltage is held, and how long it is below the trigger level. */
  private follow(k: number): void {
    const { level, method } = this.setup;
    const volt = this.volts[k]!;
    const size = Math.abs(volt);
    const isSameSign = Math.sign(volt) === Math.sign(this.volts[k - 1]!);
    const isHeld = isSameSign && size <= this.least + method.rise * this.mains.crest;
    if (size >= level && isHeld && this.heldSince !== undefined)
      this.least = Math.min(this.least, size);
    else {
      this.heldSince = size >= level ? k : undefined;
      this.least = size;
    }
    if (size >= level) this.lowSince = undefined;
    else this.lowSince ??= k;
  }

  /** Goes back from the divergence to where the samples last were the mains. */
  private backDated(): number {
    const { rate, method } = this.setup;
    const begin = this.heldSince! - Math.round(LONGEST_BEFORE_HOLD * rate);
    let found = Math.max(this.divergence!, begin, 1);
    const earliest = Math.max(1, found - Math.round(LONGEST_BACK * rate));
    let quiet = 0;
    for (let k = found; k >= earliest && quiet <= QUIET * rate; k -= 1) {
      if (this.distance(k) > method.agreement) {
        found = k;
        quiet = 0;
      } else quiet += 1;
    }
    return found;
  }

  private isMainsAgain(k: number): boolean {
    for (let j = k - Math.floor(this.mains.period); j <= k; j += 1)
      if (this.distance(j) > this.setup.method.divergence) return false;
    return true;
  }

  /** Takes the sample that was appended last. */
  next(): Finding {
    const { method, rate } = this.setup;
    const { period } = this.mains;
    const k = this.volts.length - 1;
    if (this.divergence === undefined) {
      if (this.distance(k) <= method.divergence) {
        this.end = k;
        return { kind: "watching" };
      }
      this.divergence = k;
      this.heldSince = undefined;
    }
    this.follow(k);
    const hold = Math.round(method.hold * rate);
    if (this.heldSince !== undefined && k - this.heldSince >= hold)
      return { kind: "confirmed", opening: this.backDated() };
    if (this.lowSince !== undefined && k - this.lowSince >= period + hold)
      return { kind: "belowTrigger" };
    if (k - this.divergence > PATIENCE * period) return { kind: "lost" };
    const isOver = this.heldSince === undefined && k - this.divergence > period;
    if (!isOver || !this.isMainsAgain(k)) return { kind: "candidate" };
    this.divergence = undefined;
    this.end = k;
    return { kind: "watching" };
  }
}
