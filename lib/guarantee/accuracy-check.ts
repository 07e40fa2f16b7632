import type { ShareAndVolts } from "../design/accuracy-statement.ts";
import { Decimal } from "../quantity/decimal.ts";
import { voltagesOfPart } from "./accuracy-part.ts";
import type { AccuracyPart, ProvenBand, StatedInterval } from "./accuracy-part.ts";

function isBetween(value: Decimal, lower: Decimal, upper: Decimal): boolean {
  return value.compare(lower) >= 0 && value.compare(upper) <= 0;
}

function coversRectangle(
  { share, volts }: ShareAndVolts,
  { lower, upper }: StatedInterval,
  [low, high]: readonly [Decimal, Decimal],
): boolean {
  const holds = (voltage: Decimal, error: Decimal): boolean => {
    const permitted = share.multiply(voltage.add(error).absolute()).add(volts);
    return error.absolute().compare(permitted) <= 0;
  };
  const corners = [lower, upper].every((voltage) => holds(voltage, low) && holds(voltage, high));
  // Where the indication V + e is zero on an edge of the rectangle, the permitted error bends.
  const zeroByError = [low, high].every(
    (error) => !isBetween(error.negate(), lower, upper) || holds(error.negate(), error),
  );
  const zeroByVoltage = [lower, upper].every(
    (voltage) => !isBetween(voltage.negate(), low, high) || holds(voltage, voltage.negate()),
  );
  return corners && zeroByError && zeroByVoltage;
}

/**
 * True where |e| <= share * |V + e| + volts for *every* true voltage V of the band that belongs to
 * the part and *every* error e from the band's low to its high. Exact, and by another way than the
 * fit: |e| - share * |V + e| is piecewise linear over the rectangle of V and e, so that its largest
 * value stands at a corner of the rectangle or where a line of the bends (e = 0, where nothing is
 * asked, and V + e = 0) meets its edge.
 */
export function coversBand(pair: ShareAndVolts, band: ProvenBand, part: AccuracyPart): boolean {
  const errors = [Decimal.ofDouble(band.low), Decimal.ofDouble(band.high)] as const;
  return voltagesOfPart(band, part).every((voltages) => coversRectangle(pair, voltages, errors));
}
