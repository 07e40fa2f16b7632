import { MEASURAND, measurementModel, roundingQuantities } from "../chain/measurement-model.ts";
import type { MeasurementModel } from "../chain/measurement-model.ts";
import { checkRelations } from "../design/check-relations.ts";
import type { Design, Range } from "../design/design.ts";
import { FaultList } from "../design/fault-list.ts";
import type { Quantity } from "../design/quantity.ts";
import { add, constant, divide, multiply, negate, subtract, symbol } from "../expression/build.ts";
import type { Expression } from "../expression/node.ts";
import { compileTape } from "../expression/tape.ts";
import { Domain } from "../guarantee/domain.ts";
import { ErrorBrackets } from "../guarantee/error-brackets.ts";
import { Maximiser } from "../guarantee/maximum.ts";
import { checkCodesInside } from "../guarantee/range-check.ts";
import { Decimal } from "../quantity/decimal.ts";
import { ErrorPropagation } from "./error-uncertainty.ts";
import { withSymbols } from "./with-symbols.ts";

/** Under which circumstances units are checked. */
export interface CheckConditions {
  /** Degrees Celsius. */
  readonly ambientCelsius: Range;
  /** Readings averaged at each point. */
  readonly readingsAveraged: number;
  /**
   * Parts of the units that are checked may lie beyond their tolerance by up to this factor; 1: all
   * parts are inside. What a check at one temperature cannot see stays at its limits.
   */
  readonly productionFactor: number;
}

/** Gap and work of the margins: they are subtracted as a whole, so that 2 % shows little. */
const MARGIN_OPTIONS = { relativeGap: 0.02, absoluteGap: 1e-4, workLimit: 1500 } as const;

/** What a falling voltage brings into a reading; a calibrator's does not fall. */
const DECAY: readonly string[] = ["decay_share_use", "window_curvature_use", "mixture_use"];

/** A spread of that many kelvin about the reference ambient, where the design has no adjustment. */
const ROOM_SPREAD = Decimal.ofInteger(2);

/** The ambient of the adjustment, or about the reference where there is none. */
export function usualCheckAmbient({ adjustment, conditions }: Design): Range {
  if (adjustment.kind !== "none") return adjustment.ambientCelsius;
  const { referenceCelsius: reference } = conditions;
  return { lower: reference.subtract(ROOM_SPREAD), upper: reference.add(ROOM_SPREAD) };
}

/** The design as it stands on the bench, right after adjustment. */
function checkedDesign(design: Design, conditions: CheckConditions): Design {
  const { ambientCelsius, readingsAveraged } = conditions;
  const isAdjusted = design.adjustment.kind !== "none";
  const checked: Design = {
    ...design,
    conditions: {
      ...design.conditions,
      ambientCelsius,
      readingsAveraged,
      ...(isAdjusted
        ? { yearsSinceAdjustment: Decimal.zero }
        : { yearsSinceManufacture: Decimal.zero }),
    },
  };
  const faults = new FaultList();
  checkRelations(checked, faults);
  faults.throwIfAny("design under check conditions");
  return checked;
}

/** A steady voltage has no decay; everything else stays as it is. */
export function atSteadyVoltage(model: MeasurementModel): MeasurementModel {
  const quantities = model.quantities.map((quantity) =>
    DECAY.includes(quantity.name)
      ? { ...quantity, nominal: Decimal.zero, lower: Decimal.zero, upper: Decimal.zero }
      : quantity,
  );
  return { ...model, quantities };
}

/** Temperature coefficients and currents into the node show at other temperatures only. */
const UNSEEN_UNITS: readonly string[] = ["1/K", "V/K", "LSB/K", "A"];

/**
 * Limits of what differs between units, widened about the nominal. What no check point at one
 * temperature can see stays at its limits: what is different on every reading, as the nonlinearity
 * at a code, temperature coefficients, and currents that double with the temperature. The share of
 * voltage a part carries follows from the tolerances, with their square.
 */
