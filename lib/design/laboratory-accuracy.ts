import type { SourceStatus } from "./published-limit.ts";

/** A range of the measured quantity or of its frequency; absent ends are open. */
export interface AccuracyRange {
  readonly from?: number;
  readonly to?: number;
  /** Unit of both ends. */
  readonly unit: string;
}

/** What an instrument of a certification laboratory has to reach. */
export interface LaboratoryAccuracy {
  /** Our own stable name. */
  readonly id: string;
  readonly parameter: string;
  /** Range of the measured value; absent where one figure holds for every value. */
  readonly range?: AccuracyRange;
  /** Hz; absent where the source states none. */
  readonly frequency?: AccuracyRange;
  /** Limit on both sides: a fraction, or a value in the unit given. */
  readonly limit:
    | { readonly kind: "fraction"; readonly fraction: number }
    | { readonly kind: "absolute"; readonly value: number; readonly unit: string };
  readonly status: SourceStatus;
}

/** A row as the table below is written: name, parameter, range, frequencies, limit. */
type Row = readonly [
  id: string,
  parameter: string,
  range: AccuracyRange | undefined,
  frequency: readonly [number | undefined, number | undefined] | undefined,
  limit: number | readonly [value: number, unit: string],
];

const upTo = (to: number, unit: string): AccuracyRange => ({ to, unit });
const from = (start: number, unit: string): AccuracyRange => ({ from: start, unit });
const between = (start: number, to: number, unit: string): AccuracyRange => ({
  from: start,
  to,
  unit,
});

/** Rows that were read in the decision sheet. */
const CONFIRMED: readonly Row[] = [
  ["voltage-to-1kV-to-1kHz", "voltage", upTo(1_000, "V"), [undefined, 1e3], 0.015],
  ["voltage-to-1kV-to-5kHz", "voltage", upTo(1_000, "V"), [1e3, 5e3], 0.02],
  ["voltage-to-1kV-to-20kHz", "voltage", upTo(1_000, "V"), [5e3, 20e3], 0.03],
  ["voltage-to-1kV-above-20kHz", "voltage", upTo(1_000, "V"), [20e3, undefined], 0.05],
  ["voltage-above-1kV-to-20kHz", "voltage", from(1_000, "V"), [0, 20e3], 0.03],
  ["voltage-above-1kV-above-20kHz", "voltage", from(1_000, "V"), [20e3, undefined], 0.05],
  ["current-to-5A-to-60Hz", "current", upTo(5, "A"), [0, 60], 0.015],
  ["current-to-5A-to-5kHz", "current", upTo(5, "A"), [60, 5e3], 0.025],
  ["current-to-5A-to-20kHz", "current", upTo(5, "A"), [5e3, 20e3], 0.035],
  ["current-to-5A-above-20kHz", "current", upTo(5, "A"), [20e3, undefined], 0.05],
  ["current-above-5A-to-5kHz", "current", from(5, "A"), [0, 5e3], 0.025],
  ["current-above-5A-to-20kHz", "current", from(5, "A"), [5e3, 20e3], 0.035],
  ["current-above-5A-above-20kHz", "current", from(5, "A"), [20e3, undefined], 0.05],
  ["leakage-current-mains", "leakage current", upTo(0.03, "A"), [50, 60], 0.035],
];

