import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import { negate } from "../expression/build.ts";
import type { Expression } from "../expression/node.ts";
import { compileTape } from "../expression/tape.ts";
import type { MeasurementModel } from "../chain/measurement-model.ts";
import type { Domain } from "./domain.ts";
import { Maximiser } from "./maximum.ts";

function largest(expression: Expression, domain: Domain): number {
  const maximiser = new Maximiser(compileTape([expression], domain.names));
  return maximiser.maximise(domain.whole(), {
    relativeGap: 1e-6,
    absoluteGap: 1e-3,
    workLimit: 4000,
  }).bound;
}

/**
 * Proves that no code of the measuring interval or of the adjustment leaves the converter's codes
 * for any values inside the limits, so that no clamp can act unseen. Throws
 * {@link InvalidInputError} naming the reading whose codes can.
 */
export function checkCodesInside(model: MeasurementModel, domain: Domain): void {
  const { adc } = model.design;
  const count = 2 ** adc.bits;
  const [lowest, highest] = adc.input === "unipolar" ? [0, count - 1] : [-count / 2, count / 2 - 1];
  const faults: Fault[] = [];
  for (const [occasion, code] of Object.entries(model.codes)) {
    const low = 0 - largest(negate(code), domain);
    const high = largest(code, domain);
    if (low >= lowest - 0.5 && high < highest + 0.5) continue;
    const place = occasion === "use" ? "the measuring interval" : `the reading ${occasion}`;
    faults.push({
      path: occasion === "use" ? "measuringInterval" : "adjustment",
      quantity: `codes of ${place} with every part inside its limits`,
      permitted: `${lowest} to ${highest}`,
      received: `${low.toFixed(1)} to ${high.toFixed(1)}`,
      hint: "leave room for tolerances between the ends of the range and those of the converter",
    });
  }
  if (faults.length > 0) throw new InvalidInputError("design", faults);
}
