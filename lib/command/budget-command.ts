import { mkdir, writeFile } from "node:fs/promises";
import { join } from "node:path";
import type { Command } from "commander";
import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import type { Decimal } from "../quantity/decimal.ts";
import { parseQuantity } from "../quantity/unit-text.ts";
import { budgetOf } from "../report/budget.ts";
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
}

/** Reads a list such as "34,60 V,126"; a bare number counts as volts. */
function readVoltages(text: string, design: Design): Decimal[] {
  const faults: Fault[] = [];
  const { lower, upper } = design.measuringInterval;
  const voltages = text.split(",").flatMap((item) => {
    const trimmed = item.trim();
    const written = /^[-+]?[\d.]+(?:[eE][-+]?\d+)?$/.test(trimmed) ? `${trimmed} V` : trimmed;
    const parsed = parseQuantity(written, "voltage");
    const fault = { path: "--at", quantity: "voltage", received: JSON.stringify(trimmed) };
    if (!parsed.ok) {
      faults.push({ ...fault, permitted: parsed.permitted });
      return [];
    }
    if (parsed.value.compare(lower) < 0 || parsed.value.compare(upper) > 0) {
      const permitted = `inside the measuring interval ${lower.toString()} V to ${upper.toString()} V`;
      faults.push({ ...fault, permitted });
    }
    return [parsed.value];
  });
  if (faults.length > 0) throw new InvalidInputError("options", faults);
  return voltages;
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

async function writeFolder(folder: string, document: BudgetDocument): Promise<string[]> {
  await mkdir(folder, { recursive: true });
  const chart = join(folder, "error-against-voltage.svg");
  await writeFile(chart, await budgetChart(document));
  const json = join(folder, "budget.json");
  await writeFile(json, `${JSON.stringify(document, undefined, 2)}\n`);
  const row = mostDemanding(document);
  if (row === undefined) return [chart, json];
  const terms = join(folder, "largest-terms.svg");
  await writeFile(terms, await termsChart(row));
  return [chart, terms, json];
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
    .action(async (path: string, flags: BudgetFlags) => {
      const { design, sha256 } = await loadDesign(path);
      const document = budgetOf(design, {
        sha256,
        version: terminal.version,
        ...(flags.at === undefined ? {} : { voltages: readVoltages(flags.at, design) }),
      });
      const written = flags.out === undefined ? [] : await writeFolder(flags.out, document);
      if (flags.json === true) terminal.print(JSON.stringify(document, undefined, 2));
      else {
        const { colour, width } = terminal;
        terminal.print(budgetTable(document, { colour, width }));
        for (const file of written) terminal.print(`written: ${file}`);
      }
      finish(document.requirements.every(({ verdict }) => verdict === "holds") ? 0 : 1);
    });
}