function widened(quantity: Quantity, factor: Decimal): Quantity {
  const isShare = quantity.name.includes("_voltageShare");
  if (quantity.kind !== "production" || UNSEEN_UNITS.includes(quantity.unit)) return quantity;
  if (quantity.occasion !== "all" && !isShare) return quantity;
  const by = isShare ? factor.multiply(factor) : factor;
  const away = (limit: Decimal): Decimal =>
    quantity.nominal.add(limit.subtract(quantity.nominal).multiply(by));
  return { ...quantity, lower: away(quantity.lower), upper: away(quantity.upper) };
}

interface Limited {
  readonly name: string;
  readonly lower: Decimal;
  readonly upper: Decimal;
}

/** What has to be kept free at two check points, V, for all that happens between them in use. */
export interface Margins {
  readonly lower: number;
  readonly upper: number;
}

/** Stretches between two points are divided into parts with ends in at most this ratio. */
const BAND_RATIO = 1.5;
const MOST_BANDS = 5;

/** Magnitudes at which a stretch is divided, the nearer to zero first, both ends among them. */
function divisions(near: number, far: number): readonly number[] {
  const start = Math.max(near, far / BAND_RATIO ** MOST_BANDS);
  const count = Math.min(
    MOST_BANDS,
    Math.max(1, Math.ceil(Math.log(far / start) / Math.log(BAND_RATIO))),
  );
  const inner = Array.from({ length: count - 1 }, (_, step) =>
    Number((start * (far / start) ** ((step + 1) / count)).toPrecision(3)),
  );
  return [near, ...inner.filter((at) => at > near && at < far), far];
}

/** Lines tried between the steepest and the flat one. */
const LINES = 64;

/**
 * Ends of a line over magnitudes that rises outward and suffices at every inner end of a part, and
 * so over the whole part; the one with the least largest sum of margin and other use at the ends.
 */
function lineAbove(
  parts: readonly { readonly at: number; readonly need: number }[],
  { near, far }: { readonly near: number; readonly far: number },
  used: (magnitude: number) => number,
): readonly [number, number] {
  const least = parts[0]!.need;
  const most = Math.max(...parts.map(({ need }) => need));
  const lines = Array.from({ length: LINES + 1 }, (_, step) => {
    const atNear = least + ((most - least) * step) / LINES;
    const slopes = parts.slice(1).map(({ at, need }) => (need - atNear) / (at - near));
    const slope = Math.max(0, ...slopes) * (1 + 1e-12);
    return [atNear, atNear + slope * (far - near)] as const;
  });
  const cost = ([atNear, atFar]: readonly [number, number]): number =>
    Math.max(atNear + used(near), atFar + used(far));
  return lines.reduce((best, line) => (cost(line) < cost(best) ? line : best));
}

/**
 * A design in use beside the same unit on the bench: production is shared, environment, drift since
 * adjustment and reading are not.
 */
export class CheckModel {
  readonly design: Design;
  readonly inUse: MeasurementModel;
  /** On a steady voltage, parts inside their limits. */
  readonly onBench: MeasurementModel;
  /** On a decaying one. */
  readonly onDecay: MeasurementModel;
  readonly brackets: ErrorBrackets;
  readonly propagation: ErrorPropagation;
  private readonly factor: Decimal;
  private readonly own: ReadonlySet<string>;
  private decaying: ErrorBrackets | undefined;

  constructor(design: Design, conditions: CheckConditions) {
    this.design = design;
    this.factor = Decimal.fromNumber(conditions.productionFactor).value;
    this.inUse = measurementModel(design);
    // A code that is clamped would show less error than the equation has.
    checkCodesInside(this.inUse, new Domain(this.inUse));
    this.onDecay = measurementModel(checkedDesign(design, conditions));
    this.onBench = atSteadyVoltage(this.onDecay);
    this.brackets = new ErrorBrackets(this.onBench);
    this.propagation = new ErrorPropagation(this.onBench);
    this.own = new Set(
      [...this.onBench.quantities, ...roundingQuantities(this.onBench)]
        .filter(({ occasion }) => occasion === "use")
        .map(({ name }) => name),
    );
  }

