/**
 * The port between a tester's firmware and whatever feeds it codes, version 1. The C header
 * `plumbvolt_port.h` says the same in C; both sides check the version.
 *
 * Numbers are integers, as on the target. Instants are ticks of one free-running 32-bit counter
 * that wraps; only differences of instants, modulo 2^32, mean anything. Voltages are whole result
 * units of the configuration.
 *
 * What firmware may rely on: blocks come in the order of time; sample k of a block was taken
 * `timeStamp + k ticksPerSample`; the status of a block holds for each of its samples; inputs do
 * not change during a call. What the host may rely on: the outcome depends on samples and status
 * alone, never on how they were cut into blocks, on what memory held before, or on earlier runs.
 */

/** Version of the port that this host speaks. */
export const PORT_VERSION = { major: 1, minor: 0 } as const;

/** The same as manifests have it. */
export const PORT_VERSION_TEXT = `${PORT_VERSION.major}.${PORT_VERSION.minor}`;

/** Most channels, limit lines and moments of reading of one configuration. */
export const MOST_CHANNELS = 2;
export const MOST_LINES = 4;
export const MOST_MOMENTS = 2;

/** What the two channels are to each other. */
export type ChannelRole =
  /** One channel. */
  | "single"
  /** Channel 0 and 1 each a pin against the tester's ground; the voltage is their difference. */
  | "perPin"
  /** Channel 0 the fine range, channel 1 the coarse range of the same voltage. */
  | "ranges";

/** Straight line of one channel: units = (code multiplier + addend) / 2^fractionBits. */
export interface ChannelScale {
  /** Code of zero volts, 1/256 LSB. */
  readonly zeroCode256: number;
  readonly multiplier: number;
  /** Up to 2^53 in size; 64 bits in C. */
  readonly addend: number;
}

/** A limit line whose crossing is timed; both polarities. */
export interface LimitLine {
  /** Result units, above zero. */
  readonly level: number;
  /** Result units e: the crossing is reported from level + e to level - e. */
  readonly margin: number;
}

/** Everything that firmware is told at its start. */
export interface Configuration {
  /** Version of the host's port. */
  readonly port: { readonly major: number; readonly minor: number };
  /** Ticks of the time stamp per second, and ticks from one sample to the next. */
  readonly tickRate: number;
  readonly ticksPerSample: number;
  /** Bits of a code. */
  readonly codeBits: number;
  /** Least and greatest code that may be trusted: inside the swing of the input stage. */
  readonly trustedCodes: readonly [number, number];
  readonly role: ChannelRole;
  /** One or two. */
  readonly channels: readonly ChannelScale[];
  readonly fractionBits: number;
  /** Conversion: nearest, or truncated towards minus infinity. */
  readonly rounding: "nearest" | "down";
  /** Microvolts of one result unit. */
  readonly resultUnit: number;
  /** Result units below which a disconnection need not be found. */
  readonly triggerLevel: number;
  /** Nought to four lines. */
  readonly lines: readonly LimitLine[];
  /** Ticks after the opening at which to read, one or two, rising. */
  readonly moments: readonly number[];
  /** Averaging window of a reading, ticks, and its place about the moment. */
  readonly window: number;
  readonly windowPosition: "centred" | "trailing" | "leading";
  /** Ticks by which the filter ahead of the converter lags. */
  readonly inputLag: number;
  /** `watch`: find a disconnection by hand. `automatic`: open the tester's own contact. */
  readonly mode: "watch" | "automatic";
}

/** Reasons for which firmware refuses a configuration; the place in the list is the code in C. */
export const REFUSALS = [
  "accepted",
  "portVersion",
  "sampleRate",
  "codeWidth",
  "channels",
  "scale",
  "triggerLevel",
  "lines",
  "moments",
  "window",
  "mode",
  "other",
] as const;

export type Refusal = Exclude<(typeof REFUSALS)[number], "accepted">;

/** Consecutive samples without a gap and with one status. */
export interface SampleBlock {
  /** Ticks, modulo 2^32, of the first sample. */
  readonly timeStamp: number;
  /** Samples that were due and lost between the block before and this one. */
  readonly missed: number;
  /** Bit n: the input stage of channel n reported saturation, for every sample of the block. */
  readonly saturated: number;
  /** Codes of each channel; all of the same length, one sample or more. */
  readonly codes: readonly Int32Array[];
}

/** What firmware asks for. A block ends at the sample after which it asks. */
export type Action =
  | { readonly kind: "openContact" }
  /** Which range or channel the input stage shall connect to channel 0. */
  | { readonly kind: "selectInput"; readonly input: number }
  | { readonly kind: "changeRate"; readonly ticksPerSample: number }
  /** The report is final; further samples may start another measurement or be ignored. */
  | { readonly kind: "endOfMeasurement" };

/** Phases of a measurement; the place in the list is the number in C. */
export const PHASES = [
  /** Learning the mains: no disconnection can be found yet. */
  "synchronising",
  /** Watching for a disconnection. */
  "watching",
  /** A divergence was seen and is being confirmed. */
  "candidate",
  /** The disconnection is confirmed; waiting for the moments of reading. */
  "timing",
  /** All readings are taken, or the measurement ended with a flag. */
  "finished",
] as const;

