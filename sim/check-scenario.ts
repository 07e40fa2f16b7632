import { InvalidInputError } from "../lib/errors.ts";
import type { Fault } from "../lib/errors.ts";
import { MOST_TABULATED_BITS } from "./quantiser.ts";
import type { TransitionCurve } from "./transition-curve.ts";
import type { Disturbance, PoleOpening, Scenario } from "./scenario.ts";

/** Longest scenario, s: beyond it the instants lose the bits that the sampling needs. */
const LONGEST = 1e5;

/** Hz: above it a burst is no longer followed through lumped parts. */
const HIGHEST_TONE = 1e6;

const MOST_TONES = 64;

type Points = Extract<TransitionCurve, { points: unknown }>["points"];
type Burst = Extract<Disturbance, { kind: "burst" }>;

/** Gathers the faults of a scenario. */
class Checks {
  readonly faults: Fault[] = [];

  private note(path: string, permitted: string, received: string): void {
    const quantity = path.slice(path.lastIndexOf(".") + 1);
    this.faults.push({ path, quantity, permitted, received });
  }

  positive(path: string, value: number): void {
    if (!(Number.isFinite(value) && value > 0)) this.note(path, "greater than zero", `${value}`);
  }

  notNegative(path: string, value: number): void {
    if (!(Number.isFinite(value) && value >= 0)) this.note(path, "zero or above", `${value}`);
  }

  finite(path: string, value: number): void {
    if (!Number.isFinite(value)) this.note(path, "a finite number", `${value}`);
  }

  require(holds: boolean, path: string, permitted: string, received: string): void {
    if (!holds) this.note(path, permitted, received);
  }
}

function checkOpening(checks: Checks, path: string, opening: PoleOpening | undefined): void {
  if (opening === undefined) return;
  checks.notNegative(`${path}.instant`, opening.instant);
  for (const [index, duration] of opening.bounces.entries())
    checks.positive(`${path}.bounces[${index}]`, duration);
  const { length } = opening.bounces;
  checks.require(length % 2 === 0, `${path}.bounces`, "an even number of durations", `${length}`);
  if (opening.arc === undefined) return;
  for (const key of ["leastCurrent", "voltage", "resistance", "leastDuration"] as const)
    checks.notNegative(`${path}.arc.${key}`, opening.arc[key]);
  if (opening.arc.voltage > 0) checks.positive(`${path}.arc.resistance`, opening.arc.resistance);
}

function checkBurst(checks: Checks, path: string, burst: Burst): void {
  checks.notNegative(`${path}.voltage`, burst.voltage);
  checks.positive(`${path}.lowest`, burst.lowest);
  const { lowest, highest, tones, seed } = burst;
  const above = highest > lowest && highest <= HIGHEST_TONE;
  const permitted = `above ${lowest} Hz and at most ${HIGHEST_TONE} Hz`;
  checks.require(above, `${path}.highest`, permitted, `${highest} Hz`);
  const count = Number.isInteger(tones) && tones >= 1 && tones <= MOST_TONES;
  checks.require(count, `${path}.tones`, `an integer from 1 to ${MOST_TONES}`, `${tones}`);
  const whole = Number.isSafeInteger(seed) && seed >= 0;
  checks.require(whole, `${path}.seed`, "an integer of zero or above", `${seed}`);
}

function checkDisturbance(checks: Checks, path: string, one: Disturbance): void {
  if (one.kind === "phaseJump") {
    checks.notNegative(`${path}.at`, one.at);
    checks.finite(`${path}.turns`, one.turns);
    return;
  }
  checks.notNegative(`${path}.from`, one.from);
  checks.require(one.to > one.from, `${path}.to`, `later than ${one.from}`, `${one.to}`);
  if (one.kind === "burst") checkBurst(checks, path, one);
  else if (one.kind === "level") checks.notNegative(`${path}.factor`, one.factor);
  else checks.notNegative(`${path}.impedance`, one.impedance);
}

