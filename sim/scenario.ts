import type { Design } from "../lib/design/design.ts";
import type { Occasion } from "../lib/design/quantity.ts";
import type { TransitionCurve } from "./transition-curve.ts";

/** A conductor of the plug. */
export type Pin = "L" | "N" | "PE";

/** Instruments' side of the plug. */
export interface TesterSetup {
  /** Pin that is the tester's own zero. */
  readonly ground: Pin;
  /** Pins measured against it, one or two channels. */
  readonly channels: readonly Pin[];
  /** F from each measured pin to the tester's ground: leads and socket. */
  readonly inputCapacitance: number;
  /** F from the tester's ground to earth. */
  readonly earthCapacitance: number;
}

/** One harmonic of the mains. */
export interface Harmonic {
  readonly order: number;
  /** Share of the fundamental. */
  readonly share: number;
  /** Turns of its own period by which its crest is ahead of the fundamental's. */
  readonly phaseTurns: number;
}

/** Something that happens to the mains; instants in s. */
export type Disturbance =
  /** Voltage times `factor`: a dip below 1, a swell above it. */
  | { readonly kind: "level"; readonly from: number; readonly to: number; readonly factor: number }
  /** The phase moves ahead by so many turns, for good. */
  | { readonly kind: "phaseJump"; readonly at: number; readonly turns: number }
  /** The source is gone; what remains at the terminals is an impedance, zero or above, ohm. */
  | {
      readonly kind: "interruption";
      readonly from: number;
      readonly to: number;
      readonly impedance: number;
    }
  /**
   * A burst of noise on the source: so many sines of equal size, one at a drawn frequency in each
   * equal part of the band, with drawn phases.
   */
  | {
      readonly kind: "burst";
      readonly from: number;
      readonly to: number;
      /** V, r.m.s. */
      readonly voltage: number;
      /** Hz, ends of the band. */
      readonly lowest: number;
      readonly highest: number;
      readonly tones: number;
      readonly seed: number;
    };

/** The supply: one live conductor and an earthed neutral. */
export interface Mains {
  /** V, r.m.s. of the fundamental. */
  readonly voltage: number;
  /** Hz. */
  readonly frequency: number;
  /** Turns of the fundamental at instant zero; its crest is at whole turns. */
  readonly phaseTurns: number;
  readonly harmonics: readonly Harmonic[];
  /** Ohm and H in the live conductor. */
  readonly resistance: number;
  readonly inductance: number;
  /** F from the live conductor to earth; above zero where there is inductance. */
  readonly capacitance: number;
  /** Whether the live conductor goes to the pin N instead of L. */
  readonly reversed: boolean;
  readonly disturbances: readonly Disturbance[];
}

/** When a pole opens and how. */
export interface PoleOpening {
  /** s, first separation. */
  readonly instant: number;
  /** Durations, s, after it: open, closed, open, ... an even number, so that it stays open. */
  readonly bounces: readonly number[];
  /** The arc lives until the current passes zero; absent: no arc. */
  readonly arc?: {
    /** A, below which no arc forms. */
    readonly leastCurrent: number;
    /** V across the arc against the current; with one, its resistance is above zero. */
    readonly voltage: number;
    /** Ohm in series with it. */
    readonly resistance: number;
    /**
     * s from the separation for which the arc cannot end. Its voltage appears at once, and stray
     * capacitances on both sides turn the current round for nanoseconds; an arc outlives that.
     */
    readonly leastDuration: number;
  };
}

/** Contacts between mains and pins. A pole without opening stays closed. */
export interface Disconnection {
  readonly L?: PoleOpening;
  readonly N?: PoleOpening;
  /** Ohm of a closed contact, zero or above. */
  readonly closedResistance: number;
  /** Ohm and F across an open contact; a resistance of zero stands for none. */
  readonly openResistance: number;
  readonly openCapacitance: number;
}

/** Parts between the pins and to earth that every product has; F and ohm. */
export interface PinParts {
  /** F from L and from N to earth: Y capacitors or the stray ones of a class II enclosure. */
  readonly earthCapacitance: { readonly L: number; readonly N: number };
  /** Ohm from L and from N to earth; zero stands for none. */
  readonly earthResistance: { readonly L: number; readonly N: number };
}