export type Phase = (typeof PHASES)[number];

/** Flags of a report; the place in the list is the bit in C. */
export const FLAGS = [
  /** A sample that the reading rests on was outside the trusted codes or saturated. */
  "overRange",
  /** The measurement ended without a disconnection. */
  "noDisconnectionSeen",
  /** The mains came back between the opening and the last reading. */
  "reconnected",
  /** The voltage fell below the trigger level before the disconnection could be confirmed. */
  "belowTrigger",
  /** The voltage moved too much within the window, or samples of it were lost. */
  "notSettled",
  /** The input shows no mains before the opening, or codes that no live input gives. */
  "inputNotAlive",
] as const;

export type Flag = (typeof FLAGS)[number];

/** One reading. */
export interface PortReading {
  /** Ticks, modulo 2^32, for which it stands: the middle of its samples less the input lag. */
  readonly instant: number;
  /** Result units of each channel; of two ranges the first one is the voltage that was read. */
  readonly voltages: readonly number[];
}

/** When a limit line was passed, ticks after the opening; undefined: not before the end. */
export interface Crossing {
  readonly earliest: number | undefined;
  readonly latest: number | undefined;
}

/** State of a measurement; may be asked for at any time after a start. */
export interface Report {
  readonly phase: Phase;
  readonly flags: ReadonlySet<Flag>;
  /** Ticks, modulo 2^32; undefined while there is none. */
  readonly candidate: number | undefined;
  readonly confirmation: number | undefined;
  /** The last electrical opening, back-dated. */
  readonly opening: number | undefined;
  /** Readings taken so far, in the order of the moments. */
  readonly readings: readonly PortReading[];
  /** One for each limit line. */
  readonly crossings: readonly Crossing[];
}

/** An entry of the trace lane. Lane 0 is the number of the phase; other lanes are free. */
export interface TraceEntry {
  /** Ticks, modulo 2^32. */
  readonly instant: number;
  readonly lane: number;
  readonly value: number;
}

/** Place in the sources of a firmware. */
export interface SourceLocation {
  readonly file: string;
  readonly line: number;
}

/** How firmware went wrong. After one of these only a new start is allowed. */
export type FirmwareFault =
  /** Undefined behaviour, an assertion, an access outside memory; `reason` in words. */
  | { readonly kind: "trap"; readonly reason: string; readonly at?: SourceLocation }
  /** More loop turns and calls than the budget allows for the samples given. */
  | { readonly kind: "budgetSpent"; readonly budget: number; readonly at?: SourceLocation }
  /** A word beside a port buffer was overwritten; `buffer` names it. */
  | { readonly kind: "guardBroken"; readonly buffer: string }
  /** An input that belongs to the host was changed. */
  | { readonly kind: "inputChanged"; readonly buffer: string }
  /** An answer that the port does not define, as more samples used than given. */
  | { readonly kind: "contractBroken"; readonly reason: string };

export type StartOutcome =
  | { readonly kind: "started" }
  | { readonly kind: "refused"; readonly reason: Refusal; readonly code: number }
  | FirmwareFault;

export type BlockOutcome =
  /**
   * `used` samples were taken, one or more. Less than the block holds only with an action; the
   * host carries the action out and hands in what follows.
   */
  { readonly kind: "used"; readonly used: number; readonly action?: Action } | FirmwareFault;

export type ReportOutcome = { readonly kind: "report"; readonly report: Report } | FirmwareFault;

/** One firmware that can be run again and again; not re-entrant. */
export interface Firmware {
  /** Starts from the state after power-up: nothing of an earlier run is left. */
  start(configuration: Configuration): StartOutcome;
  /** Starts a further measurement and keeps what the firmware itself kept. */
  rearm(configuration: Configuration): StartOutcome;
  /** Hands in samples; throws InvariantBrokenError before a start or after a fault. */
  samples(block: SampleBlock): BlockOutcome;
  report(): ReportOutcome;
  /** Entries since the last start or re-arming, in order; at most MOST_TRACE_ENTRIES are kept. */
  readonly trace: readonly TraceEntry[];
}

/** Entries of the trace that are kept in one run; further ones are dropped. */
export const MOST_TRACE_ENTRIES = 4096;

/** What identifies a firmware in a record. */
export interface FirmwareIdentity {
  readonly name: string;
  readonly language: "c" | "typescript";
  /** SHA-256 of sources, flags and tools; "none" for TypeScript objects made in the process. */
  readonly hash: string;
  /** Declared target, as { int: 16, char: "signed" }; absent for TypeScript. */
  readonly target?: TargetModel;
  /** Compiler and version. */
  readonly tools?: string;
}

/** Data model of the product's compiler, as declared; the simulation has a 32-bit int. */
export interface TargetModel {
  readonly int: 16 | 32;
  readonly char: "signed" | "unsigned";
}

/** A firmware ready to be made as often as wanted, in each worker from the same description. */
export interface FirmwareSource {
  readonly identity: FirmwareIdentity;
  /** A new instance; costs well under a millisecond. */
  open(): Firmware;
  /**
   * The same firmware built as for the product, over memory that holds noise: it has to say the
   * same. Absent where there is one build only. It has no budget, so it is given only what the
   * other build came through.
   */
  openPlain?(): Firmware;
}
