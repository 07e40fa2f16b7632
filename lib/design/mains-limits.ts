import { requirePositive } from "../quantity/number-domain.ts";
import type { SourceStatus } from "./published-limit.ts";

/** A nominal supply: r.m.s. voltage between its conductors in V and frequency in Hz. */
export interface NominalMains {
  readonly name: string;
  /** V r.m.s.; line to neutral first where there are two. */
  readonly voltages: readonly number[];
  /** Hz; empty where the source at hand names none. */
  readonly frequencies: readonly number[];
  /** Relative limits of the voltage; absent where the source at hand names none. */
  readonly tolerance?: number;
  readonly source: string;
  readonly status: SourceStatus;
}

/** Nominal voltages of public supplies. Source: IEC 60038 and its national adoptions. */
export const NOMINAL_MAINS: readonly NominalMains[] = [
  {
    name: "230 V",
    voltages: [230],
    frequencies: [50],
    tolerance: 0.1,
    source: "grid operators' public answers that cite the national adoption of IEC 60038",
    status: "confirmed",
  },
  {
    name: "230/400 V",
    voltages: [230, 400],
    frequencies: [],
    source: "IEC 60038, recalled",
    status: "fromMemory",
  },
  {
    name: "120/240 V",
    voltages: [120, 240],
    frequencies: [60],
    source: "IEC 60038, recalled",
    status: "fromMemory",
  },
  {
    name: "277/480 V",
    voltages: [277, 480],
    frequencies: [],
    source: "IEC 60038, recalled",
    status: "fromMemory",
  },
  {
    name: "400/690 V",
    voltages: [400, 690],
    frequencies: [],
    source: "IEC 60038, recalled",
    status: "fromMemory",
  },
  {
    name: "100 V (Japan)",
    voltages: [100],
    frequencies: [],
    source: "national, recalled",
    status: "fromMemory",
  },
];

/** Relative limits and the share of the stated period in which they hold. */
export interface SupplyBand {
  readonly lower: number;
  readonly upper: number;
  /** Fraction of the period: 0.95 of a week, 0.995 of a year. */
  readonly share: number;
  readonly period: "week" | "year" | "always";
}

/** Even harmonics from the sixth to the 24th share one limit. */
const HIGH_EVEN_HARMONICS = [6, 8, 10, 12, 14, 16, 18, 20, 22, 24].map(
  (order) => [order, 0.005] as const,
);

/**
 * What a public low-voltage supply may do.
 *
 * Source: EN 50160, read in public restatements (confirmed).
 */
export const PUBLIC_SUPPLY_LIMITS = {
  /** Ten-minute means of the r.m.s. voltage, relative to nominal. */
  voltage: [
    { lower: -0.1, upper: 0.1, share: 0.95, period: "week" },
    { lower: -0.15, upper: 0.1, share: 1, period: "always" },
  ] satisfies SupplyBand[],
  /** Ten-second means of the frequency of interconnected supplies, relative to nominal. */
  frequency: [
    { lower: -0.01, upper: 0.01, share: 0.995, period: "year" },
    { lower: -0.06, upper: 0.04, share: 1, period: "always" },
  ] satisfies SupplyBand[],
  /** The same for island supplies. */
  islandFrequency: [
    { lower: -0.02, upper: 0.02, share: 0.95, period: "week" },
    { lower: -0.15, upper: 0.15, share: 1, period: "always" },
  ] satisfies SupplyBand[],
  /**
   * Total harmonic distortion up to the 40th order, relative to the fundamental, 95 % of a week.
   */
  totalHarmonicDistortion: 0.08,
  /** Limit of each harmonic by its order, relative to the fundamental, 95 % of a week. */
  harmonics: new Map<number, number>([
    [2, 0.02],
    [3, 0.05],
    [4, 0.01],
    [5, 0.06],
    ...HIGH_EVEN_HARMONICS,
    [7, 0.05],
    [9, 0.015],
    [11, 0.035],
    [13, 0.03],
    [15, 0.005],
    [17, 0.02],
    [19, 0.015],
    [21, 0.005],
    [23, 0.015],
    [25, 0.015],
  ]) as ReadonlyMap<number, number>,
  /** Negative over positive sequence, 95 % of a week. */
  unbalance: 0.02,
  /** Long-term flicker severity, 95 % of a week. */
  longTermFlicker: 1,
} as const;

/**
 * Crest of a sinusoidal voltage, V, from its r.m.s. value in V. Throws OutsideDomainError unless
 * that is finite and above zero.
 */
export function crestVoltage(rms: number): number {
  requirePositive([{ quantity: "mains voltage", value: rms, unit: "V" }]);
  return rms * Math.SQRT2;
}
