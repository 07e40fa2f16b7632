import { chargedCapacitorLimit } from "../design/charged-capacitor-table.ts";
import type { LimitLine, LimitValue } from "../design/published-limit.ts";
import { divide, interval, multiply, point, squareRoot } from "../interval/interval.ts";
import type { Interval } from "../interval/interval.ts";

/** What has to be known beside a limit to draw it as a voltage. */
export interface LineCircumstances {
  /** F between the pins, tolerance included; its upper end may be infinite. */
  readonly capacitance?: Interval;
  /** Voltage at the disconnection, V. */
  readonly initial?: Interval;
}

/** A limit as the voltage that must not be exceeded, for every product inside the circumstances. */
export type VoltageLine =
  | {
      readonly kind: "line";
      readonly limit: LimitValue;
      /** V; a voltage up to `lower` meets the limit surely, one above `upper` surely does not. */
      readonly voltage: Interval;
      /** How the voltage follows from the limit. */
      readonly because: string;
    }
  /** The limit cannot be held against a voltage read. */
  | { readonly kind: "noVerdict"; readonly limit: LimitValue; readonly reason: string };

/** Beyond this capacitance, F, the table of charged capacitors stays at its first row. */
const LARGEST_TABLED = 300e-9;

/** A charge or energy that is stated for some voltages only decides nothing beside them. */
function insideBand(line: VoltageLine & { readonly kind: "line" }): VoltageLine {
  const { limit, voltage } = line;
  const band = limit.kind === "charge" || limit.kind === "energy" ? limit.band : undefined;
  if (band === undefined) return line;
  const isInside = voltage.lower > band.above && voltage.upper <= (band.upTo ?? Infinity);
  const reason = `the limit is stated for other voltages than ${voltage.lower} V`;
  return isInside ? line : { kind: "noVerdict", limit, reason };
}

function needsCapacitance(limit: LimitValue): VoltageLine {
  const reason = "the capacitance between the pins must be declared with an upper limit";
  return { kind: "noVerdict", limit, reason };
}

function tabled(limit: LimitValue & { kind: "chargedCapacitorTable" }, range: Interval): Interval {
  const at = (capacitance: number): number =>
    chargedCapacitorLimit(Math.min(capacitance, LARGEST_TABLED), limit.energySource);
  return interval(at(range.upper), at(range.lower));
}

/**
 * A limit as a voltage: a charge as Q / C, an energy as sqrt(2 E / C), a capacitance-dependent
 * voltage from its table, a time constant as its fraction of the initial voltage. Where the
 * capacitance is known within limits so is the line, and its lower end decides; the error of the
 * charge is that of voltage and capacitance together.
 *
 * Source: IEC 62368-1, Table 5 (capacitance rated plus tolerance); IEC 60950-1, 2.1.1.7 (37 %).
 */
export function voltageLine(limit: LimitValue, circumstances: LineCircumstances): VoltageLine {
  const { capacitance, initial } = circumstances;
  const isBounded = capacitance !== undefined && capacitance.upper < Infinity;
  switch (limit.kind) {
    case "voltage":
      return limit.form === "rms"
        ? {
            kind: "noVerdict",
            limit,
            reason: "an r.m.s. voltage is no value at an instant after the disconnection",
          }
        : { kind: "line", limit, voltage: point(limit.voltage), because: "stated as a voltage" };
    case "charge":
      return isBounded
        ? insideBand({
            kind: "line",
            limit,
            voltage: divide(point(limit.charge), capacitance),
            because: "charge over the capacitance between the pins",
          })
        : needsCapacitance(limit);
    case "energy":
      return isBounded
        ? insideBand({
            kind: "line",
            limit,
            voltage: squareRoot(divide(point(2 * limit.energy), capacitance)),
            because: "square root of twice the energy over the capacitance between the pins",
          })
        : needsCapacitance(limit);
    case "chargedCapacitorTable":
      return {
        kind: "line",
        limit,
        voltage: tabled(limit, capacitance ?? point(LARGEST_TABLED)),
        because: "table by capacitance, linear between its rows",
      };
    case "timeConstant":
      if (initial === undefined) {
        const reason = "the voltage of the mains at the disconnection must be declared";
        return { kind: "noVerdict", limit, reason };
      }
      return {
        kind: "line",
        limit,
        voltage: multiply(point(limit.fraction), initial),
        because: "fraction of the voltage at the disconnection",
      };
    case "capacitance":
    case "current":
    case "measure":
      return { kind: "noVerdict", limit, reason: "the limit is no voltage after a stated time" };
  }
}

/** Whether a line speaks of a product at all. */
export type LineApplies = "applies" | "exempt" | "undetermined";

/**
 * Whether a product is tested against a line: by the capacitance from which on it applies, the
 * lowest of several thresholds counting, and by the charge up to which it is exempt. Undetermined
 * where the capacitance is not known well enough; the line is then drawn all the same.
 */
export function lineApplies(line: LimitLine, circumstances: LineCircumstances): LineApplies {
  const { capacitance, initial } = circumstances;
  const { capacitance: thresholds, exemptCharge } = line.applicability;
  if (capacitance === undefined) {
    return thresholds.length === 0 && exemptCharge === undefined ? "applies" : "undetermined";
  }
  const outcomes: LineApplies[] = [];
  const tested = (value: number): boolean =>
    thresholds.some(({ capacitance: least, tested: rule }) =>
      rule === "above" ? value > least : value >= least,
    );
  if (thresholds.length > 0) {
    const ends = [tested(capacitance.lower), tested(capacitance.upper)];
    outcomes.push(ends[0] ? "applies" : ends[1] ? "undetermined" : "exempt");
  }
  if (exemptCharge !== undefined) {
    const charge = initial === undefined ? undefined : multiply(capacitance, initial);
    const below = charge !== undefined && charge.upper <= exemptCharge;
    outcomes.push(
      below
        ? "exempt"
        : charge !== undefined && charge.lower > exemptCharge
          ? "applies"
          : "undetermined",
    );
  }
  if (outcomes.includes("exempt")) return "exempt";
  return outcomes.includes("undetermined") ? "undetermined" : "applies";
}
