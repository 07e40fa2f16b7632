import { MEASURAND } from "../chain/measurement-model.ts";
import type { MeasurementModel } from "../chain/measurement-model.ts";
import type { Design } from "../design/design.ts";
import { timeConstantLineVoltage } from "../design/published-limits.ts";
import { PlainEvaluator } from "../expression/evaluate.ts";
import { compileTape } from "../expression/tape.ts";
import { Decimal } from "../quantity/decimal.ts";

/** A voltage at which units are checked, and why. */
export interface CheckVoltage {
  readonly voltage: Decimal;
  readonly reason: string;
}

/** Share of the permitted error that a straight line between two points may miss of a part. */
const MISSED_SHARE = 0.02;

/** Points of each polarity, the lines and the end among them, at most. */
const MOST_POINTS = 7;

/** Voltages from which points are chosen. */
const GRID_STEP = 10;

/**
 * How the error of units differs: for each quantity that does, its largest effect as a function of
 * the voltage, at the warm end of the ambient, where products with the temperature show.
 */
class UnitDifferences {
  private readonly evaluator: PlainEvaluator;
  private readonly point: Float64Array;
  private readonly halfWidths: Float64Array;
  private readonly gradient: Float64Array;
  private readonly known = new Map<number, Float64Array>();

  constructor(model: MeasurementModel) {
    const roundings = model.quantisers.map(({ symbol }) => symbol);
    const names = [MEASURAND, ...model.quantities.map(({ name }) => name), ...roundings];
    this.evaluator = new PlainEvaluator(compileTape([model.bounded], names));
    const at = model.quantities.map(({ name, nominal, upper }) =>
      (name.startsWith("ambient") ? upper : nominal).toNumber(),
    );
    this.point = Float64Array.from([0, ...at, ...roundings.map(() => 0)]);
    const half = model.quantities.map(({ kind, lower, upper }) =>
      kind === "production" ? upper.subtract(lower).toNumber() / 2 : 0,
    );
    this.halfWidths = Float64Array.from([0, ...half, ...roundings.map(() => 0)]);
    this.gradient = new Float64Array(names.length);
  }

  at(voltage: number): Float64Array {
    const found = this.known.get(voltage);
    if (found !== undefined) return found;
    this.point[0] = voltage;
    this.evaluator.evaluate(this.point);
    this.evaluator.gradient(0, this.gradient);
    const effects = this.gradient.map((one, slot) => one * this.halfWidths[slot]!);
    this.known.set(voltage, effects);
    return effects;
  }

  /** What a straight line through two voltages misses of all quantities at one between, V. */
  missed(voltage: number, lower: number, upper: number): number {
    const [below, here, above] = [this.at(lower), this.at(voltage), this.at(upper)];
    const share = (upper - voltage) / (upper - lower);
    return here.reduce(
      (sum, effect, slot) =>
        sum + Math.abs(effect - share * below[slot]! - (1 - share) * above[slot]!),
      0,
    );
  }
}

/** Logarithm of the least ratio of two lines that both become points. */
const APART = 0.1;

/** The voltages that decide, as magnitudes: of the requirements, else usual lines. */
function lineVoltages({ requirements, conditions }: Design): readonly CheckVoltage[] {
  const asked = requirements.flatMap(({ id, at }) =>
    (at ?? []).map((voltage) => ({ voltage: voltage.absolute(), reason: `requirement ${id}` })),
  );
  if (asked.length > 0) return asked;
  const decays = conditions.mains.voltages.map((rms) => ({
    voltage: Decimal.fromNumber(timeConstantLineVoltage(rms.toNumber())).value.roundUp(0),
    reason: `37 % of the crest of ${rms.toString()} V`,
  }));
  const line = (volts: number): CheckVoltage => ({
    voltage: Decimal.ofInteger(volts),
    reason: `limit line at ${volts} V`,
  });
  const usual = [line(34), line(60)];
  // A point beside another tells nothing new.
  const isApart = ({ voltage }: CheckVoltage): boolean =>
    usual.every((one) => Math.abs(Math.log(voltage.toNumber() / one.voltage.toNumber())) > APART);
  return [...usual, ...decays.filter(isApart)];
}

