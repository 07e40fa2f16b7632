import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import { IntervalEvaluator } from "../expression/enclose.ts";
import { compileTape } from "../expression/tape.ts";
import type { MeasurementModel } from "../chain/measurement-model.ts";
import type { Domain } from "./domain.ts";

/**
 * Proves that no code of the measuring interval or of the adjustment leaves the converter's codes
 * for any values inside the limits, so that no clamp can act unseen. Throws
 * {@link InvalidInputError} naming the reading whose codes can.
 */
export function checkCodesInside(model: MeasurementModel, domain: Domain): void {
  const { adc } = model.design;
  const count = 2 ** adc.bits;
  const [lowest, highest] =
    adc.input === "unipolar" ? [0, count - 1] : [-count / 2, count / 2 - 1];
  const faults: Fault[] = [];
  for (const [occasion, code] of Object.entries(model.codes)) {
    const tape = compileTape([code], domain.names);
    const evaluator = new IntervalEvaluator(tape);
    const box = domain.whole();
    evaluator.enclose(box.lower, box.upper);
    const low = evaluator.lower[tape.roots[0]!]!;
    const high = evaluator.upper[tape.roots[0]!]!;
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
