import type { Range } from "../design/design.ts";
import { permittedErrors } from "../design/requirement.ts";
import type { Requirement } from "../design/requirement.ts";
import { parseRequirementText } from "../design/requirement-text.ts";
import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import type { Magnitudes } from "../guarantee/bracket.ts";
import type { Decimal } from "../quantity/decimal.ts";

/** What is allowed at one true voltage. */
export interface Demand {
  readonly requirement: Requirement;
  readonly voltage: Decimal;
  /** Magnitude of the error allowed on each side, V. */
  readonly allowed: Magnitudes;
}

function faultOf(path: string, permitted: string, received: string): Fault {
  return { path, quantity: "requirement", permitted, received };
}

function demandsOf(
  { requirement, path }: { readonly requirement: Requirement; readonly path: string },
  interval: Range,
  faults: Fault[],
): readonly Demand[] {
  const { at, statement, text } = requirement;
  const received = JSON.stringify(text);
  if (at === undefined) {
    faults.push(faultOf(path, 'asked for at stated voltages, as "5 % at 34 V"', received));
    return [];
  }
  return at.flatMap((voltage): readonly Demand[] => {
    if (voltage.compare(interval.lower) < 0 || voltage.compare(interval.upper) > 0) {
      const ends = `${interval.lower.toString()} V to ${interval.upper.toString()} V`;
      faults.push(faultOf(path, `inside the measuring interval ${ends}`, received));
      return [];
    }
    const { lower, upper } = permittedErrors(statement, voltage);
    if (upper > 0 && lower < 0)
      return [{ requirement, voltage, allowed: { high: upper, low: -lower } }];
    faults.push(faultOf(path, "one that allows an error above zero", received));
    return [];
  });
}

/**
 * What texts such as "5 % at 34 V" and "2 % + 0.8 V at 60 V and 126 V" allow, voltage by voltage.
 * Throws InvalidInputError with every fault: a text that is no requirement, one that names no
 * voltages, a voltage outside the measuring interval, nothing at all.
 */
export function readDemands(texts: readonly string[], interval: Range): readonly Demand[] {
  const faults: Fault[] = [];
  const demands = texts.flatMap((text, index): readonly Demand[] => {
    const path = `require[${index}]`;
    try {
      return demandsOf({ requirement: parseRequirementText(text), path }, interval, faults);
    } catch (error) {
      if (!(error instanceof InvalidInputError)) throw error;
      faults.push(...error.faults.map((fault) => ({ ...fault, path })));
      return [];
    }
  });
  if (texts.length === 0) faults.push(faultOf("require", "given", "none"));
  if (faults.length > 0) throw new InvalidInputError("sizing", faults);
  return demands;
}
