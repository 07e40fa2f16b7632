import type { EnergySourceClass } from "./charged-capacitor-table.ts";

/**
 * How a figure came here: "confirmed", read in a public text that states it; "fromMemory", recalled
 * and not yet read, so that it is shown only together with {@link EDITION_ADVICE}.
 */
export type SourceStatus = "confirmed" | "fromMemory";

/** Shown beside every figure whose status is "fromMemory". */
export const EDITION_ADVICE =
  "recalled and not read in the standard: check the current edition before you rely on it";

/** Where a voltage stands: between the conductors of the plug, or at the part named. */
export type Pins =
  | "L-N"
  | "L-L"
  | "L-PE"
  | "N-PE"
  | "L-enclosure"
  | "N-enclosure"
  | "accessibleParts"
  | "externalTerminals"
  | "liveParts";

/** What kind of voltage a figure in volts is. */
export type VoltageForm = "peak" | "dc" | "rms" | "notStated";

/** Peak voltages for which a limit is stated, V: `above` excluded, `upTo` included. */
export interface PeakVoltageBand {
  readonly above: number;
  /** Absent where no upper end is stated. */
  readonly upTo?: number;
}

/** What must not be exceeded; SI units. */
export type LimitValue =
  | { readonly kind: "voltage"; readonly voltage: number; readonly form: VoltageForm }
  | { readonly kind: "charge"; readonly charge: number; readonly band?: PeakVoltageBand }
  | { readonly kind: "energy"; readonly energy: number; readonly band?: PeakVoltageBand }
  | { readonly kind: "capacitance"; readonly capacitance: number; readonly band?: PeakVoltageBand }
  | { readonly kind: "current"; readonly current: number; readonly form: VoltageForm }
  /** The voltage has fallen to `fraction` of its initial value after one `timeConstant`. */
  | { readonly kind: "timeConstant"; readonly timeConstant: number; readonly fraction: number }
  /** A voltage that depends on the capacitance, see `chargedCapacitorLimit`. */
  | { readonly kind: "chargedCapacitorTable"; readonly energySource: EnergySourceClass }
  /** A measure other than a low voltage, in words. */
  | { readonly kind: "measure"; readonly measure: string };

/** Capacitance from which on the requirement applies. */
export interface CapacitanceThreshold {
  /** F. */
  readonly capacitance: number;
  /**
   * Whether a product with exactly that capacitance is tested ("atOrAbove") or exempt ("above").
   */
  readonly tested: "above" | "atOrAbove";
  /** Where the threshold holds only for some supplies or editions. */
  readonly where?: string;
}

/** To which products a line applies. */
export interface Applicability {
  /** Empty where no capacitance is named. */
  readonly capacitance: readonly CapacitanceThreshold[];
  /** No test up to these mains voltages, V, both included. */
  readonly exemptMains?: { readonly peak: number; readonly dc: number };
  /** Exempt up to this stored charge, C, included. */
  readonly exemptCharge?: number;
  /** What else decides, in words. */
  readonly condition?: string;
}

/** One line that a voltage, charge or other quantity is held against. */
export interface LimitLine {
  /** Identifier of the publication followed by what the line is for. */
  readonly id: string;
  /** Between or at which parts, in words near to those of the publication. */
  readonly place: string;
  readonly pins: readonly Pins[];
  /** s after the disconnection; absent where the line is not read a stated time after it. */
  readonly duration?: number;
  readonly limit: LimitValue;
  /** Met instead of the limit, any one of them. */
  readonly alternatives: readonly LimitValue[];
  readonly applicability: Applicability;
  readonly operation: "normal" | "singleFault";
  readonly status: SourceStatus;
}

/** Resistance in ohm and capacitance in F of a load, each with its limits. */
export interface ReferenceLoad {
  readonly resistance: { readonly lower: number; readonly nominal: number; readonly upper: number };
  readonly capacitance: {
    readonly lower: number;
    readonly nominal?: number;
    readonly upper: number;
  };
}

/**
 * Which voltage the line is about: the definition decides how loading by the tester is corrected.
 */
export type Measurand =
  | { readonly definition: "asLoaded"; readonly status: SourceStatus }
  /** The instrument must not influence the result. */
  | { readonly definition: "unloaded"; readonly status: SourceStatus }
  | {
      readonly definition: "referredToLoad";
      readonly load: ReferenceLoad;
      readonly status: SourceStatus;
    }
  | { readonly definition: "notStated" };

/** What is demanded of the instrument that reads the voltage. */
export interface InstrumentDemand {
  /** ohm. */
  readonly leastResistance?: number;
  /** F. */
  readonly greatestCapacitance?: number;
  readonly words: string;
  /** The publication that demands it. */
  readonly source: string;
  readonly status: SourceStatus;
}

/** How the disconnection is made. */
export interface Disconnection {
  /** "voltagePeak": at the crest; "worstOfRepetitions": the greatest of several is taken. */
  readonly instant: "voltagePeak" | "worstOfRepetitions" | "either" | "notStated";
  /** How often, where a number is stated. */
  readonly repetitions?: number;
  /** Supply, switch position and stresses, in words. */
  readonly words?: string;
}

/** A clause of a publication with the lines it draws. */
export interface PublishedLimit {
  /** Our own stable name, as "iec-60335-1-22.5". */
  readonly id: string;
  readonly standard: string;
  readonly clause: string;
  /** False where the clause number itself is only recalled and uncertain. */
  readonly isClauseCertain: boolean;
  /** Edition the figures belong to, where it is known. */
  readonly edition?: string;
  /** What was read, or "recalled". */
  readonly source: string;
  /** Day on which the source was last read, as YYYY-MM-DD, where it was noted. */
  readonly checkedOn?: string;
  /** The weakest status of its lines. */
  readonly status: SourceStatus;
  /** {@link EDITION_ADVICE} where something here is only recalled. */
  readonly advice?: string;
  /** Whether it is a deviation of one country, and of which. */
  readonly nationalDeviation?: string;
  readonly lines: readonly LimitLine[];
  readonly measurand: Measurand;
  readonly instrument: readonly InstrumentDemand[];
  readonly disconnection: Disconnection;
  readonly notes: readonly string[];
}
