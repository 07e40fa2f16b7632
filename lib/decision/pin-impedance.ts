import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import type { Design, Drift, ResistorGroup } from "../design/design.ts";
import type { InstrumentDemand, ReferenceLoad } from "../design/published-limit.ts";
import { driftLimit } from "../design/quantity-register.ts";
import type { Limits } from "../design/quantity.ts";
import { add, divide, interval, multiply, point, subtract } from "../interval/interval.ts";
import type { Interval } from "../interval/interval.ts";
import type { Decimal } from "../quantity/decimal.ts";
import { requireNotNegative, requirePositive } from "../quantity/number-domain.ts";

/** Something that lies between the two pins while the tester is connected. */
export interface PinPart {
  /** As "lead" or "varistor of the socket". */
  readonly name: string;
  /** Between the pins, ohm; absent where it conducts nothing. */
  readonly resistance?: Interval;
  /** Between the pins, F; absent where it has none. */
  readonly capacitance?: Interval;
}

/** What the product sees between its pins, and what makes it. */
export interface PinImpedance {
  /** Ohm. */
  readonly resistance: Interval;
  /** F. */
  readonly capacitance: Interval;
  readonly parts: readonly PinPart[];
}

function exactly(value: Decimal): Interval {
  return interval(value.lowerNumber(), value.upperNumber());
}

function within({ lower, upper }: { readonly lower: Decimal; readonly upper: Decimal }): Interval {
  return interval(lower.lowerNumber(), upper.upperNumber());
}

function onePlus(deviation: Interval): Interval {
  return add(point(1), deviation);
}

function driftFactor(drift: Drift | undefined, { conditions, adjustment }: Design): Interval {
  if (drift === undefined) return point(1);
  const before = adjustment.kind === "none" ? undefined : adjustment.ageYears;
  const since =
    adjustment.kind === "none" ? conditions.yearsSinceManufacture : conditions.yearsSinceAdjustment;
  const both = (years: Decimal): Interval => {
    const limit = driftLimit(drift, years).upperNumber();
    return onePlus(interval(-limit, limit));
  };
  return before === undefined ? both(since) : multiply(both(before), both(since));
}

/** Resistance of a group anywhere inside its limits, at any voltage of the range. */
function groupResistance(design: Design, group: ResistorGroup): Interval {
  const { ambientCelsius } = design.conditions;
  const temperature = subtract(
    add(within(ambientCelsius), within(group.rise)),
    exactly(group.referenceCelsius),
  );
  const network = design.divider.networks.find(({ id }) => id === group.network);
  const changes: Interval[] = [
    driftFactor(group.drift, design),
    driftFactor(network?.drift, design),
  ];
  const relative = (limits: Limits | undefined, times: Interval): void => {
    if (limits !== undefined) changes.push(onePlus(multiply(within(limits), times)));
  };
  const { lower, upper } = design.measuringInterval;
  const most = Math.max(Math.abs(lower.toNumber()), Math.abs(upper.toNumber()));
  for (const limits of [group.tolerance, network?.tolerance]) relative(limits, point(1));
  for (const limits of [group.tempco, network?.tempco]) relative(limits, temperature);
  relative(group.voltageCoefficient, interval(0, most));
  const nominal = multiply(exactly(group.resistance), point(group.count));
  return changes.reduce(multiply, nominal);
}

/** Capacitance across the whole divider: at most that of its upper string alone. */
function dividerCapacitance({ divider }: Design): Interval {
  const stiffness = divider.upper.map(({ count, shuntCapacitance }) =>
    shuntCapacitance === undefined || shuntCapacitance.isZero()
      ? Infinity
      : count / shuntCapacitance.toNumber(),
  );
  const sum = stiffness.reduce((total, one) => total + one, 0);
  return interval(0, sum === Infinity ? 0 : 1 / sum);
}

/**
 * The divider of a design as it lies between the pins, with everything inside its declared limits:
 * both legs in series, and the leakage of the board across the upper one.
 */
export function dividerPart(design: Design): PinPart {
  const { upper, lower } = design.divider;
  const leg = (groups: readonly ResistorGroup[]): Interval =>
    groups.map((group) => groupResistance(design, group)).reduce(add);
  const leak = (least: Decimal | undefined): Interval =>
    least === undefined ? point(0) : interval(0, 1 / least.toNumber());
  const parallel = (resistance: Interval, conductance: Interval): Interval =>
    divide(point(1), add(divide(point(1), resistance), conductance));
  const { board } = design;
  const resistance = add(
    parallel(leg(upper), leak(board?.acrossUpper)),
    parallel(leg(lower), add(leak(board?.nodeToGround), leak(board?.nodeToSupply))),
  );
  return { name: "divider", resistance, capacitance: dividerCapacitance(design) };
}

