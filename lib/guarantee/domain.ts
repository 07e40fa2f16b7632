import { MEASURAND, roundingQuantities } from "../chain/measurement-model.ts";
import type { MeasurementModel } from "../chain/measurement-model.ts";
import type { Decimal } from "../quantity/decimal.ts";
import type { Box } from "./box.ts";

/** A part of the range of true voltages, ends included, V. */
export interface VoltageInterval {
  readonly lower: number;
  readonly upper: number;
}

/** The least interval with ends in doubles that contains a part of the range. */
export function enclosingInterval(part: {
  readonly lower: Decimal;
  readonly upper: Decimal;
}): VoltageInterval {
  return { lower: part.lower.lowerNumber(), upper: part.upper.upperNumber() };
}

/** The declared limits of every symbol of a model, the true voltage first. */
export class Domain {
  /** Symbol names in slot order; the measurand has slot 0. */
  readonly names: readonly string[];
  readonly slotOf: ReadonlyMap<string, number>;
  private readonly lower: Float64Array;
  private readonly upper: Float64Array;
  readonly nominal: Float64Array;
  private readonly innerLower: Float64Array;
  private readonly innerUpper: Float64Array;
  /** The limits as exact decimals, in slot order. */
  readonly limits: readonly {
    readonly name: string;
    readonly lower: string;
    readonly upper: string;
  }[];

  constructor(model: MeasurementModel) {
    const roundings = roundingQuantities(model);
    this.names = [
      MEASURAND,
      ...model.quantities.map(({ name }) => name),
      ...roundings.map(({ name }) => name),
    ];
    this.slotOf = new Map(this.names.map((name, slot) => [name, slot]));
    const limited = [...model.quantities, ...roundings];
    const { lower, upper } = model.design.measuringInterval;
    this.limits = [{ name: MEASURAND, ...model.design.measuringInterval }, ...limited].map(
      (quantity) => ({
        name: quantity.name,
        lower: quantity.lower.toString(),
        upper: quantity.upper.toString(),
      }),
    );
    this.lower = Float64Array.from([
      lower.lowerNumber(),
      ...limited.map((quantity) => quantity.lower.lowerNumber()),
    ]);
    this.upper = Float64Array.from([
      upper.upperNumber(),
      ...limited.map((quantity) => quantity.upper.upperNumber()),
    ]);
    // The doubles inside the decimal limits; between them none may lie where the two coincide.
    this.innerLower = Float64Array.from([
      -Infinity,
      ...limited.map((quantity) =>
        Math.min(quantity.lower.upperNumber(), quantity.upper.upperNumber()),
      ),
    ]);
    this.innerUpper = Float64Array.from([
      Infinity,
      ...limited.map((quantity) =>
        Math.max(quantity.upper.lowerNumber(), quantity.lower.lowerNumber()),
      ),
    ]);
    this.nominal = Float64Array.from([
      0,
      ...model.quantities.map(({ nominal }) => nominal.toNumber()),
      ...roundings.map(({ nominal }) => nominal.toNumber()),
    ]);
  }

  /** The box of all limits with the true voltage in a part of the range. */
  box(voltage: VoltageInterval): Box {
    const box = { lower: this.lower.slice(), upper: this.upper.slice() };
    box.lower[0] = voltage.lower;
    box.upper[0] = voltage.upper;
    return box;
  }

  /** The box of all limits over the whole measuring interval. */
  whole(): Box {
    return { lower: this.lower.slice(), upper: this.upper.slice() };
  }

  /** Moves a point by the last digit of its doubles, so that it lies inside the decimal limits. */
  moveInside(point: Float64Array): void {
    for (let slot = 1; slot < point.length; slot += 1) {
      const least = this.innerLower[slot]!;
      const most = this.innerUpper[slot]!;
      if (point[slot]! < least) point[slot] = least;
      if (point[slot]! > most) point[slot] = most;
    }
  }

  /** All quantities at their nominal values, roundings at zero. */
  nominalAt(voltage: number): Float64Array {
    const point = this.nominal.slice();
    point[0] = voltage;
    return point;
  }
}
