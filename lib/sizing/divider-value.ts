import { checkRelations } from "../design/check-relations.ts";
import type { Design, ResistorGroup } from "../design/design.ts";
import { FaultList } from "../design/fault-list.ts";
import { Decimal } from "../quantity/decimal.ts";
import type { PreferredSeries } from "../quantity/preferred-values.ts";
import { preferredBetween } from "./read-catalogue.ts";

/** The lower leg is sought from this share of the upper leg to the whole of it. */
const LEAST_SHARE = Decimal.parse("1e-5");

/** Nominal resistance of a leg, ohm. */
export function legResistance(groups: readonly ResistorGroup[]): Decimal {
  return groups.reduce(
    (sum, { count, resistance }) => sum.add(resistance.multiply(Decimal.ofInteger(count))),
    Decimal.zero,
  );
}

/** Whether the nominal codes and the buffer's output stay inside over the measuring interval. */
function fits(design: Design): boolean {
  const faults = new FaultList();
  checkRelations(design, faults);
  return !faults.faults.some(({ path }) => path === "measuringInterval" || path === "buffer.swing");
}

/**
 * The largest preferred value of the lower leg at which the converter still carries the measuring
 * interval and, beyond it, the share `room` of it: tolerances need some. Undefined where none does.
 */
export function largestLowerLeg(
  designWith: (lower: Decimal) => Design,
  { series, room }: { readonly series: PreferredSeries; readonly room: Decimal },
): Decimal | undefined {
  const design = designWith(Decimal.one);
  const to = legResistance(design.divider.upper);
  const values = preferredBetween(series, { from: to.multiply(LEAST_SHARE), to });
  const factor = Decimal.one.add(room);
  const { lower, upper } = design.measuringInterval;
  const measuringInterval = { lower: lower.multiply(factor), upper: upper.multiply(factor) };
  // What fits grows less with the value: the last that fits is found by halving.
  let [known, first] = [-1, values.length];
  while (first - known > 1) {
    const middle = (known + first) >> 1;
    if (fits({ ...designWith(values[middle]!), measuringInterval })) known = middle;
    else first = middle;
  }
  return values[known];
}
