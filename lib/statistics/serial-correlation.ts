import { OutsideDomainError } from "../errors.ts";
import { Moments } from "./moments.ts";

/**
 * Autocorrelation coefficient of readings one step apart: near 0 for independent readings, for
 * which alone the standard deviation of their mean falls with the root of their number.
 *
 * Throws {@link OutsideDomainError} for fewer than 3 readings or readings that are all equal.
 *
 * Source: NIST/SEMATECH e-Handbook, 1.3.5.12 (from memory); JCGM 100:2008, 4.2.7.
 */
export function serialCorrelation(readings: readonly number[]): number {
  const refuse = (permitted: string, received: string): never => {
    throw new OutsideDomainError({ path: "readings", quantity: "readings", permitted, received });
  };
  if (readings.length < 3) refuse("at least 3", String(readings.length));
  const mean = Moments.of(readings).mean();
  const deviations = readings.map((reading) => reading - mean);
  let [products, squares] = [0, 0];
  deviations.forEach((deviation, index) => {
    squares += deviation * deviation;
    products += deviation * (deviations[index - 1] ?? 0);
  });
  if (squares === 0) refuse("not all equal", "equal readings");
  return products / squares;
}
