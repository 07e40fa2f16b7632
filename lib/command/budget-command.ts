import { mkdir, writeFile } from "node:fs/promises";
import { join } from "node:path";
import type { Command } from "commander";
import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import type { StatementOptions } from "../guarantee/statement.ts";
import { Decimal } from "../quantity/decimal.ts";
import { parseQuantity } from "../quantity/unit-text.ts";
import { provenBudgetOf } from "../report/budget.ts";
import type { BudgetOptions, ProvenBudget } from "../report/budget.ts";
import { budgetChart, termsChart } from "../report/budget-chart.ts";
import type { BudgetDocument } from "../report/budget-document.ts";
import { budgetTable } from "../report/budget-table.ts";
import type { Design } from "../design/design.ts";
import { loadDesign } from "./load-design.ts";
import type { Terminal } from "./terminal.ts";

interface BudgetFlags {
  readonly at?: string;
  readonly json?: boolean;
  readonly out?: string;
  readonly from?: string;
  readonly to?: string;
  readonly percent?: string;
  readonly volts?: string;
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
    this.fault(option, text, parsed.permitted);
    return Decimal.one;
  }

  fault(option: string, text: string, permitted: string): void {
    const received = JSON.stringify(text.trim());
    this.faults.push({ path: option, quantity: "option", received, permitted });
  }

  /** Reads a list such as "34,60 V,126". */
  voltages(option: string, text: string, design: Design): Decimal[] {
    const { lower, upper } = design.measuringInterval;
    return text.split(",").map((item) => {
      const voltage = this.read(option, item, "V");
      if (voltage.compare(lower) < 0 || voltage.compare(upper) > 0) {
        const range = `${lower.toString()} V to ${upper.toString()} V`;
        this.fault(option, item, `inside the measuring interval ${range}`);
      }
      return voltage;
    });
  }

  throwIfAny(): void {
    if (this.faults.length > 0) throw new InvalidInputError("options", this.faults);
  }
}

function readOptions(
  flags: BudgetFlags,
  design: Design,
): Omit<BudgetOptions, "sha256" | "version"> {
  const reader = new OptionReader();
  const { at, from, to, percent, volts } = flags;
  const statement: StatementOptions = {
    ...(from === undefined ? {} : { from: reader.read("--from", from, "V") }),
    ...(to === undefined ? {} : { to: reader.read("--to", to, "V") }),
    ...(percent === undefined ? {} : { fixedShare: reader.read("--percent", percent, "%") }),
    ...(volts === undefined ? {} : { fixedVolts: reader.read("--volts", volts, "V") }),
  };
  const voltages = at === undefined ? {} : { voltages: reader.voltages("--at", at, design) };
  reader.throwIfAny();
  return { ...voltages, statement };
}

/** The row whose terms are drawn: the one at the requirement with the least margin. */
function mostDemanding(document: BudgetDocument) {
  const [least] = [...document.requirements].sort(
    (one, other) => one.margin / one.limit - other.margin / other.limit,
  );
  const asked = least?.voltage ?? 34;
  return [...document.rows].sort(
    (one, other) => Math.abs(one.voltage - asked) - Math.abs(other.voltage - asked),
  )[0];
}

async function writeFolder(folder: string, budget: ProvenBudget): Promise<string[]> {
  const { document } = budget;
  await mkdir(folder, { recursive: true });
  const chart = join(folder, "error-against-voltage.svg");
  await writeFile(chart, await budgetChart(document));
  const json = join(folder, "budget.json");
  await writeFile(json, `${JSON.stringify(document, undefined, 2)}\n`);
  const certificate = join(folder, "certificate.json");
  await writeFile(certificate, `${JSON.stringify(budget.certificate)}\n`);
  const row = mostDemanding(document);
  if (row === undefined) return [chart, json, certificate];
  const terms = join(folder, "largest-terms.svg");
  await writeFile(terms, await termsChart(row));
  return [chart, terms, json, certificate];
}

/** Adds `budget` to the program; the exit code goes to `finish`. */
export function addBudgetCommand(
  program: Command,
  terminal: Terminal,
  finish: (code: number) => void,
): void {
  program
    .command("budget")
    .description("the error a design can guarantee at each voltage, and what makes it")
    .argument("<design>", "design document, .json or .ts")
    .option("--at <voltages>", 'true voltages in volts, as "34,60,126"')
    .option("--json", "print the budget as JSON")
    .option("--out <folder>", "write charts and the JSON into a folder")
    .option("--from <voltage>", "least magnitude for which the accuracy statement is made")
    .option("--to <voltage>", "largest magnitude for which the accuracy statement is made")
    .option("--percent <share>", "fix the share of the accuracy statement")
    .option("--volts <voltage>", "fix the volts of the accuracy statement")
    .action(async (path: string, flags: BudgetFlags) => {
      const { design, sha256 } = await loadDesign(path);
      const budget = provenBudgetOf(design, {
        sha256,
        version: terminal.version,
        ...readOptions(flags, design),
      });
      const { document } = budget;
      const written = flags.out === undefined ? [] : await writeFolder(flags.out, budget);
      if (flags.json === true) terminal.print(JSON.stringify(document, undefined, 2));
      else {
        const { colour, width } = terminal;
        terminal.print(budgetTable(document, { colour, width }));
        for (const file of written) terminal.print(`written: ${file}`);
      }
      finish(document.requirements.every(({ verdict }) => verdict === "holds") ? 0 : 1);
    });
}
