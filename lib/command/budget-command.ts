import { mkdir, writeFile } from "node:fs/promises";
import { join } from "node:path";
import type { Command } from "commander";
import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import type { Design } from "../design/design.ts";
import type { Decimal } from "../quantity/decimal.ts";
import {
  defaultVoltages,
  proveBudget,
  provenBudgetOf,
  rowVoltages,
  withProbabilisticFigures,
} from "../report/budget.ts";
import type { BudgetOptions, ProvenBudget } from "../report/budget.ts";
import type { BudgetDifference } from "../report/budget-difference.ts";
import type { BudgetDocument } from "../report/budget-document.ts";
import { budgetTable } from "../report/budget-table.ts";
import { demandingRow } from "../report/term-groups.ts";
import { sweepVoltages } from "../report/row-uncertainty.ts";
import { DEFAULT_TRIALS } from "../uncertainty/uncertainty-along.ts";
import { runAside } from "../uncertainty/run-aside.ts";
import { readBudgetOptions } from "./budget-options.ts";
import type { BudgetFlags } from "./budget-options.ts";
import { loadDesign } from "./load-design.ts";
import type { LoadedDesign } from "./load-design.ts";
import { loadParticulars } from "./load-particulars.ts";
import type { SweepOrder, SweepOutcome } from "./sweep-aside.ts";
import type { Terminal } from "./terminal.ts";

function jsonText(document: BudgetDocument | BudgetDifference): string {
  return JSON.stringify(document, undefined, 2);
}

async function writeFolder(folder: string, budget: ProvenBudget): Promise<string[]> {
  const { document } = budget;
  const { budgetChart, sharesChart, termsChart } = await import("../report/budget-chart.ts");
  await mkdir(folder, { recursive: true });
  const chart = join(folder, "error-against-voltage.svg");
  await writeFile(chart, await budgetChart(document));
  const json = join(folder, "budget.json");
  await writeFile(json, `${jsonText(document)}\n`);
  const certificate = join(folder, "certificate.json");
  await writeFile(certificate, `${JSON.stringify(budget.certificate)}\n`);
  const row = demandingRow(document)?.row;
  if (row === undefined) return [chart, json, certificate];
  const terms = join(folder, "largest-terms.svg");
  await writeFile(terms, await termsChart(row));
  const shares = await sharesChart(row, document.symbols);
  if (shares === undefined) return [chart, terms, json, certificate];
  const variance = join(folder, "shares-of-variance.svg");
  await writeFile(variance, shares);
  return [chart, terms, variance, json, certificate];
}

async function writeDifference(folder: string, difference: BudgetDifference): Promise<string[]> {
  await mkdir(folder, { recursive: true });
  const json = join(folder, "difference.json");
  await writeFile(json, `${jsonText(difference)}\n`);
  return [json];
}

/** Keeps the file in the place of each fault, so that two files are told apart. */
function faultsIn(path: string, error: unknown): readonly Fault[] {
  if (!(error instanceof InvalidInputError)) throw error;
  return error.faults.map((fault) => ({
    ...fault,
    path: fault.path === path ? path : `${path}: ${fault.path}`,
  }));
}

/** The outcome for each file; the faults of both are reported together. */
async function forBoth<Outcome>(
  paths: readonly [string, string],
  work: (path: string) => Promise<Outcome> | Outcome,
): Promise<readonly [Outcome, Outcome]> {
  const faults: Fault[] = [];
  const outcomes: Outcome[] = [];
  for (const path of paths) {
    try {
      outcomes.push(await work(path));
    } catch (error) {
      faults.push(...faultsIn(path, error));
    }
  }
  if (faults.length > 0) throw new InvalidInputError("designs", faults);
  return [outcomes[0]!, outcomes[1]!];
}

function exitCodeOf({ requirements }: BudgetDocument): number {
  return requirements.every(({ verdict }) => verdict === "holds") ? 0 : 1;
}

/** Fewer trials in all are done before a thread has started. */
const TRIALS_WORTH_A_THREAD = 500_000;

/** The budget, with its trials in a thread beside the proofs where they are many. */
async function budgetInTwo(
  { design, document }: LoadedDesign,
  options: BudgetOptions,
): Promise<ProvenBudget> {
  const { uncertainty } = options;
  const voltages = rowVoltages(design, options);
  const { trials = DEFAULT_TRIALS } = uncertainty ?? {};
  if (uncertainty === undefined || voltages.length * trials < TRIALS_WORTH_A_THREAD)
    return provenBudgetOf(design, options);
  const order: SweepOrder = { document, voltages, options: uncertainty };
  const file = new URL("./sweep-aside.ts", import.meta.url);
  const aside = runAside({ file, name: "sweepDesign" }, order);
  try {
    const proven = proveBudget(design, options);
    const found = ((await aside.outcome) ??
      sweepVoltages(proven.model, voltages, uncertainty)) as SweepOutcome;
    return withProbabilisticFigures(proven, found, uncertainty);
  } finally {
    await aside.stop();
  }
}

