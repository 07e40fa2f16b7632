import type { Decimal } from "../quantity/decimal.ts";
import type { Requirement } from "./requirement.ts";
import type { AccuracyStatement } from "./accuracy-statement.ts";
import type { Limits, Origin } from "./quantity.ts";

/** A closed set of numbers, ends included. */
export interface Range {
  readonly lower: Decimal;
  readonly upper: Decimal;
}

/** Change with time: the limit reached after a stated time and the law that leads there. */
export interface Drift {
  /** Relative limit, both directions. */
  readonly limit: Decimal;
  /** Years after which the limit is reached. */
  readonly afterYears: Decimal;
  readonly law: "linear" | "rootOfTime" | "fixed";
  readonly origin: Origin;
}

/** Equal resistors in series from one batch. Temperatures in degrees Celsius, rises in kelvin. */
export interface ResistorGroup {
  /** Identifier that begins the names of its quantities. */
  readonly id: string;
  /** Place in the document. */
  readonly path: string;
  readonly count: number;
  /** Ohm, one part. */
  readonly resistance: Decimal;
  readonly tolerance: Limits;
  readonly tempco: Limits;
  readonly referenceCelsius: Decimal;
  readonly rise: Range;
  readonly voltageCoefficient?: Limits;
  readonly drift?: Drift;
  readonly network?: string;
  /** Volts and watts one part may carry. */
  readonly rating: { readonly voltage: Decimal; readonly power: Decimal };
  /** Farad across one part. */
  readonly shuntCapacitance?: Decimal;
  readonly origin: Origin;
}

/** What resistors on one substrate share. */
export interface ResistorNetwork {
  readonly id: string;
  readonly path: string;
  readonly tolerance: Limits;
  readonly tempco: Limits;
  readonly drift?: Drift;
  readonly origin: Origin;
}

/** Where the lower leg of the divider returns to. */
export type Bias =
  | { readonly source: "ground" }
  | {
      readonly source: "reference" | "separate";
      /** Share of the reference, or volts. */
      readonly nominal: Decimal;
      readonly tolerance: Limits;
      readonly tempco?: Limits;
      readonly rise: Range;
      /** Volts, only with the reference as source. */
      readonly offset?: Limits;
      readonly drift?: Drift;
      readonly origin: Origin;
    };

/** A current into the node with its temperature law. */
export interface NodeCurrent {
  readonly id: string;
  readonly path: string;
  /** Ampere at the reference temperature. */
  readonly limits: Limits;
  readonly atCelsius: Decimal;
  /** Kelvin that double it; absent: the same at every temperature. */
  readonly doublesEvery?: Decimal;
  readonly rise: Range;
  readonly origin: Origin;
}

/** Surface leakage, least resistances in ohm. */
export interface Board {
  readonly acrossUpper?: Decimal;
  readonly nodeToGround?: Decimal;
  readonly nodeToSupply?: Decimal;
  readonly origin: Origin;
}

/** Amplifier or follower between node and converter. */
export interface Buffer {
  readonly gain: Decimal;
  readonly gainError: Limits;
  readonly gainTempco?: Limits;
  /** Volts at its input. */
  readonly offset: Limits;
  readonly offsetTempco?: Limits;
  readonly rise: Range;
  /** Fraction that passes, as 0.0001 for 80 dB. */
  readonly commonModeRejection?: Decimal;
  readonly supplyRejection?: Decimal;
  readonly crossoverStep?: Limits;
  /** Lowest and highest output, V. */
  readonly swing: Range;
  /** Volts, standard deviation at its input. */
  readonly noise?: Decimal;
  readonly bandwidth?: Decimal;
  readonly overloadRecovery?: Decimal;
  readonly origin: Origin;
}

/** First-order filter ahead of the converter. */
export interface Filter {
  readonly timeConstant: Decimal;
  /** Relative limit of the time constant. */
  readonly tolerance: Decimal;
  readonly origin: Origin;
}

/** Voltage reference. */
export interface Reference {
  readonly voltage: Decimal;
  readonly initial: Limits;
  /** Largest relative excursion over the temperature range, box method. */
  readonly boxExcursion: Decimal;
  /** Temperatures over which the box holds, degrees Celsius. */
  readonly boxCelsius: Range;
  readonly tempcoOrigin: Origin;
  readonly drift?: Drift;
  /** Relative change per volt of supply. */
  readonly lineRegulation?: Limits;
  /** Volts, standard deviation. */
  readonly noise?: Decimal;
  readonly origin: Origin;
}

