import { mkdir, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { Option } from "commander";
import type { Command } from "commander";
import type { MeasurandDefinition } from "../decision/decide.ts";
import type { Design } from "../design/design.ts";
import { comparisonChart } from "../report/comparison-table.ts";
import { decisionOf } from "../report/decision.ts";
import type { DecisionOptions } from "../report/decision.ts";
import { resistanceChart } from "../report/decision-chart.ts";
import { lineChart } from "../report/line-chart.ts";
import { decisionTable } from "../report/decision-table.ts";
import type { DecisionDocument } from "../report/decision-document.ts";
import { loadDesign } from "./load-design.ts";
import { loadPinParts } from "./load-pin-parts.ts";
import { readDecideOptions } from "./decide-options.ts";
import type { DecideFlags } from "./decide-options.ts";
import type { Terminal } from "./terminal.ts";

const DEFINITIONS = ["as-loaded", "unloaded", "referred"] as const;

const DEFINITION_OF: Readonly<Record<(typeof DEFINITIONS)[number], MeasurandDefinition>> = {
  "as-loaded": "asLoaded",
  unloaded: "unloaded",
  referred: "referredToLoad",
};

/** 0 where a reading passes surely or there is none and every way is drawn, else 1. */
function exitCodeOf({ ways, indication }: DecisionDocument): number {
  const decided = ways.filter((way) => "proven" in way);
  if (indication === undefined) return decided.length > 0 ? 0 : 1;
  return decided.some(({ provenVerdict }) => provenVerdict === "pass") ? 0 : 1;
}

async function writeFolder(
  folder: string,
  { comparisons }: Design,
  { document, json }: { readonly document: DecisionDocument; readonly json: string },
): Promise<readonly string[]> {
  await mkdir(folder, { recursive: true });
  const file = join(folder, "decision.json");
  await writeFile(file, `${json}\n`);
  const written = [file];
  if (comparisons.length > 0) {
    const chart = join(folder, "statements-against-voltage.svg");
    await writeFile(chart, await lineChart(comparisonChart(comparisons)));
    written.push(chart);
  }
  const { resistance, product } = document;
  if (resistance === undefined) return written;
  const { lower, upper } = product.capacitance;
  const curve = { ...resistance, capacitance: { lower, upper: upper ?? Infinity } };
  const chart = join(folder, "error-against-resistance.svg");
  await writeFile(chart, await lineChart(resistanceChart(curve)));
  return [...written, chart];
}

async function run(path: string, flags: DecideFlags, terminal: Terminal): Promise<number> {
  const { design, sha256 } = await loadDesign(path);
  const options: DecisionOptions = {
    ...readDecideOptions(flags, design),
    ...(flags.pins === undefined ? {} : { parts: loadPinParts(flags.pins) }),
    ...(flags.measurand === undefined ? {} : { definition: DEFINITION_OF[flags.measurand] }),
    ...(flags.optimum === true ? { resistance: true } : {}),
    sha256,
    version: terminal.version,
  };
  const document = decisionOf(design, options);
  const json = JSON.stringify(document, undefined, 2);
  const written =
    flags.out === undefined ? [] : await writeFolder(flags.out, design, { document, json });
  if (flags.json === true) terminal.print(json);
  else {
    const { colour, width } = terminal;
    terminal.print(decisionTable(document, { colour, width }));
    for (const file of written) terminal.print(`written: ${file}`);
  }
  return exitCodeOf(document);
}

const HELP = `
A capacitance is "0.22 uF", "0.22 uF +/-20 %" or "0.1 uF to 0.3 uF"; without one the line's own
threshold counts as the least. A prior is "20 V, 8 V, source": mean, standard deviation and where
they come from.
Exit code: 0 when acceptance limits exist and an indication given is surely accepted, 1 when not,
2 for bad input.`;

/** Adds `decide` to the program; the exit code goes to `finish`. */
export function addDecideCommand(
  program: Command,
  terminal: Terminal,
  finish: (code: number) => void,
): void {
  program
    .command("decide")
    .description("acceptance limits at a limit line, with loading, guard bands and risks")
    .argument("<design>", "design document, .json or .ts")
    .requiredOption("--limit <line>", 'a published line or "34 V at 1 s"')
    .option("--capacitance <range>", "capacitance of the product between the pins")
    .option("--earth <range>", "capacitance from each pin to PE; adds all three pairs")
    .option("--mains <voltage>", "r.m.s. voltage of the mains, for lines that are a share of it")
    .option("--indication <voltage>", "a reading to be judged")
    .option("--risk <share>", "adds a rule with this largest specific risk")
    .option("--prior <facts>", "what is known of the products: mean, deviation, source")
    .option("--pins <file>", "parts between the pins beside the divider, .json")
    .option("--openings <count>", "openings of which the greatest counts")
    .addOption(
      new Option("--measurand <definition>", "in place of the line's").choices(DEFINITIONS),
    )
    .option("--optimum", "add loading and error over the input resistance")
    .option("--json", "print the decision as JSON")
    .option("--out <folder>", "write the JSON into a folder")
    .addHelpText("after", HELP)
    .action(async (path: string, flags: DecideFlags) => {
      finish(await run(path, flags, terminal));
    });
}