// What a plain budget does not need is loaded where it is asked for: each file read costs time.

async function effectsFor(design: Design, voltages: readonly Decimal[] | undefined) {
  const { effectsOf, effectVoltages } = await import("../guarantee/effects.ts");
  return { effects: effectsOf(design, voltages ?? effectVoltages(design)) };
}

/** One design: its budget, with the effects of its circumstances where they are asked for. */
async function printBudget(path: string, flags: BudgetFlags, terminal: Terminal): Promise<number> {
  const loaded = await loadDesign(path);
  const { design, sha256 } = loaded;
  const read = readBudgetOptions(flags, [design]);
  const { particulars, words } = await loadParticulars(flags);
  const points = particulars.certificate?.points;
  const isCertified = (voltage: Decimal): boolean =>
    points === undefined ||
    (voltage.toNumber() >= points[0]!.voltage && voltage.toNumber() <= points.at(-1)!.voltage);
  const options: BudgetOptions = {
    sha256,
    version: terminal.version,
    ...(points === undefined ? {} : { voltages: defaultVoltages(design).filter(isCertified) }),
    ...read,
    uncertainty: { ...read.uncertainty, particulars, words },
  };
  const proven = await budgetInTwo(loaded, options);
  const effects = flags.effects === true ? await effectsFor(design, options.voltages) : {};
  const document: BudgetDocument = { ...proven.document, ...effects };
  const written =
    flags.out === undefined ? [] : await writeFolder(flags.out, { ...proven, document });
  if (flags.json === true) terminal.print(jsonText(document));
  else {
    const { colour, width } = terminal;
    terminal.print(budgetTable(document, { colour, width }));
    if (document.effects !== undefined) {
      const { effectsTable } = await import("../report/effects-table.ts");
      terminal.print(effectsTable(document.effects, { colour, width }));
    }
    for (const file of written) terminal.print(`written: ${file}`);
  }
  return exitCodeOf(document);
}

/** Two designs: what changes from the first to the second. */
async function printDifference(
  paths: readonly [string, string],
  flags: BudgetFlags,
  terminal: Terminal,
): Promise<number> {
  const [first, second] = await forBoth(paths, loadDesign);
  const options = readBudgetOptions(flags, [first.design, second.design]);
  const { version } = terminal;
  const [a, b] = await forBoth(paths, (path) => {
    const { design, sha256 } = path === first.path ? first : second;
    return provenBudgetOf(design, { sha256, version, ...options }).document;
  });
  const { budgetDifference } = await import("../report/budget-difference.ts");
  const difference = budgetDifference(a, b);
  const written = flags.out === undefined ? [] : await writeDifference(flags.out, difference);
  if (flags.json === true) terminal.print(jsonText(difference));
  else {
    const { colour, width } = terminal;
    const { differenceTable } = await import("../report/difference-table.ts");
    terminal.print(differenceTable(difference, { colour, width }));
    for (const file of written) terminal.print(`written: ${file}`);
  }
  return exitCodeOf(b);
}

const EXIT_CODES = `
Exit code: 0 when every requirement of the design holds, 1 when one does not hold or is not proven,
2 for bad input. With two designs the requirements of the second decide.`;

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
    .argument("[other]", "a second design: print what changes from the first to it")
    .option("--at <voltages>", 'true voltages in volts, as "34,60,126"')
    .option("--json", "print the budget, or the difference of two, as JSON")
    .option("--out <folder>", "write charts and the JSON into a folder")
    .option("--effects", "add what adjustment, temperature and time do to the error")
    .option("--from <voltage>", "least magnitude for which the accuracy statement is made")
    .option("--to <voltage>", "largest magnitude for which the accuracy statement is made")
    .option("--percent <share>", "fix the share of the accuracy statement")
    .option("--volts <voltage>", "fix the volts of the accuracy statement")
    .option("--for <subject>", "uncertainty of any unit (type), one calibrated unit or one result")
    .option("--particulars <file>", "JSON of the certificate and the use, for unit and result")
    .option(
      "--trials <number>",
      `Monte Carlo trials at each voltage, ${DEFAULT_TRIALS} when left out`,
    )
    .option("--seed <number>", "seed of the Monte Carlo, 1 when left out")
    .addHelpText("after", EXIT_CODES)
    .action(async (path: string, other: string | undefined, flags: BudgetFlags) => {
      finish(
        other === undefined
          ? await printBudget(path, flags, terminal)
          : await printDifference([path, other], flags, terminal),
      );
    });
}
