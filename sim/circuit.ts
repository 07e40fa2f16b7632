/** Name of the node of zero volts. */
export const EARTH = "earth";

/** Part of a source: real part of (re + j im) e^((rate + j 2 pi f) t), t from the segment's start. */
export interface Term {
  /** 1/s. */
  readonly rate: number;
  /** Hz. */
  readonly frequency: number;
  readonly re: number;
  readonly im: number;
}

/** A linear network between two events: lumped parts between named nodes. */
export interface Circuit {
  readonly resistors: { readonly a: string; readonly b: string; readonly siemens: number }[];
  readonly capacitors: { readonly a: string; readonly b: string; readonly farad: number }[];
  /** Current counted from `a` to `b`; `ohm` in series. */
  readonly inductors: {
    readonly id: string;
    readonly a: string;
    readonly b: string;
    readonly henry: number;
    readonly ohm: number;
  }[];
  /** Current sources, A. */
  readonly currents: {
    readonly from: string;
    readonly into: string;
    readonly terms: readonly Term[];
  }[];
  /** Nodes held by a source without impedance, V against earth. */
  readonly fixed: Map<string, readonly Term[]>;
  /** Nodes joined without impedance. */
  readonly joins: (readonly [string, string])[];
}

/** A constant source. */
export function constantTerm(value: number): Term {
  return { rate: 0, frequency: 0, re: value, im: 0 };
}

/** A circuit without parts. */
export function emptyCircuit(): Circuit {
  return {
    resistors: [],
    capacitors: [],
    inductors: [],
    currents: [],
    fixed: new Map(),
    joins: [],
  };
}
