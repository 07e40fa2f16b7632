import type { Design } from "../design/design.ts";
import type { Prior } from "../decision/global-risk.ts";
import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import { interval, multiply, point, squareRoot } from "../interval/interval.ts";
import type { Interval } from "../interval/interval.ts";
import { Decimal } from "../quantity/decimal.ts";
import type { Dimension } from "../quantity/dimension.ts";
import { parseQuantity } from "../quantity/unit-text.ts";
import type { DecisionOptions } from "../report/decision.ts";

/** Options of `plumbvolt decide` as they were typed. */
export interface DecideFlags {
  readonly limit: string;
  readonly capacitance?: string;
  readonly mains?: string;
  readonly indication?: string;
  readonly risk?: string;
  readonly prior?: string;
  readonly pins?: string;
  readonly openings?: string;
  readonly measurand?: "as-loaded" | "unloaded" | "referred";
  readonly earth?: string;
  readonly optimum?: boolean;
  readonly json?: boolean;
  readonly out?: string;
}

class Reader {
  readonly faults: Fault[] = [];

  read(option: string, text: string, dimension: Dimension): Decimal {
    const parsed = parseQuantity(text.trim(), dimension);
    if (parsed.ok) return parsed.value;
    this.fault(option, parsed.permitted, text);
    return Decimal.one;
  }

  positive(option: string, text: string, dimension: Dimension): Decimal {
    const value = this.read(option, text, dimension);
    if (value.sign() > 0) return value;
    this.fault(option, "greater than zero", text);
    return Decimal.one;
  }

  fault(option: string, permitted: string, text: string): void {
    this.faults.push({
      path: option,
      quantity: "option",
      permitted,
      received: JSON.stringify(text.trim()),
    });
  }
}

/** "0.22 uF", "0.22 uF +/-20 %" or "0.1 uF to 0.3 uF". */
function capacitanceRange(reader: Reader, option: string, text: string): Interval {
  const ends = text.split(/\s+to\s+/);
  if (ends.length === 2) {
    const [lower, upper] = ends.map((end) => reader.positive(option, end, "capacitance"));
    if (lower!.compare(upper!) <= 0) return interval(lower!.lowerNumber(), upper!.upperNumber());
    reader.fault(option, "a lower end not above the upper one", text);
    return interval(1, 1);
  }
  const [middle, tolerance] = text.split(/\s*(?:\+\/-|±)\s*/);
  const value = reader.positive(option, middle ?? "", "capacitance");
  const share =
    tolerance === undefined ? Decimal.zero : reader.read(option, tolerance, "ratio").absolute();
  if (share.compare(Decimal.one) >= 0) {
    reader.fault(option, "a tolerance below 100 %", text);
    return interval(1, 1);
  }
  const lower = value.multiply(Decimal.one.subtract(share)).lowerNumber();
  return interval(lower, value.multiply(Decimal.one.add(share)).upperNumber());
}

/** "20 V, 8 V, source in words". */
function priorOf(reader: Reader, text: string): Prior {
  const [mean = "", deviation = "", ...rest] = text.split(",");
  const source = rest.join(",").trim();
  if (source === "") {
    reader.fault("--prior", 'mean, standard deviation and source, as "20 V, 8 V, lot 7"', text);
    return { estimate: 0, standardUncertainty: 1, source: "none" };
  }
  return {
    estimate: reader.read("--prior", mean, "voltage").toNumber(),
    standardUncertainty: reader.positive("--prior", deviation, "voltage").toNumber(),
    source,
  };
}

const SQUARE_ROOT_OF_TWO = squareRoot(point(2));

/** Crest of the mains stated, or of the only one the design is for. */
function initialOf(reader: Reader, flags: DecideFlags, design: Design): Interval | undefined {
  const { voltages } = design.conditions.mains;
  const only = voltages.length === 1 ? voltages[0] : undefined;
  const rms = flags.mains === undefined ? only : reader.positive("--mains", flags.mains, "voltage");
  if (rms === undefined) return undefined;
  return multiply(interval(rms.lowerNumber(), rms.upperNumber()), SQUARE_ROOT_OF_TWO);
}

function riskOf(reader: Reader, text: string): number {
  const risk = reader.read("--risk", text, "ratio").toNumber();
  if (risk > 0 && risk <= 0.5) return risk;
  reader.fault("--risk", "above 0 % and at most 50 %", text);
  return 0.05;
}

function openingsOf(reader: Reader, text: string): number {
  const count = Number(text);
  if (Number.isInteger(count) && count >= 1 && count <= 1_000_000) return count;
  reader.fault("--openings", "an integer from 1 to 1000000", text);
  return 1;
}

/**
 * Reads what `plumbvolt decide` was asked. Throws InvalidInputError with every fault of the options.
 */
export function readDecideOptions(
  flags: DecideFlags,
  design: Design,
): Omit<DecisionOptions, "sha256" | "version"> {
  const reader = new Reader();
  const { capacitance, earth, indication, risk, prior, openings } = flags;
  const initial = initialOf(reader, flags, design);
  const options = {
    limit: flags.limit,
    ...(initial === undefined ? {} : { initial }),
    ...(capacitance === undefined
      ? {}
      : { capacitance: capacitanceRange(reader, "--capacitance", capacitance) }),
    ...(earth === undefined ? {} : { toEarth: capacitanceRange(reader, "--earth", earth) }),
    ...(indication === undefined
      ? {}
      : { indication: reader.read("--indication", indication, "voltage").toNumber() }),
    ...(risk === undefined
      ? {}
      : { rules: [{ kind: "specificRisk" as const, risk: riskOf(reader, risk) }] }),
    ...(prior === undefined ? {} : { prior: priorOf(reader, prior) }),
    ...(openings === undefined ? {} : { openings: openingsOf(reader, openings) }),
  };
  if (reader.faults.length > 0) throw new InvalidInputError("options", reader.faults);
  return options;
}
