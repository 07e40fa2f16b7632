import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import { below } from "../interval/rounding.ts";
import { negate } from "../expression/build.ts";
import type { Expression } from "../expression/node.ts";
import { compileTape } from "../expression/tape.ts";
import type { MeasurementModel } from "../chain/measurement-model.ts";
import type { Domain } from "./domain.ts";
import { Maximiser } from "./maximum.ts";

/** Codes and volts that a bound above what is permitted may be too large by. */
const CODE_GAP = 1e-3;
const VOLT_GAP = 1e-6;

/** Proven largest value, found tightly only where it is above `enough`. */
function largest(
  expression: Expression,
  domain: Domain,
  asked: { readonly enough: number; readonly absoluteGap: number },
): number {
  const maximiser = new Maximiser(compileTape([expression], domain.names));
  const options = { relativeGap: 1e-6, workLimit: 4000, ...asked };
  return maximiser.maximise(domain.whole(), options).bound;
}

/**
 * Proves that no code of the measuring interval or of the adjustment leaves the converter's codes,
 * and no output of the buffer its swing, for any values inside the limits, so that no clamp can
 * act unseen. Throws
 * {@link InvalidInputError} naming the reading whose codes can.
 */
export function checkCodesInside(model: MeasurementModel, domain: Domain): void {
  const { adc, buffer } = model.design;
  const count = 2 ** adc.bits;
  const [lowest, highest] = adc.input === "unipolar" ? [0, count - 1] : [-count / 2, count / 2 - 1];
  const faults: Fault[] = [];
  for (const [occasion, code] of Object.entries(model.codes)) {
    const low = 0 - largest(negate(code), domain, { enough: 0.5 - lowest, absoluteGap: CODE_GAP });
    const high = largest(code, domain, { enough: below(highest + 0.5), absoluteGap: CODE_GAP });
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
  for (const [occasion, voltage] of Object.entries(model.converterInputs)) {
    if (buffer === undefined) break;
    const { lower, upper } = buffer.swing;
    const absoluteGap = VOLT_GAP;
    const low = 0 - largest(negate(voltage), domain, { enough: 0 - lower.toNumber(), absoluteGap });
    const high = largest(voltage, domain, { enough: upper.toNumber(), absoluteGap });
    if (low >= lower.toNumber() && high <= upper.toNumber()) continue;
    const place = occasion === "use" ? "over the measuring interval" : `at ${occasion}`;
    faults.push({
      path: "buffer.swing",
      quantity: `output of the buffer ${place} with every part inside its limits`,
      permitted: `${lower.toString()} V to ${upper.toString()} V`,
      received: `${low.toFixed(4)} V to ${high.toFixed(4)} V`,
    });
  }
  if (faults.length > 0) throw new InvalidInputError("design", faults);
}