function partFaults(part: PinPart, path: string): Fault[] {
  const faults: Fault[] = [];
  const check = (field: "resistance" | "capacitance", unit: string, least: number): void => {
    const range = part[field];
    if (range === undefined) return;
    const { lower, upper } = range;
    const isEnough = least === 0 ? lower >= 0 : lower > 0;
    if (isEnough && lower <= upper && (field === "resistance" || upper < Infinity)) return;
    faults.push({
      path: `${path}.${field}`,
      quantity: `${field} of ${part.name}`,
      permitted: `${least === 0 ? "zero or above" : "greater than zero"}, its limits in order`,
      received: `${lower} ${unit} to ${upper} ${unit}`,
    });
  };
  check("resistance", "ohm", 1);
  check("capacitance", "F", 0);
  return faults;
}

/**
 * Impedance between the pins from the parts that lie there, all in parallel. Throws
 * InvalidInputError naming every part whose limits are none, and where nothing conducts.
 */
export function pinImpedance(parts: readonly PinPart[]): PinImpedance {
  const faults = parts.flatMap((part, index) => partFaults(part, `parts[${index}]`));
  const conducting = parts.filter(({ resistance }) => resistance !== undefined);
  if (conducting.length === 0) {
    const permitted = "at least one part with a resistance";
    faults.push({ path: "parts", quantity: "parts between the pins", permitted, received: "none" });
  }
  if (faults.length > 0) throw new InvalidInputError("parts between the pins", faults);
  const conductance = conducting
    .map(({ resistance }) => {
      const { lower, upper } = resistance!;
      return upper === Infinity
        ? interval(0, divide(point(1), point(lower)).upper)
        : divide(point(1), resistance!);
    })
    .reduce(add);
  const upper = conductance.lower > 0 ? divide(point(1), point(conductance.lower)).upper : Infinity;
  const resistance = interval(divide(point(1), point(conductance.upper)).lower, upper);
  const sum = parts.map((part) => part.capacitance ?? point(0)).reduce(add);
  const capacitance = interval(Math.max(0, sum.lower), sum.upper);
  return { resistance, capacitance, parts };
}

/** Whether an impedance meets a demand for every value inside its limits, for none, or for some. */
export type DemandVerdict = "holds" | "doesNotHold" | "notProven";

function verdictOf(is: Interval, allowed: { readonly lower: number; readonly upper: number }) {
  if (is.lower >= allowed.lower && is.upper <= allowed.upper) return "holds";
  return is.upper < allowed.lower || is.lower > allowed.upper ? "doesNotHold" : "notProven";
}

function both(one: DemandVerdict, other: DemandVerdict): DemandVerdict {
  if (one === "doesNotHold" || other === "doesNotHold") return "doesNotHold";
  return one === "holds" && other === "holds" ? "holds" : "notProven";
}

/** Whether the pins are loaded no more than a demand allows: least resistance, most capacitance. */
export function meetsInstrumentDemand(
  { resistance, capacitance }: PinImpedance,
  { leastResistance = 0, greatestCapacitance = Infinity }: InstrumentDemand,
): DemandVerdict {
  return both(
    verdictOf(resistance, { lower: leastResistance, upper: Infinity }),
    verdictOf(capacitance, { lower: 0, upper: greatestCapacitance }),
  );
}

/** Whether the tester itself is the reference load, inside its tolerance; another demand. */
export function isReferenceLoad(
  { resistance, capacitance }: PinImpedance,
  load: ReferenceLoad,
): DemandVerdict {
  return both(verdictOf(resistance, load.resistance), verdictOf(capacitance, load.capacitance));
}

/**
 * Voltage that mains puts on an open input through the contacts of two open poles, V: their
 * capacitances in series, divided with the input's. Two of 1.5 pF put 9.5 V of a 230 V mains' crest
 * on 25 pF. `mains` is the crest, V. Throws OutsideDomainError unless the pole's capacitance is
 * zero or above and the rest above zero.
 */
export function openContactVoltage(open: {
  readonly mains: number;
  readonly poleCapacitance: number;
  readonly inputCapacitance: number;
}): number {
  const { mains, poleCapacitance, inputCapacitance } = open;
  requireNotNegative([{ quantity: "capacitance of a pole", value: poleCapacitance, unit: "F" }]);
  requirePositive([
    { quantity: "crest of the mains", value: mains, unit: "V" },
    { quantity: "input capacitance", value: inputCapacitance, unit: "F" },
  ]);
  const series = poleCapacitance / 2;
  return (mains * series) / (series + inputCapacitance);
}