/** A passive product; F and ohm. */
interface Discharging {
  /** F between the pins. */
  readonly capacitance: number;
  /** Ohm between the pins; zero stands for none, as with the product's switch off. */
  readonly bleeder: number;
}

/** A source that appears on the pins. */
export interface ImposedTerm {
  /** V. */
  readonly amplitude: number;
  /** 1/s by which it decays; Hz; turns at the start. */
  readonly rate: number;
  readonly frequency: number;
  readonly phaseTurns: number;
}

/** Equipment under test. */
export type Product = PinParts &
  (
    | ({ readonly kind: "passive" } & Discharging)
    | ({
        readonly kind: "rectifier";
        /** F behind the bridge, ohm that loads it (zero: none). */
        readonly bulk: number;
        readonly load: number;
        /** V of two diodes, ohm of the conducting path. */
        readonly forwardVoltage: number;
        readonly resistance: number;
        /**
         * F from the bulk's negative end to earth, which takes part in the common mode: each diode
         * then conducts for itself. None where absent or zero: the bulk follows the pins.
         */
        readonly bulkEarthCapacitance?: number;
      } & Discharging)
    | ({
        readonly kind: "activeDischarge";
        /** s from the last opening until the discharge begins. */
        readonly delay: number;
        /** Ohm, or A: how it discharges. */
        readonly discharge: { readonly resistance: number } | { readonly current: number };
      } & Discharging)
    | ({
        readonly kind: "lineFilter";
        /** H and ohm of the choke, F behind it. */
        readonly inductance: number;
        readonly resistance: number;
        readonly innerCapacitance: number;
      } & Discharging)
    | { readonly kind: "open" }
    | ({
        readonly kind: "runDown";
        /** Share of the mains that the product generates, and its series resistance, ohm. */
        readonly share: number;
        readonly resistance: number;
        /** s after the last opening; frequency over that of the mains. */
        readonly timeConstant: number;
        readonly frequencyRatio: number;
      } & Discharging)
    /** An ideal source between L and N: for checks against closed forms and witnesses. */
    | { readonly kind: "imposed"; readonly terms: readonly ImposedTerm[] }
  );

/** When samples are taken. The rate is the design's. */
export interface Sampling {
  /** s of sample 0. */
  readonly phase: number;
  /** s, standard deviation of each instant; needs a noise stream. */
  readonly jitter: number;
  /**
   * The sampling capacitor of a design without buffer and filter as a part that is connected for
   * the acquisition before each sample; absent: its mean load as a resistance.
   */
  readonly charge?: {
    /** s. */
    readonly acquisition: number;
    /** What it starts from: the design's share of the reference, or the sample before. */
    readonly startsFrom: "reference" | "previousSample";
  };
}

/** Noise of each sample beside the drawn `noise_...` of the occasion. */
export type Noise =
  | { readonly kind: "none" }
  | {
      readonly kind: "random";
      readonly seed: number;
      /** White noise has the design's standard deviation and is cut at so many of it. */
      readonly cut: number;
      /** Hz at which 1/f noise has the density of the white noise; none where absent or zero. */
      readonly corner?: number;
    }
  /** LSB for sample `first` and those after it; none elsewhere. */
  | { readonly kind: "sequence"; readonly first: number; readonly values: readonly number[] };

/** Everything that happens and everything that is drawn; nothing else enters a simulation. */
export interface Scenario {
  readonly name: string;
  readonly design: Design;
  /** Drawn values by the names of `quantitiesOf(design)`; nominal where absent. */
  readonly quantities: Readonly<Record<string, number>>;
  /** True where values beyond the declared limits are meant: a defect. */
  readonly outsideLimits: boolean;
  /** Converter's transitions on each occasion. */
  readonly transitions: Readonly<Partial<Record<Occasion, TransitionCurve>>>;
  readonly tester: TesterSetup;
  /** Absent: no supply; L hangs on the product alone and N on earth. */
  readonly mains?: Mains;
  readonly disconnection: Disconnection;
  readonly product: Product;
  /** Whether the live conductor couples onto the node through the design's capacitance. */
  readonly interference: boolean;
  readonly sampling: Sampling;
  readonly noise: Noise;
  /** s. */
  readonly duration: number;
  /** V of the limit line that a picture shows, both polarities. */
  readonly limit?: number;
  /** s, first and last instant that a picture shows. */
  readonly view?: readonly [number, number];
}
