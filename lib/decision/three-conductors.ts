import { MEASURAND, measurementModel, roundingQuantities } from "../chain/measurement-model.ts";
import type { MeasurementModel } from "../chain/measurement-model.ts";
import type { Design } from "../design/design.ts";
import { highestCrest } from "../design/node-quantities.ts";
import { InvalidInputError, invariant } from "../errors.ts";
import type { Fault } from "../errors.ts";
import {
  add,
  divide,
  multiply as multiplied,
  negate,
  subtract,
  symbol,
} from "../expression/build.ts";
import type { Expression } from "../expression/node.ts";
import { symbolsOf, topologicalOrder } from "../expression/node.ts";
import { compileTape } from "../expression/tape.ts";
import { Domain } from "../guarantee/domain.ts";
import { Maximiser } from "../guarantee/maximum.ts";
import { checkCodesInside } from "../guarantee/range-check.ts";
import {
  divide as quotient,
  exponential,
  interval,
  multiply,
  negate as negated,
  point,
} from "../interval/interval.ts";
import type { Interval } from "../interval/interval.ts";
import type { Decimal } from "../quantity/decimal.ts";
import { atSteadyVoltage } from "./check-model.ts";
import { dividerPart, pinImpedance } from "./pin-impedance.ts";
import { withSymbols } from "./with-symbols.ts";

/** A product with earth, and the voltage asked about. */
export interface ThreeConductorFacts {
  /** True voltage between L and N at the stated time, V. */
  readonly voltage: Decimal;
  /** F between L and N. */
  readonly betweenPins: Interval;
  /** F from each of L and N to PE, strays and the tester's own among them; above zero. */
  readonly toEarth: Interval;
}

/** The two ways in which the voltages of L and N against PE fall, each with its own load. */
export interface Mode {
  /** Resistance that the two dividers put across it, ohm. */
  readonly resistance: Interval;
  /** F. */
  readonly capacitance: Interval;
  /** s, of the tester alone. */
  readonly timeConstant: Interval;
  /** Share that the tester alone leaves at the stated time. */
  readonly left: Interval;
}

/** The error of one pair. */
export interface PairError {
  readonly pair: "L-N" | "L-PE" | "N-PE";
  /** True voltages that occur, V. */
  readonly voltage: Interval;
  /** Proven, V; timing and capacitive mismatch among them. */
  readonly low: number;
  readonly high: number;
  /** Part that timing adds to either side, V. */
  readonly timing: number;
  /** Part that unequal time constants of the two dividers add to either side, V. */
  readonly capacitiveMismatch: number;
}

/** What three conductors do to the reading of each pair. */
export interface ThreeConductors {
  /** L against N: two dividers in series. */
  readonly differential: Mode;
  /** L and N together against PE: two dividers in parallel. */
  readonly common: Mode;
  /** Common-mode voltage at the stated time, V, from half the highest crest on. */
  readonly commonVoltage: Interval;
  readonly pairs: readonly PairError[];
}

const OPTIONS = { relativeGap: 0.01, absoluteGap: 1e-4, workLimit: 4000 } as const;

/** Parts that each of the two channels has for itself; the rest is one and the same. */
const OWN_PARTS =
  /^(?:divider\.(?:upper|lower|networks)|currents|board|interference|buffer|filter|adjustment)/;
const OWN_NAMES = /^(?:noise|adc_nonlinearity|adc_memory|rounding)/;

/** Room for the gain of a channel in front of a bound on what it sees. */
const GAIN_ROOM = 1.02;

function check({ betweenPins, toEarth, voltage }: ThreeConductorFacts, design: Design): void {
  const faults: Fault[] = [];
  for (const [path, range, least] of [
    ["betweenPins", betweenPins, "zero or above"],
    ["toEarth", toEarth, "above zero"],
  ] as const) {
    const isEnough = path === "toEarth" ? range.lower > 0 : range.lower >= 0;
    if (isEnough && range.lower <= range.upper && range.upper < Infinity) continue;
    const received = `${range.lower} F to ${range.upper} F`;
    const permitted = `${least}, finite, its limits in order`;
    faults.push({ path, quantity: "capacitance", permitted, received });
  }
  const crest = highestCrest(design);
  if (voltage.sign() <= 0 || voltage.compare(crest) > 0) {
    const most = crest.toNumber().toPrecision(5);
    const permitted = `above 0 V and at most the highest crest ${most} V`;
    const received = `${voltage.toString()} V`;
    faults.push({ path: "voltage", quantity: "voltage between L and N", permitted, received });
  }
  if (faults.length > 0) throw new InvalidInputError("three conductors", faults);
}