function checkMains(checks: Checks, { mains, disconnection, product }: Scenario): void {
  const opens = disconnection.L !== undefined || disconnection.N !== undefined;
  if (mains === undefined) {
    checks.require(!opens, "disconnection", "without openings where there is no mains", "openings");
    checks.require(product.kind !== "runDown", "product", "one that needs no mains", "runDown");
    return;
  }
  checks.require(product.kind !== "imposed", "mains", "absent beside an imposed voltage", "given");
  checks.notNegative("mains.voltage", mains.voltage);
  checks.positive("mains.frequency", mains.frequency);
  checks.finite("mains.phaseTurns", mains.phaseTurns);
  for (const key of ["resistance", "inductance", "capacitance"] as const)
    checks.notNegative(`mains.${key}`, mains[key]);
  if (mains.inductance > 0) checks.positive("mains.capacitance", mains.capacitance);
  for (const [index, { order, share, phaseTurns }] of mains.harmonics.entries()) {
    const path = `mains.harmonics[${index}]`;
    const whole = Number.isInteger(order) && order >= 2;
    checks.require(whole, `${path}.order`, "an integer of 2 or more", `${order}`);
    checks.notNegative(`${path}.share`, share);
    checks.finite(`${path}.phaseTurns`, phaseTurns);
  }
  for (const [index, one] of mains.disturbances.entries())
    checkDisturbance(checks, `mains.disturbances[${index}]`, one);
}

function checkProduct(checks: Checks, { product }: Scenario): void {
  for (const pin of ["L", "N"] as const) {
    checks.notNegative(`product.earthCapacitance.${pin}`, product.earthCapacitance[pin]);
    checks.notNegative(`product.earthResistance.${pin}`, product.earthResistance[pin]);
  }
  if (product.kind === "imposed") {
    for (const [index, term] of product.terms.entries())
      for (const key of ["amplitude", "rate", "frequency", "phaseTurns"] as const)
        checks.finite(`product.terms[${index}].${key}`, term[key]);
    return;
  }
  if (product.kind === "open") return;
  if (product.kind === "runDown") checks.notNegative("product.capacitance", product.capacitance);
  else checks.positive("product.capacitance", product.capacitance);
  checks.notNegative("product.bleeder", product.bleeder);
  if (product.kind === "rectifier") {
    checks.positive("product.bulk", product.bulk);
    checks.notNegative("product.load", product.load);
    checks.notNegative("product.forwardVoltage", product.forwardVoltage);
    checks.positive("product.resistance", product.resistance);
    checks.notNegative("product.bulkEarthCapacitance", product.bulkEarthCapacitance ?? 0);
  }
  if (product.kind === "activeDischarge") {
    checks.notNegative("product.delay", product.delay);
    const { discharge } = product;
    const key = "resistance" in discharge ? "resistance" : "current";
    const value = "resistance" in discharge ? discharge.resistance : discharge.current;
    checks.positive(`product.discharge.${key}`, value);
  }
  if (product.kind === "lineFilter") {
    checks.positive("product.inductance", product.inductance);
    checks.notNegative("product.resistance", product.resistance);
    checks.positive("product.innerCapacitance", product.innerCapacitance);
  }
  if (product.kind === "runDown") {
    checks.notNegative("product.share", product.share);
    checks.positive("product.resistance", product.resistance);
    checks.positive("product.timeConstant", product.timeConstant);
    checks.positive("product.frequencyRatio", product.frequencyRatio);
  }
}

function checkCharge(checks: Checks, { sampling, design }: Scenario): void {
  const { charge } = sampling;
  if (charge === undefined) return;
  const { adc, buffer, filter, timing } = design;
  const alone = adc.sampling !== undefined && buffer === undefined && filter === undefined;
  checks.require(
    alone,
    "sampling.charge",
    "absent but for a design with a sampling capacitor and neither buffer nor filter",
    "given",
  );
  const period = 1 / (timing?.sampleRate.toNumber() ?? 1);
  const inside = charge.acquisition > 0 && charge.acquisition < period;
  const permitted = `above zero and below the ${period} s from sample to sample`;
  checks.require(inside, "sampling.charge.acquisition", permitted, `${charge.acquisition} s`);
}