/** Rows that are recalled. */
const RECALLED: readonly Row[] = [
  ["leakage-current-to-5kHz", "leakage current", upTo(0.03, "A"), [60, 5e3], 0.05],
  ["leakage-current-above-5kHz", "leakage current", upTo(0.03, "A"), [5e3, undefined], 0.1],
  ["power-to-3kW", "power", upTo(3_000, "W"), [50, 60], 0.03],
  ["power-above-3kW", "power", from(3_000, "W"), [50, 60], 0.05],
  ["power-factor", "power factor", undefined, [50, 60], [0.05, "1"]],
  ["frequency", "frequency", upTo(10_000, "Hz"), undefined, 0.002],
  ["resistance-1mOhm-to-100mOhm", "resistance", between(1e-3, 0.1, "ohm"), undefined, 0.05],
  ["resistance-100mOhm-to-1MOhm", "resistance", between(0.1, 1e6, "ohm"), undefined, 0.03],
  ["resistance-1MOhm-to-1TOhm", "resistance", between(1e6, 1e12, "ohm"), undefined, 0.05],
  ["resistance-above-1TOhm", "resistance", from(1e12, "ohm"), undefined, 0.1],
  ["temperature-below-minus-35C", "temperature", upTo(-35, "degC"), undefined, [3, "K"]],
  ["temperature-to-100C", "temperature", between(-35, 100, "degC"), undefined, [2, "K"]],
  ["temperature-to-500C", "temperature", between(100, 500, "degC"), undefined, 0.03],
  ["time-10ms-to-200ms", "time", between(0.01, 0.2, "s"), undefined, 0.05],
  ["time-200ms-to-1s", "time", between(0.2, 1, "s"), undefined, [0.01, "s"]],
  ["time-above-1s", "time", from(1, "s"), undefined, 0.01],
  ["length-to-1mm", "linear dimension", upTo(0.001, "m"), undefined, [0.05e-3, "m"]],
  ["length-to-25mm", "linear dimension", between(0.001, 0.025, "m"), undefined, [0.1e-3, "m"]],
  ["length-above-25mm", "linear dimension", from(0.025, "m"), undefined, 0.005],
  ["mass-to-100g", "mass", between(0.01, 0.1, "kg"), undefined, 0.01],
  ["mass-to-5kg", "mass", between(0.1, 5, "kg"), undefined, 0.02],
  ["mass-above-5kg", "mass", from(5, "kg"), undefined, 0.05],
  ["force", "force", undefined, undefined, 0.06],
  ["mechanical-energy", "mechanical energy", undefined, undefined, 0.1],
  ["torque", "torque", undefined, undefined, 0.1],
  ["angle", "angle", undefined, undefined, [1, "deg"]],
  ["relative-humidity", "relative humidity", between(0.3, 0.95, "1"), undefined, [0.06, "1"]],
  ["barometric-pressure", "barometric pressure", undefined, undefined, [0.01e6, "Pa"]],
  ["gas-and-fluid-pressure", "gas and fluid pressure", undefined, undefined, 0.05],
];

function accuracy(row: Row, status: SourceStatus): LaboratoryAccuracy {
  const [id, parameter, range, frequency, limit] = row;
  const [lowest, highest] = frequency ?? [];
  return {
    id,
    parameter,
    ...(range === undefined ? {} : { range }),
    ...(frequency === undefined
      ? {}
      : {
          frequency: {
            ...(lowest === undefined ? {} : { from: lowest }),
            ...(highest === undefined ? {} : { to: highest }),
            unit: "Hz",
          },
        }),
    limit:
      typeof limit === "number"
        ? { kind: "fraction", fraction: limit }
        : { kind: "absolute", value: limit[0], unit: limit[1] },
    status,
  };
}

/**
 * Accuracies that certification laboratories ask of their instruments over the measuring range,
 * unless the product standard is stricter. Ranges touch in the source, and so do they here. For
 * voltages up to 1 kHz it names no lower frequency; direct voltage is taken as included. Practice
 * reads the percentage as one of the full range, the text as one of the value: compute both.
 *
 * Source: decision sheet DSH 251B (2009), "Instrument accuracy limits", later OD-5014. Rows with
 * the status "fromMemory" are recalled; check them in the current edition.
 */
export function laboratoryAccuracies(): readonly LaboratoryAccuracy[] {
  return [
    ...CONFIRMED.map((row) => accuracy(row, "confirmed")),
    ...RECALLED.map((row) => accuracy(row, "fromMemory")),
  ];
}