function modeOf(resistance: Interval, capacitance: Interval, duration: number): Mode {
  const timeConstant = multiply(resistance, capacitance);
  const left = exponential(negated(quotient(point(duration), timeConstant)));
  return {
    resistance,
    capacitance,
    timeConstant,
    left: interval(Math.max(0, left.lower), left.upper),
  };
}

interface Limited {
  readonly name: string;
  readonly lower: Decimal;
  readonly upper: Decimal;
}

/** Both channels in one box: what is shared once, what is not twice. */
class Channels {
  private readonly error: Expression;
  private readonly limits: readonly Limited[];
  private readonly own: ReadonlySet<string>;

  constructor(model: MeasurementModel) {
    const steady = atSteadyVoltage(model);
    this.error = steady.provable;
    const roundings = roundingQuantities(steady);
    this.own = new Set([
      ...steady.quantities
        .filter(({ name, part }) => OWN_PARTS.test(part) || OWN_NAMES.test(name))
        .map(({ name }) => name),
      ...roundings.map(({ name }) => name),
    ]);
    this.limits = [...steady.quantities, ...roundings];
  }

  /** Error of one channel at a voltage that is an expression. */
  at(channel: "L" | "N", voltage: Expression): Expression {
    return withSymbols(this.error, (name) => {
      if (name === MEASURAND) return voltage;
      return this.own.has(name) ? symbol(`${name}_${channel}`) : undefined;
    });
  }

  /** Proven ends of an expression of both channels and further symbols. */
  range(expression: Expression, further: ReadonlyMap<string, Interval>): Interval {
    const names = symbolsOf([expression]);
    const known = new Map<string, Interval>(further);
    for (const { name, lower, upper } of this.limits) {
      const limits = interval(lower.lowerNumber(), upper.upperNumber());
      if (this.own.has(name)) {
        known.set(`${name}_L`, limits);
        known.set(`${name}_N`, limits);
      } else known.set(name, limits);
    }
    const box = {
      lower: Float64Array.from(names, (name) => known.get(name)!.lower),
      upper: Float64Array.from(names, (name) => known.get(name)!.upper),
    };
    const most = (one: Expression): number =>
      new Maximiser(compileTape([one], names)).maximise(box, OPTIONS).bound;
    return interval(0 - most(negate(expression)), most(expression));
  }
}

/** By how much timing, averaging and filter can change a falling voltage inside limits, V. */
function timingError(model: MeasurementModel, voltage: Interval): number {
  const node = topologicalOrder([model.bounded]).find(
    (one) => one.kind === "named" && one.name === "timing_use",
  );
  if (node === undefined) return 0;
  // The product is bounded as a whole: the change is largest in share where the voltage is least.
  const change = multiplied(symbol(MEASURAND), subtract(node, 1));
  const names = symbolsOf([change]);
  const limits = new Map<string, Interval>(
    model.quantities.map(({ name, lower, upper }) => [
      name,
      interval(lower.lowerNumber(), upper.upperNumber()),
    ]),
  );
  limits.set(MEASURAND, voltage);
  const box = {
    lower: Float64Array.from(names, (name) => limits.get(name)!.lower),
    upper: Float64Array.from(names, (name) => limits.get(name)!.upper),
  };
  const most = (one: Expression): number =>
    new Maximiser(compileTape([one], names)).maximise(box, OPTIONS).bound;
  return Math.max(0, most(change), most(negate(change))) * GAIN_ROOM;
}

/** Largest time constant of a divider's own node, s. */
function nodeTimeConstant({ divider }: Design): number {
  const sum = (groups: Design["divider"]["upper"]): number =>
    groups.reduce((total, { count, resistance }) => total + count * resistance.toNumber(), 0);
  const [upper, lower] = [sum(divider.upper), sum(divider.lower)];
  const shunt = [...divider.upper, ...divider.lower].map(
    ({ shuntCapacitance }) => shuntCapacitance?.toNumber() ?? 0,
  );
  const capacitance = (divider.strayCapacitance?.toNumber() ?? 0) + Math.max(0, ...shunt);
  return ((upper * lower) / (upper + lower)) * capacitance;
}

