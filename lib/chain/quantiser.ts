import { add, floor, named, symbol } from "../expression/build.ts";
import type { Expression } from "../expression/node.ts";
import { Decimal } from "../quantity/decimal.ts";

const HALF = Decimal.parse("0.5");

/** The two readings of a rounding: as it happens, or as a quantity with limits. */
export type Rounding = "shown" | "bounded";

/** A place where the chain rounds to an integer. */
export interface Quantiser {
  /** Name of the rounded value in both equations. */
  readonly shown: string;
  /** Name of the value before rounding. */
  readonly argument: string;
  /** Name of the rounding quantity that stands for it in the bounded equation. */
  readonly symbol: string;
  /** `nearest`: floor(x + 1/2); `down`: floor(x). */
  readonly mode: "nearest" | "down";
  /** Reading or constant it belongs to. */
  readonly occasion: "use" | "adjustLow" | "adjustHigh" | "all";
  /** Arguments keep at least this distance from every edge, in steps; zero when absent. */
  readonly clearance?: Decimal;
}

/** Limits of the rounding quantity: rounded value minus value before. */
export function roundingLimits({ mode, clearance = Decimal.zero }: Quantiser): {
  readonly lower: Decimal;
  readonly upper: Decimal;
} {
  const half = HALF.subtract(clearance);
  return mode === "nearest"
    ? { lower: half.negate(), upper: half }
    : { lower: clearance.subtract(Decimal.one), upper: clearance.negate() };
}

/** Gathers the quantisers of an equation while it is built. */
export class Quantisers {
  readonly rounding: Rounding;
  readonly list: Quantiser[] = [];

  constructor(rounding: Rounding) {
    this.rounding = rounding;
  }

  /** Rounds the argument to an integer and remembers that it did. */
  round(argument: Expression, of: Omit<Quantiser, "argument">): Expression {
    const quantiser: Quantiser = { ...of, argument: `y_${of.shown}` };
    this.list.push(quantiser);
    const value = named(quantiser.argument, argument);
    const rounded =
      this.rounding === "bounded"
        ? add(value, symbol(of.symbol))
        : floor(of.mode === "nearest" ? add(value, HALF) : value);
    return named(of.shown, rounded);
  }
}
