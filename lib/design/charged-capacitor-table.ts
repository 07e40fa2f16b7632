import { OutsideDomainError } from "../errors.ts";

/** Electrical energy source classes of IEC 62368-1 that the table has a column for. */
export type EnergySourceClass = "ES1" | "ES2";

/** One row: capacitance in F, greatest peak voltages in V. */
export interface ChargedCapacitorRow {
  readonly capacitance: number;
  readonly ES1: number;
  readonly ES2: number;
}

/**
 * Limits of a charged capacitor by its capacitance, largest first. The first row holds for its
 * capacitance and everything larger, the last for its capacitance and everything smaller.
 *
 * Source: IEC 62368-1, Table 5; read in two public transcriptions of a national adoption. The ES2
 * column stems from IEC/TS 61201, Table A.2; ES1 is half of it.
 */
export const CHARGED_CAPACITOR_TABLE: readonly [ChargedCapacitorRow, ...ChargedCapacitorRow[]] = [
  { capacitance: 300e-9, ES1: 60, ES2: 120 },
  { capacitance: 170e-9, ES1: 75, ES2: 150 },
  { capacitance: 91e-9, ES1: 100, ES2: 200 },
  { capacitance: 61e-9, ES1: 125, ES2: 250 },
  { capacitance: 41e-9, ES1: 150, ES2: 300 },
  { capacitance: 28e-9, ES1: 200, ES2: 400 },
  { capacitance: 18e-9, ES1: 250, ES2: 500 },
  { capacitance: 12e-9, ES1: 350, ES2: 700 },
  { capacitance: 8e-9, ES1: 500, ES2: 1_000 },
  { capacitance: 4e-9, ES1: 1_000, ES2: 2_000 },
  { capacitance: 1.6e-9, ES1: 2_500, ES2: 5_000 },
  { capacitance: 0.8e-9, ES1: 5_000, ES2: 10_000 },
  { capacitance: 0.4e-9, ES1: 10_000, ES2: 20_000 },
  { capacitance: 0.2e-9, ES1: 20_000, ES2: 40_000 },
  { capacitance: 0.133e-9, ES1: 25_000, ES2: 50_000 },
];

/**
 * Greatest peak voltage of a charged capacitor, V, for a capacitance in F and an energy source
 * class: linear between the two nearest rows of the table, constant beyond its ends. The
 * capacitance is the rated value plus its tolerance, as the table's rules demand; the caller adds
 * the tolerance. Throws OutsideDomainError unless the capacitance is finite and above zero.
 *
 * Source: IEC 62368-1, Table 5.
 */
export function chargedCapacitorLimit(
  capacitance: number,
  energySource: EnergySourceClass,
): number {
  if (!(capacitance > 0 && capacitance < Number.POSITIVE_INFINITY)) {
    throw new OutsideDomainError({
      path: "",
      quantity: "capacitance",
      permitted: "finite and greater than zero",
      received: `${capacitance} F`,
    });
  }
  let [larger] = CHARGED_CAPACITOR_TABLE;
  if (capacitance >= larger.capacitance) return larger[energySource];
  for (const smaller of CHARGED_CAPACITOR_TABLE) {
    if (capacitance >= smaller.capacitance) {
      const width = larger.capacitance - smaller.capacitance;
      const share = (larger.capacitance - capacitance) / width;
      return larger[energySource] + (smaller[energySource] - larger[energySource]) * share;
    }
    larger = smaller;
  }
  return larger[energySource];
}