/** Each channel measures its own pin against PE, which can lie on either side of it. */
function checkInside({ measuringInterval }: Design, occurring: Interval): void {
  const { lower, upper } = measuringInterval;
  const [low, high] = [occurring.lower, occurring.upper];
  if (low >= lower.toNumber() && high <= upper.toNumber()) return;
  throw new InvalidInputError("three conductors", [
    {
      path: "measuringInterval",
      quantity: "measuring interval",
      permitted: `wide enough for ${low.toPrecision(4)} V to ${high.toPrecision(4)} V against PE`,
      received: `${lower.toString()} V to ${upper.toString()} V`,
    },
  ]);
}

/**
 * Errors of all three pairs of a tester that reads L and N against PE with two equal channels and
 * shows L-N as their difference. Both channels share reference, converter, clock and ambient;
 * dividers, node currents, buffers and adjustments are each one's own, so that a common voltage
 * becomes an error of L-N where they differ. The common voltage lingers after both poles are open:
 * only the dividers discharge it, 50 Mohm with the capacitance of both pins to earth.
 *
 * Voltages of N against PE are differences of two falling voltages, so that timing is counted for
 * each of the two, and both channels are read at one instant. Throws InvalidInputError with every
 * fault of the facts, UnboundedResultError where limits of the design are too wide.
 */
export function threeConductors(design: Design, facts: ThreeConductorFacts): ThreeConductors {
  check(facts, design);
  const { voltage, betweenPins, toEarth } = facts;
  const volts = voltage.toNumber();
  const duration = design.conditions.instant.toNumber();
  const { resistance } = pinImpedance([dividerPart(design)]);
  const half = multiply(toEarth, point(0.5));
  const differential = modeOf(
    multiply(resistance, point(2)),
    interval(betweenPins.lower + half.lower, betweenPins.upper + half.upper),
    duration,
  );
  const common = modeOf(multiply(resistance, point(0.5)), multiply(toEarth, point(2)), duration);
  // With N earthed until it opens, half the crest stands on both; without the tester it would stay.
  const begin = highestCrest(design).upperNumber() / 2;
  const commonVoltage = interval(0, multiply(point(begin), point(common.left.upper)).upper);
  checkInside(design, interval(-volts / 2, commonVoltage.upper + volts / 2));
  const model = measurementModel(design);
  checkCodesInside(model, new Domain(model));
  const channels = new Channels(model);
  const [mean, across] = [symbol("common"), symbol("across")];
  const known = new Map<string, Interval>([
    ["common", commonVoltage],
    ["across", interval(voltage.lowerNumber(), voltage.upperNumber())],
  ]);
  const ofL = channels.at("L", add(mean, divide(across, 2)));
  const ofN = channels.at("N", subtract(mean, divide(across, 2)));
  const timingAcross = timingError(model, interval(volts, volts));
  const timingCommon = timingError(model, commonVoltage);
  // Two dividers of unlike speed see a falling common voltage at times apart by their difference.
  const slope = commonVoltage.upper / Math.max(common.timeConstant.lower, Number.MIN_VALUE);
  const capacitive = Math.min(commonVoltage.upper, slope * nodeTimeConstant(design)) * GAIN_ROOM;
  const pair = (
    name: PairError["pair"],
    range: Interval,
    error: Expression,
    added: { readonly timing: number; readonly capacitiveMismatch: number },
  ): PairError => {
    const found = channels.range(error, known);
    const more = added.timing + added.capacitiveMismatch;
    invariant(found.lower <= found.upper, "the bounds of a pair are in order");
    return {
      pair: name,
      voltage: range,
      low: found.lower - more,
      high: found.upper + more,
      ...added,
    };
  };
  const toPe = { timing: timingCommon + timingAcross / 2, capacitiveMismatch: 0 };
  return {
    differential,
    common,
    commonVoltage,
    pairs: [
      pair("L-N", interval(volts, volts), subtract(ofL, ofN), {
        timing: timingAcross,
        capacitiveMismatch: capacitive,
      }),
      pair("L-PE", interval(volts / 2, commonVoltage.upper + volts / 2), ofL, toPe),
      pair("N-PE", interval(-volts / 2, commonVoltage.upper - volts / 2), ofN, toPe),
    ],
  };
}
