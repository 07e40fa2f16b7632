import { formatQuantity } from "../../lib/quantity/format.ts";
import type { Dimension } from "../../lib/quantity/dimension.ts";
import { Decimal } from "../../lib/quantity/decimal.ts";

/** Words of whole numbers that count steps of an SI unit, as (1200) => "1.2 ms" for 1e-6 s. */
export function steps(dimension: Dimension, step: string): (value: number) => string {
  const one = Decimal.parse(step);
  return (value) => formatQuantity(one.multiply(Decimal.ofInteger(value)), dimension);
}

/** Words of thousandths, as (75) => "7.5 %". */
export function perMille(value: number): string {
  return `${value / 10} %`;
}
