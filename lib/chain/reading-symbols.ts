import { invariant } from "../errors.ts";
import { add, constant, multiply, subtract, symbol } from "../expression/build.ts";
import type { Expression } from "../expression/node.ts";
import { AMBIENT_ORIGIN_CELSIUS, onOccasion } from "../design/occasions.ts";
import type { Design } from "../design/design.ts";
import type { Occasion, Quantity } from "../design/quantity.ts";
import type { Decimal } from "../quantity/decimal.ts";

/**
 * The quantities of a design as symbols, seen from one reading: a quantity that lasts is the same
 * symbol on every occasion, one that belongs to a reading has a symbol of its own.
 */
export class ReadingSymbols {
  readonly design: Design;
  readonly occasion: Occasion;
  private readonly names: ReadonlySet<string>;
  private readonly used: Set<string>;

  /** `used` gathers the names taken, so that a quantity without effect is found. */
  constructor(
    design: Design,
    quantities: readonly Quantity[],
    occasion: Occasion,
    used: Set<string>,
  ) {
    this.design = design;
    this.occasion = occasion;
    this.names = new Set(quantities.map(({ name }) => name));
    this.used = used;
  }

  /** The lasting quantity of that name. */
  lasting(name: string): Expression {
    invariant(this.names.has(name), `the design declares no quantity ${name}`);
    this.used.add(name);
    return symbol(name);
  }

  /** This reading's quantity of that name. */
  here(name: string): Expression {
    return this.lasting(onOccasion(name, this.occasion));
  }

  /** The lasting quantity, or zero where the design declares none. */
  lastingOrZero(name: string): Expression {
    return this.names.has(name) ? this.lasting(name) : constant(0);
  }

  /** This reading's quantity, or zero where the design declares none. */
  hereOrZero(name: string): Expression {
    return this.lastingOrZero(onOccasion(name, this.occasion));
  }

  /** Whether the design declares this reading's quantity of that name. */
  has(name: string): boolean {
    return this.names.has(name) || this.names.has(onOccasion(name, this.occasion));
  }

  /** Temperature of a part above a reference, K: ambient plus own rise minus the reference. */
  temperatureAbove(id: string, referenceCelsius: Decimal): Expression {
    const offset = referenceCelsius.subtract(AMBIENT_ORIGIN_CELSIUS);
    return subtract(add(this.here("ambient"), this.here(`${id}_rise`)), offset);
  }

  /** Factor 1 + relative drift, before and since adjustment. */
  driftFactor(id: string): Expression {
    const before = this.lastingOrZero(`${id}_driftBefore`);
    const since = this.occasion === "use" ? this.hereOrZero(`${id}_drift`) : constant(0);
    return multiply(add(1, before), add(1, since));
  }
}