function checkTester(checks: Checks, scenario: Scenario): void {
  const { tester, sampling, noise, design } = scenario;
  const { channels, ground } = tester;
  const count = channels.length;
  checks.require(count === 1 || count === 2, "tester.channels", "one or two pins", `${count}`);
  checks.require(
    !channels.includes(ground) && new Set(channels).size === count,
    "tester.channels",
    "different pins, none of them the tester's ground",
    JSON.stringify(channels),
  );
  checks.notNegative("tester.inputCapacitance", tester.inputCapacitance);
  checks.notNegative("tester.earthCapacitance", tester.earthCapacitance);
  checks.finite("sampling.phase", sampling.phase);
  checks.notNegative("sampling.jitter", sampling.jitter);
  if (sampling.jitter > 0)
    checks.require(noise.kind === "random", "noise", "random where instants jitter", noise.kind);
  checkCharge(checks, scenario);
  if (noise.kind === "random") {
    const within = noise.cut >= 1 && noise.cut <= 8;
    checks.require(within, "noise.cut", "1 to 8", `${noise.cut}`);
    checks.notNegative("noise.corner", noise.corner ?? 0);
    const whole = Number.isSafeInteger(noise.seed) && noise.seed >= 0;
    checks.require(whole, "noise.seed", "an integer of zero or above", `${noise.seed}`);
  }
  if (noise.kind === "sequence") {
    const whole = Number.isSafeInteger(noise.first);
    checks.require(whole, "noise.first", "an integer", `${noise.first}`);
    for (const [index, value] of noise.values.entries())
      checks.finite(`noise.values[${index}]`, value);
  }
  checks.require(
    design.timing !== undefined,
    "design.timing",
    "given: its sample rate is that of the simulation",
    "none",
  );
}

/** A curve without a table may not fold back: no code may be missing. */
function checkRising(checks: Checks, path: string, points: Points): void {
  const sorted = [...points].sort((one, other) => one.code - other.code);
  for (const [index, { code, deviation }] of sorted.entries()) {
    const before = sorted[index - 1];
    if (before === undefined) continue;
    const falls = deviation - before.deviation <= before.code - code;
    const permitted = "a curve that falls by less than an LSB for each code: none may be missing";
    checks.require(!falls, `${path}.points[${index}]`, permitted, `${deviation} LSB at ${code}`);
  }
}

function checkTransitions(checks: Checks, { transitions, design }: Scenario): void {
  const count = 2 ** design.adc.bits - 1;
  const many = design.adc.bits > MOST_TABULATED_BITS;
  for (const [occasion, curve] of Object.entries(transitions)) {
    const path = `transitions.${occasion}`;
    if ("transitions" in curve) {
      const { length } = curve.transitions;
      if (many) {
        const permitted = `points where there are more than ${MOST_TABULATED_BITS} bits`;
        checks.require(false, path, permitted, "a list of transitions");
        continue;
      }
      checks.require(length === count, path, `a list of ${count} deviations`, `${length}`);
      for (const [index, value] of curve.transitions.entries())
        checks.finite(`${path}.transitions[${index}]`, value);
      continue;
    }
    for (const [index, { code, deviation }] of curve.points.entries()) {
      checks.finite(`${path}.points[${index}].code`, code);
      checks.finite(`${path}.points[${index}].deviation`, deviation);
    }
    if (many) checkRising(checks, path, curve.points);
  }
}

/** Every fault in the relations between the figures of a scenario. */
export function faultsOf(scenario: Scenario): readonly Fault[] {
  const checks = new Checks();
  const { disconnection, duration, view, limit } = scenario;
  checks.positive("duration", duration);
  checks.require(duration <= LONGEST, "duration", `at most ${LONGEST} s`, `${duration} s`);
  if (limit !== undefined) checks.positive("limit", limit);
  if (view !== undefined) {
    const ordered = view[0] >= 0 && view[1] > view[0] && view[1] <= duration;
    checks.require(ordered, "view", "two instants in order inside the duration", `${view}`);
  }
  for (const key of ["closedResistance", "openResistance", "openCapacitance"] as const)
    checks.notNegative(`disconnection.${key}`, disconnection[key]);
  for (const pole of ["L", "N"] as const)
    checkOpening(checks, `disconnection.${pole}`, disconnection[pole]);
  checkMains(checks, scenario);
  checkProduct(checks, scenario);
  checkTester(checks, scenario);
  checkTransitions(checks, scenario);
  return checks.faults;
}

/** Throws InvalidInputError with every fault of a scenario. */
export function requireScenario(scenario: Scenario): void {
  const faults = faultsOf(scenario);
  if (faults.length > 0) throw new InvalidInputError("scenario", faults);
}
