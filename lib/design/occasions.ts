import { Decimal } from "../quantity/decimal.ts";
import type { Design } from "./design.ts";
import type { Occasion } from "./quantity.ts";

/** Ambient temperature quantities are kept in kelvin above this many degrees Celsius. */
export const AMBIENT_ORIGIN_CELSIUS = Decimal.ofInteger(25);

/** Name of a quantity that belongs to one reading. */
export function onOccasion(name: string, occasion: Occasion): string {
  return `${name}_${occasion}`;
}

/** The readings that enter an indication: the one in use and those of the adjustment. */
export function occasionsOf(design: Design): readonly Occasion[] {
  switch (design.adjustment.kind) {
    case "none":
      return ["use"];
    case "gain":
      return ["use", "adjustHigh"];
    case "twoPoint":
      return ["use", "adjustLow", "adjustHigh"];
  }
}
