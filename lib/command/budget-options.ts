import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import type { Design } from "../design/design.ts";
import type { StatementOptions } from "../guarantee/statement.ts";
import { Decimal } from "../quantity/decimal.ts";
import { parseQuantity } from "../quantity/unit-text.ts";
import type { BudgetOptions } from "../report/budget.ts";

/** Options of `plumbvolt budget` as they were typed. */
export interface BudgetFlags {
  readonly at?: string;
  readonly json?: boolean;
  readonly out?: string;
  readonly effects?: boolean;
  readonly from?: string;
  readonly to?: string;
  readonly percent?: string;
  readonly volts?: string;
  readonly trials?: string;
  readonly seed?: string;
  readonly for?: string;
  readonly particulars?: string;
}

/** A bare number counts as the unit given. */
function withUnit(text: string, unit: string): string {
  const trimmed = text.trim();
  return /^[-+]?[\d.]+(?:[eE][-+]?\d+)?$/.test(trimmed) ? `${trimmed} ${unit}` : trimmed;
}

/** Reads options with units; every fault is kept until all are read. */
class OptionReader {
  readonly faults: Fault[] = [];

  read(option: string, text: string, unit: "V" | "%"): Decimal {
    const dimension = unit === "V" ? "voltage" : "ratio";
    const parsed = parseQuantity(withUnit(text, unit), dimension);
    if (parsed.ok) return parsed.value;
    this.fault(option, JSON.stringify(text.trim()), parsed.permitted);
    return Decimal.one;
  }

  fault(option: string, received: string, permitted: string): void {
    this.faults.push({ path: option, quantity: "option", received, permitted });
  }

  /** Reads a list such as "34,60 V,126" of voltages that every design measures. */
  voltages(option: string, text: string, designs: readonly Design[]): Decimal[] {
    return text.split(",").map((item) => {
      const known = this.faults.length;
      const voltage = this.read(option, item, "V");
      if (this.faults.length > known) return voltage;
      for (const { name, measuringInterval } of designs) {
        const { lower, upper } = measuringInterval;
        if (voltage.compare(lower) >= 0 && voltage.compare(upper) <= 0) continue;
        const owner = designs.length === 1 ? "" : ` of ${JSON.stringify(name)}`;
        const range = `${lower.toString()} V to ${upper.toString()} V`;
        const permitted = `inside the measuring interval${owner} ${range}`;
        this.fault(option, JSON.stringify(item.trim()), permitted);
      }
      return voltage;
    });
  }

  /** Reads a whole number, such as a number of trials. */
  count(option: string, text: string, limits: { readonly least: number; readonly most: number }) {
    const value = /^\d{1,15}$/.test(text.trim()) ? Number(text.trim()) : Number.NaN;
    if (value >= limits.least && value <= limits.most) return value;
    const permitted = `a whole number from ${limits.least} to ${limits.most}`;
    this.fault(option, JSON.stringify(text.trim()), permitted);
    return limits.least;
  }

  throwIfAny(): void {
    if (this.faults.length > 0) throw new InvalidInputError("options", this.faults);
  }
}

/**
 * Reads the options that a budget of one design, or of each of two, is made with. Throws
 * InvalidInputError with every fault: text that is no voltage or share, a voltage that a design
 * does not measure, an option that does not go with two designs.
 */
export function readBudgetOptions(
  flags: BudgetFlags,
  designs: readonly Design[],
): Omit<BudgetOptions, "sha256" | "version"> {
  const reader = new OptionReader();
  const { at, from, to, percent, volts } = flags;
  const statement: StatementOptions = {
    ...(from === undefined ? {} : { from: reader.read("--from", from, "V") }),
    ...(to === undefined ? {} : { to: reader.read("--to", to, "V") }),
    ...(percent === undefined ? {} : { fixedShare: reader.read("--percent", percent, "%") }),
    ...(volts === undefined ? {} : { fixedVolts: reader.read("--volts", volts, "V") }),
  };
  const voltages = at === undefined ? {} : { voltages: reader.voltages("--at", at, designs) };
  const { trials, seed } = flags;
  const uncertainty = {
    ...(trials === undefined
      ? {}
      : { trials: reader.count("--trials", trials, { least: 10_000, most: 10_000_000 }) }),
    ...(seed === undefined
      ? {}
      : { seed: reader.count("--seed", seed, { least: 0, most: 999_999_999_999_999 }) }),
  };
  if (flags.effects === true && designs.length > 1)
    reader.fault("--effects", "two designs", "given with one design");
  reader.throwIfAny();
  // What changes between two designs is told of proven figures only.
  return { ...voltages, statement, ...(designs.length > 1 ? {} : { uncertainty }) };
}
