import type { Range } from "../design/design.ts";
import { permittedErrorsOver } from "../design/requirement.ts";
import type { Requirement } from "../design/requirement.ts";
import { parseRequirementText } from "../design/requirement-text.ts";
import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import { voltagesOfPart } from "../guarantee/accuracy-part.ts";
import type { StatedInterval } from "../guarantee/accuracy-part.ts";
import { Decimal } from "../quantity/decimal.ts";

/** What is asked at one true voltage, or at every one of a range of one polarity. */
export interface Demand {
  readonly requirement: Requirement;
  /** V; both ends are the voltage where it is one. */
  readonly voltages: StatedInterval;
}

function faultOf(path: string, permitted: string, received: string): Fault {
  return { path, quantity: "requirement", permitted, received };
}

const volts = (voltage: Decimal): string => `${voltage.toString()} V`;

/** Voltages that a requirement speaks of; those over a range are magnitudes, of both polarities. */
function voltagesOf({ at, from, to }: Requirement, interval: Range): readonly StatedInterval[] {
  if (at !== undefined) return at.map((voltage) => ({ lower: voltage, upper: voltage }));
  if (from === undefined || to === undefined) return [interval];
  return voltagesOfPart(interval, { from, to });
}

function isInside({ at, to }: Requirement, { lower, upper }: Range): boolean {
  const most = Decimal.max(lower.absolute(), upper.absolute());
  if (at === undefined) return to === undefined || to.compare(most) <= 0;
  return at.every((voltage) => voltage.compare(lower) >= 0 && voltage.compare(upper) <= 0);
}

function demandsOf(
  { requirement, path }: { readonly requirement: Requirement; readonly path: string },
  interval: Range,
  faults: Fault[],
): readonly Demand[] {
  const received = JSON.stringify(requirement.text);
  const voltages = voltagesOf(requirement, interval);
  if (!isInside(requirement, interval) || voltages.length === 0) {
    const ends = `${volts(interval.lower)} to ${volts(interval.upper)}`;
    faults.push(faultOf(path, `inside the measuring interval ${ends}`, received));
    return [];
  }
  const allowsAny = voltages.every((range) => {
    const over = { from: range.lower, to: range.upper };
    const { lower, upper } = permittedErrorsOver(requirement.statement, over);
    return upper > 0 && lower < 0;
  });
  if (allowsAny) return voltages.map((range) => ({ requirement, voltages: range }));
  const permitted = "one that allows an error above zero at every voltage it names";
  faults.push(faultOf(path, permitted, received));
  return [];
}

/**
 * What texts such as "5 % at 34 V", "2 % + 0.8 V at 60 V and 126 V" and "5 % from 10 V to 60 V" ask
 * for; without a place they ask over the whole measuring interval. Throws InvalidInputError with
 * every fault: a text that is no requirement, a voltage outside the measuring interval, one at
 * which no error is allowed, nothing at all.
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
