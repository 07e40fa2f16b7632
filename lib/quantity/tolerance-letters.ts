import { Decimal } from "./decimal.ts";

const PERCENT: Readonly<Record<string, string>> = {
  E: "0.005",
  L: "0.01",
  P: "0.02",
  W: "0.05",
  B: "0.1",
  C: "0.25",
  D: "0.5",
  F: "1",
  G: "2",
  H: "3",
  J: "5",
  K: "10",
  M: "20",
  N: "30",
};

/**
 * Letters for symmetrical relative tolerances, each with its limit as a fraction: F is 0.01, that
 * is +/-1 %.
 *
 * Source: IEC 60062, letter code for tolerances (from memory; check the current edition).
 */
export const TOLERANCE_LETTERS: ReadonlyMap<string, Decimal> = new Map(
  Object.entries(PERCENT).map(([letter, percent]) => [letter, Decimal.parse(`${percent}e-2`)]),
);
