import type { Design } from "../design/design.ts";
import type { LimitQuestion } from "./limit-question.ts";
import type { Interval } from "../interval/interval.ts";
import {
  expectedMaximumOfNormals,
  greatestOfOpenings,
  openingShare,
  scaledVoltages,
} from "./greatest-voltage.ts";

/** One figure between a voltage read and the greatest obtainable one. */
export interface GreatestFigure {
  readonly id: "openingPhase" | "repetitions" | "noise" | "upperSupply" | "upperCapacitance";
  /** What it is, and for which circumstances. */
  readonly label: string;
  /** Factor on the voltage, or volts added, as the unit says. */
  readonly value: number;
  readonly unit: "1" | "V";
  /** Same unit; absent where the figure is a limit and not an estimate. */
  readonly standardUncertainty?: number;
}

/** How the disconnection is made and what else is known. */
export interface GreatestCircumstances {
  /** Largest time between opening and crest, s. */
  readonly openingSpread: number;
  /** Number of openings of which the greatest counts. */
  readonly openings: number;
  /** Standard deviation of one reading by its noise, V. */
  readonly noise: number;
  /** Capacitance of the product tested, with its standard uncertainty, and the largest built, F. */
  readonly capacitance?: Interval;
}

const CONFIDENCE = 0.95;

/** A supply is read to about this share of its value; common practice, no source. */
const SUPPLY_READING = 0.005;

/**
 * The figures that lead from a reading to the greatest voltage obtainable, each for itself: they
 * are no part of the error of indication. Phase of the opening, greatest of several random
 * openings, what noise adds to a greatest of several, upper supply voltage, and upper capacitance
 * at the line's own voltage.
 */
export function greatestFigures(
  design: Design,
  question: LimitQuestion,
  circumstances: GreatestCircumstances,
): readonly GreatestFigure[] {
  const { openingSpread, openings, noise, capacitance } = circumstances;
  const { voltages, tolerance, frequencies } = design.conditions.mains;
  const fastest = Math.max(...frequencies.map((frequency) => frequency.toNumber()));
  const share = openingShare({ lateness: openingSpread, frequency: fastest });
  const random = greatestOfOpenings(openings, CONFIDENCE);
  const upper = 1 + tolerance.toNumber();
  const supply = scaledVoltages({
    voltage: { value: 1, standardUncertainty: 0 },
    supply: { tested: { value: 1, standardUncertainty: SUPPLY_READING }, upper },
  }).atUpperSupply!;
  const { limit } = question.line;
  const crest = Math.SQRT2 * Math.max(...voltages.map((voltage) => voltage.toNumber()));
  const isScaled =
    capacitance !== undefined &&
    capacitance.upper < Infinity &&
    limit.kind === "voltage" &&
    limit.voltage < crest;
  const figures: GreatestFigure[] = [
    {
      id: "openingPhase",
      label:
        `least share of the crest with an opening within ${openingSpread * 1e3} ms of it at ` +
        `${fastest} Hz`,
      value: share,
      unit: "1",
    },
    {
      id: "repetitions",
      label:
        `expected share of the crest as the greatest of ${openings} random openings; with ` +
        `95 % confidence at least ${random.least.toFixed(4)}`,
      value: random.expected,
      unit: "1",
      standardUncertainty: random.standardDeviation,
    },
    {
      id: "noise",
      label: `what noise adds on average to the greatest of ${openings} readings`,
      value: expectedMaximumOfNormals(openings) * noise,
      unit: "V",
      standardUncertainty: noise,
    },
    {
      id: "upperSupply",
      label:
        `from nominal to upper supply voltage, the supply read to ${SUPPLY_READING * 100} % ` +
        "(common practice, no source)",
      value: supply.value,
      unit: "1",
      standardUncertainty: supply.standardUncertainty,
    },
  ];
  if (!isScaled) return figures;
  const middle = (capacitance.lower + capacitance.upper) / 2;
  const spread = (capacitance.upper - capacitance.lower) / 2 / Math.sqrt(3);
  const scaled = scaledVoltages({
    voltage: { value: limit.voltage, standardUncertainty: 0 },
    capacitance: {
      tested: { value: middle, standardUncertainty: spread },
      upper: capacitance.upper,
      initial: { value: crest, standardUncertainty: 0 },
    },
  }).atUpperCapacitance!;
  return [
    ...figures,
    {
      id: "upperCapacitance",
      label: `from the middle to the upper capacitance, at the line, from ${crest.toFixed(1)} V on`,
      value: scaled.value / limit.voltage,
      unit: "1",
      standardUncertainty: scaled.standardUncertainty / limit.voltage,
    },
  ];
}