function sorted(points: readonly CheckVoltage[]): CheckVoltage[] {
  const ordered = [...points].sort((one, other) => one.voltage.compare(other.voltage));
  return ordered.filter(
    ({ voltage }, index) => index === 0 || !voltage.equals(ordered[index - 1]!.voltage),
  );
}

/** The longest stretch beside zero, as a ratio of its ends; a longer one is halved. */
const LONGEST_STRETCH = 3;

/** Points between two that are far apart, whole tens near their geometric mean. */
function withoutGaps(points: readonly CheckVoltage[]): readonly CheckVoltage[] {
  return points.flatMap((point, index): CheckVoltage[] => {
    const before = points[index - 1]?.voltage.toNumber() ?? 0;
    const after = point.voltage.toNumber();
    if (before === 0 || after === 0) return [point];
    const ratio = Math.max(after / before, before / after);
    if (ratio <= LONGEST_STRETCH) return [point];
    const mean = Math.sign(after) * Math.round(Math.sqrt(before * after) / 10) * 10;
    return [{ voltage: Decimal.ofInteger(mean), reason: "between distant points" }, point];
  });
}

/** Adds points of one polarity while a straight line between two misses too much. */
function refined(
  start: readonly CheckVoltage[],
  differences: UnitDifferences,
  permitted: (voltage: number) => number,
): readonly CheckVoltage[] {
  let points = sorted(withoutGaps(sorted(start)));
  while (points.length < MOST_POINTS) {
    let worst = { share: MISSED_SHARE, voltage: Number.NaN };
    for (const [index, { voltage: end }] of points.slice(1).entries()) {
      const [lower, upper] = [points[index]!.voltage.toNumber(), end.toNumber()];
      const first = Math.ceil(lower / GRID_STEP) * GRID_STEP;
      for (let voltage = first; voltage < upper; voltage += GRID_STEP) {
        if (voltage <= lower) continue;
        const share = differences.missed(voltage, lower, upper) / permitted(voltage);
        if (share > worst.share) worst = { share, voltage };
      }
    }
    if (Number.isNaN(worst.voltage)) break;
    const reason = "where units differ most from a straight line";
    points = sorted([...points, { voltage: Decimal.ofInteger(worst.voltage), reason }]);
  }
  return points;
}

/**
 * The voltages at which units are checked: zero, both ends of the range, the lines that decide in
 * both polarities, and between them where the sensitivity of the measurement equation to what
 * differs between units departs most from a straight line, until it does by less than 2 % of what
 * `permitted` gives, V. Ascending.
 */
export function checkVoltages(
  model: MeasurementModel,
  permitted: (voltage: number) => number,
): readonly CheckVoltage[] {
  const { design } = model;
  const { lower, upper } = design.measuringInterval;
  const differences = new UnitDifferences(model);
  const lines = lineVoltages(design);
  const startOf = (near: Decimal): CheckVoltage =>
    near.isZero()
      ? { voltage: near, reason: "zero" }
      : { voltage: near, reason: "start of the range" };
  const side = (near: Decimal, end: Decimal, sign: 1 | -1): readonly CheckVoltage[] => {
    const signed = lines
      .map(({ voltage, reason }) => ({ voltage: sign === 1 ? voltage : voltage.negate(), reason }))
      .filter(({ voltage }) => voltage.absolute().compare(end.absolute()) < 0)
      .filter(({ voltage }) => voltage.absolute().compare(near.absolute()) > 0);
    const start = [startOf(near), ...signed, { voltage: end, reason: "end of the range" }];
    return refined(start, differences, permitted);
  };
  return sorted([
    ...(lower.sign() < 0 ? side(Decimal.min(Decimal.zero, upper), lower, -1) : []),
    ...(upper.sign() > 0 ? side(Decimal.max(Decimal.zero, lower), upper, 1) : []),
  ]);
}
