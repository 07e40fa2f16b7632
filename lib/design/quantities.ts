import { putBuffer, putConverter, putReference } from "./converter-quantities.ts";
import type { Design } from "./design.ts";
import { putDivider } from "./divider-quantities.ts";
import { putNode } from "./node-quantities.ts";
import { occasionsOf } from "./occasions.ts";
import type { Quantity } from "./quantity.ts";
import { Register } from "./quantity-register.ts";
import { putAdjustment, putEnvironment, putTiming } from "./reading-quantities.ts";

/**
 * Every toleranced quantity of a design, each name once. The measurement model, the simulation and
 * the reports take names and limits from here and nowhere else.
 */
export function quantitiesOf(design: Design): readonly Quantity[] {
  const register = new Register(occasionsOf(design));
  putEnvironment(register, design);
  putDivider(register, design);
  putNode(register, design);
  putBuffer(register, design);
  putReference(register, design);
  putConverter(register, design);
  putTiming(register, design);
  putAdjustment(register, design);
  return register.quantities;
}
