import { InvalidInputError } from "../lib/errors.ts";
import type { Fault } from "../lib/errors.ts";
import { AMBIENT_ORIGIN_CELSIUS, onOccasion } from "../lib/design/occasions.ts";
import { quantitiesOf } from "../lib/design/quantities.ts";
import type { Design } from "../lib/design/design.ts";
import type { Occasion, Quantity } from "../lib/design/quantity.ts";
import type { Decimal } from "../lib/quantity/decimal.ts";

/**
 * Quantities of a design that have no counterpart among the simulation's inputs, with the reason.
 * Every other one changes what is simulated.
 */
export const REPLACED_QUANTITIES: Readonly<Record<string, string>> = {
  decay_share_use: "the product decays as its own parts say",
  mixture_use: "the filter follows the product's own voltage",
  window_curvature_use: "the samples of the window are taken one by one",
  latency_use: "the scenario's reading says how late the opening is recognised",
  grid_use: "the scenario's sampling phase places the grid",
  jitter_use: "the scenario's sampling draws or places the instants",
};

/** Whether a quantity encloses a voltage share that the simulation solves for. */
function isSolvedShare(name: string): boolean {
  return /_voltageShare_(use|adjustLow|adjustHigh)$/.test(name);
}

/** Reason why a quantity of that name does not act in the simulation; undefined where it does. */
export function reasonWithoutEffect(name: string): string | undefined {
  if (isSolvedShare(name)) return "the voltage each part carries is solved for";
  return REPLACED_QUANTITIES[name];
}

/** A quantity with its figures as doubles. */
export interface QuantityFigures {
  readonly quantity: Quantity;
  readonly nominal: number;
  readonly lower: number;
  readonly upper: number;
}

const figuresOfDesign = new WeakMap<Design, readonly QuantityFigures[]>();

/** Quantities of a design with their figures as doubles; worked out once for each design. */
export function quantityFigures(design: Design): readonly QuantityFigures[] {
  const known = figuresOfDesign.get(design);
  if (known !== undefined) return known;
  const figures = quantitiesOf(design).map((quantity) => ({
    quantity,
    nominal: quantity.nominal.toNumber(),
    lower: quantity.lower.toNumber(),
    upper: quantity.upper.toNumber(),
  }));
  figuresOfDesign.set(design, figures);
  return figures;
}

/** Relative excess over a limit that is taken as rounding. */
const ROUNDING = 1e-9;

/** Values of the quantities of one unit: those drawn, and nominal ones for the rest. */
export class DrawnValues {
  readonly design: Design;
  private readonly values = new Map<string, number>();

  /**
   * Throws InvalidInputError for names the design does not declare and, unless `outsideLimits`
   * says that a defect is meant, for values outside the declared limits.
   */
  constructor(
    design: Design,
    drawn: Readonly<Record<string, number>>,
    options: { readonly outsideLimits: boolean },
  ) {
    this.design = design;
    const faults: Fault[] = [];
    const known = new Map(quantityFigures(design).map((one) => [one.quantity.name, one]));
    for (const [name, { nominal }] of known) this.values.set(name, nominal);
    for (const [name, value] of Object.entries(drawn)) {
      const path = `quantities.${name}`;
      const figures = known.get(name);
      if (figures === undefined) {
        const permitted = "one that the design declares";
        faults.push({ path, quantity: "quantity", permitted, received: JSON.stringify(name) });
        continue;
      }
      const { quantity, lower, upper } = figures;
      const margin = ROUNDING * Math.max(Math.abs(lower), Math.abs(upper));
      const inside = value >= lower - margin && value <= upper + margin;
      if (!Number.isFinite(value) || !(inside || options.outsideLimits)) {
        faults.push({
          path,
          quantity: quantity.meaning,
          permitted: options.outsideLimits
            ? "a finite number"
            : `${quantity.lower.toString()} to ${quantity.upper.toString()} ${quantity.unit}`,
          received: `${value} ${quantity.unit}`,
        });
      }
      this.values.set(name, value);
    }
    if (faults.length > 0) throw new InvalidInputError("scenario", faults);
  }

  /** Value of a quantity, or zero where the design declares none. */
  lasting(name: string): number {
    return this.values.get(name) ?? 0;
  }

  /** Value on one occasion, or zero where the design declares none. */
  on(name: string, occasion: Occasion): number {
    return this.lasting(onOccasion(name, occasion));
  }

  /** Temperature of a part above a reference, K. */
  temperatureAbove(id: string, occasion: Occasion, referenceCelsius: Decimal): number {
    const celsius =
      AMBIENT_ORIGIN_CELSIUS.toNumber() +
      this.on("ambient", occasion) +
      this.on(`${id}_rise`, occasion);
    return celsius - referenceCelsius.toNumber();
  }

  /** Factor by which a part has drifted on an occasion. */
  drift(id: string, occasion: Occasion): number {
    const since = occasion === "use" ? this.on(`${id}_drift`, "use") : 0;
    return (1 + this.lasting(`${id}_driftBefore`)) * (1 + since);
  }
}