/** Analogue-to-digital converter; errors in LSB unless said. */
export interface Converter {
  readonly bits: number;
  readonly input: "unipolar" | "bipolar";
  readonly spanRatio: Decimal;
  readonly totalUnadjustedError?: Limits;
  readonly offset?: Limits;
  readonly offsetTempco?: Limits;
  /** Ratio. */
  readonly gainError?: Limits;
  readonly gainTempco?: Limits;
  readonly rise: Range;
  readonly integralNonlinearity?: Limits;
  readonly nonlinearityFit?: "endPoint" | "bestFit";
  readonly differentialNonlinearity?: Decimal;
  readonly noise?: Decimal;
  /** Share of span. */
  readonly memory?: Limits;
  readonly sampling?: {
    /** Farad. */
    readonly capacitance: Decimal;
    readonly tolerance: Decimal;
    readonly startsFrom: Decimal;
    readonly origin: Origin;
  };
  readonly origin: Origin;
}

/** When a sample is taken; seconds and hertz. */
export interface Timing {
  readonly sampleRate: Decimal;
  readonly latency: Range;
  readonly clockTolerance: Limits;
  readonly clockDrift?: Drift;
  readonly jitter?: Decimal;
  readonly window?: {
    readonly duration: Decimal;
    readonly position: "centred" | "trailing" | "leading";
  };
}

/** How firmware turns codes into volts. */
export interface Scaling {
  readonly resultUnit: Decimal;
  readonly fractionBits: number;
  /** Width of the signed integer that holds code times multiplier plus addend. */
  readonly intermediateBits: number;
  readonly rounding: "nearest" | "down";
  readonly displayResolution?: Decimal;
}

/** A voltage applied for adjustment; the error limits are those of the whole process, V. */
export interface AdjustmentPoint {
  readonly voltage: Decimal;
  readonly appliedError: Limits;
}

/** How the constants that turn a code into volts are found for each unit. */
export type Adjustment =
  | { readonly kind: "none" }
  | ({ readonly kind: "gain"; readonly at: AdjustmentPoint } & AdjustmentProcess)
  | ({
      readonly kind: "twoPoint";
      readonly low: AdjustmentPoint;
      readonly high: AdjustmentPoint;
    } & AdjustmentProcess);

/** Circumstances of the adjustment. */
export interface AdjustmentProcess {
  readonly ambientCelsius: Range;
  readonly averagedReadings: number;
  /** Years from manufacture to adjustment. */
  readonly ageYears: Decimal;
  readonly origin: Origin;
}

/** Conditions for which every figure holds. */
export interface Conditions {
  readonly ambientCelsius: Range;
  readonly referenceCelsius: Decimal;
  /** Relative humidity as fractions. */
  readonly humidity?: Range;
  readonly supply: Range;
  readonly warmUp?: Decimal;
  readonly mains: {
    readonly voltages: readonly Decimal[];
    readonly tolerance: Decimal;
    readonly frequencies: readonly Decimal[];
  };
  /** Seconds after the last opening. */
  readonly instant: Decimal;
  /** Passive: the voltage is a sum of decaying exponentials with positive weights. */
  readonly products: "passive" | "other";
  readonly yearsSinceManufacture: Decimal;
  readonly yearsSinceAdjustment: Decimal;
  readonly readingsAveraged: number;
  readonly noiseCut: Decimal;
}

/** A design that has been read: every figure exact and in SI units, every relation checked. */
export interface Design {
  readonly name: string;
  readonly revision?: string;
  readonly notes: readonly string[];
  readonly measuringInterval: Range;
  readonly conditions: Conditions;
  readonly divider: {
    readonly upper: readonly ResistorGroup[];
    readonly lower: readonly ResistorGroup[];
    readonly networks: readonly ResistorNetwork[];
    readonly bias: Bias;
    readonly strayCapacitance?: Decimal;
  };
  readonly currents: readonly NodeCurrent[];
  readonly board?: Board;
  readonly interference?: {
    readonly coupling: Decimal;
    readonly remaining: Decimal;
    readonly origin: Origin;
  };
  readonly buffer?: Buffer;
  readonly filter?: Filter;
  readonly reference: Reference;
  readonly adc: Converter;
  readonly timing?: Timing;
  readonly scaling: Scaling;
  readonly adjustment: Adjustment;
  readonly requirements: readonly Requirement[];
  readonly comparisons: readonly AccuracyStatement[];
  /** Places of figures that came from computed doubles and so carry no guarantee. */
  readonly inexactFigures: readonly string[];
}