  /** Error on the bench at a steady voltage, everything of the reading named after the point. */
  private errorAt(point: string, voltage: Decimal): Expression {
    return withSymbols(this.onBench.provable, (name) => {
      if (name === MEASURAND) return constant(voltage);
      return this.own.has(name) ? symbol(`${name}_${point}`) : undefined;
    });
  }

  private limits(): readonly Limited[] {
    const inUse = [
      ...this.inUse.quantities.map((quantity) => widened(quantity, this.factor)),
      ...roundingQuantities(this.inUse),
    ];
    const onBench = [
      ...this.onBench.quantities.map((quantity) => widened(quantity, this.factor)),
      ...roundingQuantities(this.onBench),
    ].filter(({ name }) => this.own.has(name));
    const atPoints = ["first", "second"].flatMap((point) =>
      onBench.map(({ name, lower, upper }) => ({ name: `${name}_${point}`, lower, upper })),
    );
    return [...inUse, ...atPoints];
  }

  /** Symbols and limits of {@link beside}, the true voltage first. */
  private domain(): readonly Limited[] {
    const { lower, upper } = this.design.measuringInterval;
    return [{ name: MEASURAND, lower, upper }, ...this.limits()];
  }

  /**
   * How far the error in use lies above the straight line through the errors of the same unit on
   * the bench at two voltages, as an expression.
   */
  private beside(lower: Decimal, upper: Decimal): Expression {
    const voltage = symbol(MEASURAND);
    const share = divide(subtract(upper, voltage), subtract(upper, lower));
    const line = add(
      multiply(share, this.errorAt("first", lower)),
      multiply(subtract(1, share), this.errorAt("second", upper)),
    );
    const inUse = withSymbols(this.inUse.provable, () => undefined);
    return subtract(inUse, line);
  }

  /**
   * What has to be kept free at two neighbouring voltages of one polarity, so that the error in use
   * between them stays below the line through what is left: proven over everything declared. The
   * stretch is divided; the margins are a straight line that no part of it passes. Of those the one
   * is taken that leaves most where `used` says what else is needed, V.
   */
  margins(lower: Decimal, upper: Decimal, used: (magnitude: number) => number): Margins {
    const beside = this.beside(lower, upper);
    const limits = this.domain();
    const names = limits.map(({ name }) => name);
    const sides = [beside, negate(beside)].map(
      (expression) => new Maximiser(compileTape([expression], names)),
    );
    const isNegative = lower.sign() < 0;
    const ends = [lower.toNumber(), upper.toNumber()].map(Math.abs);
    const [near, far] = [Math.min(...ends), Math.max(...ends)];
    const cuts = divisions(near, far);
    const box = {
      lower: Float64Array.from(limits, (one) => one.lower.lowerNumber()),
      upper: Float64Array.from(limits, (one) => one.upper.upperNumber()),
    };
    const largest = cuts.slice(1).map((outer, index) => {
      const inner = cuts[index]!;
      [box.lower[0], box.upper[0]] = isNegative ? [-outer, -inner] : [inner, outer];
      return Math.max(...sides.map((side) => side.maximise(box, MARGIN_OPTIONS).bound));
    });
    const [atNear, atFar] = lineAbove(
      largest.map((need, index) => ({ at: cuts[index]!, need: Math.max(0, need) })),
      { near, far },
      used,
    );
    return isNegative ? { lower: atFar, upper: atNear } : { lower: atNear, upper: atFar };
  }

  /** Largest error that a unit inside its limits shows on the bench at a steady voltage, V. */
  benchError(voltage: number): number {
    const { high, low } = this.brackets.bound({ lower: voltage, upper: voltage });
    return Math.max(Math.abs(high.proven), Math.abs(low.proven));
  }

  /** The same on a decaying voltage, read at the stated time. */
  decayError(voltage: number): number {
    this.decaying ??= new ErrorBrackets(this.onDecay);
    const { high, low } = this.decaying.bound({ lower: voltage, upper: voltage });
    return Math.max(Math.abs(high.proven), Math.abs(low.proven));
  }
}
