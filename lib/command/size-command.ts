import { mkdir, readFile, writeFile } from "node:fs/promises";
import { availableParallelism } from "node:os";
import { join } from "node:path";
import type { Command } from "commander";
import { readDesign } from "../design/read-design.ts";
import { InvalidInputError } from "../errors.ts";
import { defaultVoltages } from "../report/budget.ts";
import { sizingChart } from "../report/sizing-chart.ts";
import { sizingDocument } from "../report/sizing-document.ts";
import type { SizingDocument } from "../report/sizing-document.ts";
import { costText, sizingTable } from "../report/sizing-table.ts";
import { resolutionChart, whatIfTable } from "../report/sizing-what-if.ts";
import { whatIfDocument } from "../report/what-if-document.ts";
import { candidateDocument } from "../sizing/candidate-design.ts";
import type { SizingProgress } from "../sizing/gather.ts";
import { sizeDesign } from "../sizing/size.ts";
import type { SizingResult } from "../sizing/size.ts";
import type { SizingQuestion } from "../sizing/space.ts";
import { whatIf } from "../sizing/what-if.ts";
import { loadDesign } from "./load-design.ts";
import type { Terminal } from "./terminal.ts";

/** Options of `plumbvolt size` as they were typed. */
interface SizeFlags {
  readonly require: readonly string[];
  readonly catalogue?: string;
  readonly loading?: string;
  readonly capacitance?: string;
  readonly json?: boolean;
  readonly out?: string;
}

const MOST_WORKERS = 8;
/** Exit code where better combinations may exist than those that are printed. */
const ENDED_EARLY = 3;

async function jsonFile(path: string, quantity: string): Promise<unknown> {
  try {
    return JSON.parse(await readFile(path, "utf8")) as unknown;
  } catch (error) {
    const { code, message } = error as NodeJS.ErrnoException;
    const fault = { path, quantity, permitted: "a readable .json file" };
    throw new InvalidInputError("sizing", [{ ...fault, received: code ?? message }]);
  }
}

async function questionOf(
  path: string,
  flags: SizeFlags & { readonly catalogue: string },
): Promise<SizingQuestion> {
  const template = await jsonFile(path, "design or template");
  const design = readDesign(template);
  return {
    template,
    catalogue: await jsonFile(flags.catalogue, "catalogue"),
    require: flags.require,
    voltages: defaultVoltages(design).map((voltage) => voltage.toString()),
    ...(flags.loading === undefined ? {} : { loading: flags.loading }),
    ...(flags.capacitance === undefined ? {} : { capacitance: flags.capacitance }),
  };
}

function progressText({ structures, of, cheapest, toProve }: SizingProgress): string {
  const cost = cheapest === undefined ? "" : `cheapest ${costText(cheapest)}`;
  return toProve > 0
    ? `${toProve} combinations to prove${cost === "" ? "" : `, ${cost}`}`
    : `${structures} of ${of} structures, ${cost === "" ? "none meets it yet" : cost}`;
}

/** Searches; the first interrupt ends the search with the best so far, a second the program. */
async function search(question: SizingQuestion, terminal: Terminal): Promise<SizingResult> {
  const stop = new AbortController();
  const interrupted = (): void => stop.abort();
  process.once("SIGINT", interrupted);
  try {
    return await sizeDesign(question, {
      workers: Math.min(MOST_WORKERS, availableParallelism()),
      signal: stop.signal,
      progress: (progress) => terminal.progress(progressText(progress)),
    });
  } finally {
    terminal.progress("");
    process.removeListener("SIGINT", interrupted);
  }
}

async function writeFolder(
  folder: string,
  result: SizingResult,
  document: SizingDocument,
): Promise<readonly string[]> {
  await mkdir(folder, { recursive: true });
  const json = join(folder, "sizing.json");
  await writeFile(json, `${JSON.stringify(document, undefined, 2)}\n`);
  const chart = join(folder, "cost-against-error.svg");
  await writeFile(chart, await sizingChart(document));
  if (result.cheapest === undefined) return [json, chart];
  const winner = join(folder, "design.json");
  const design = candidateDocument(result.space, result.cheapest);
  await writeFile(winner, `${JSON.stringify(design, undefined, 2)}\n`);
  return [json, chart, winner];
}

/** Without a catalogue: what single changes of the design itself do. */
async function runWhatIf(path: string, flags: SizeFlags, terminal: Terminal): Promise<number> {
  const { design } = await loadDesign(path);
  const found = whatIf(design, flags.require, defaultVoltages(design));
  const of = { design: design.name, require: flags.require, version: terminal.version };
  const json = JSON.stringify(whatIfDocument(found, of), undefined, 2);
  const files: string[] = [];
  if (flags.out !== undefined) {
    await mkdir(flags.out, { recursive: true });
    files.push(join(flags.out, "what-if.json"), join(flags.out, "error-against-bits.svg"));
    await writeFile(files[0]!, `${json}\n`);
    await writeFile(files[1]!, await resolutionChart(found));
  }
  const { colour, width } = terminal;
  terminal.print(flags.json === true ? json : whatIfTable(found, { colour, width }));
  if (flags.json !== true) for (const file of files) terminal.print(`written: ${file}`);
  return found.used <= 1 ? 0 : 1;
}

async function run(path: string, flags: SizeFlags, terminal: Terminal): Promise<number> {
  const { catalogue } = flags;
  if (catalogue === undefined) return runWhatIf(path, flags, terminal);
  const result = await search(await questionOf(path, { ...flags, catalogue }), terminal);
  const document = sizingDocument(result, terminal.version);
  const written = flags.out === undefined ? [] : await writeFolder(flags.out, result, document);
  if (flags.json === true) terminal.print(JSON.stringify(document, undefined, 2));
  else {
    const { colour, width } = terminal;
    terminal.print(sizingTable(document, { colour, width }));
    for (const file of written) terminal.print(`written: ${file}`);
  }
  if (!result.complete) return ENDED_EARLY;
  return result.cheapest === undefined ? 1 : 0;
}

const HELP = `
Without a catalogue it prints how much worse each figure of the design may become, the part whose
upgrade buys most, and the resolution beyond which more bits do not help.
Parts of which the catalogue has some are chosen from it, all others stay as in the template.
Ctrl-C ends the search with the best found so far, which is proven and said to be that; a second
Ctrl-C ends the program.
Exit code: 0 when a combination meets every requirement, 1 when none does, 2 for bad input, 3 when
the search was ended early.`;

/** Adds `size` to the program; the exit code goes to `finish`. */
export function addSizeCommand(
  program: Command,
  terminal: Terminal,
  finish: (code: number) => void,
): void {
  program
    .command("size")
    .description("the cheapest parts of a catalogue that guarantee an accuracy, proven")
    .argument("<design>", "design document that serves as template, .json")
    .requiredOption(
      "--require <text...>",
      'accuracy to be met, as "5 % at 34 V"; also over a range: "5 % from 10 V to 60 V"',
    )
    .option("--catalogue <file>", "parts to choose from, .json; without: slack of the design")
    .option("--loading <share>", "share the tester may take from the smallest product; 1 %")
    .option("--capacitance <value>", "product capacitance down to which that must hold")
    .option("--json", "print the whole result as JSON")
    .option("--out <folder>", "write JSON, chart and the cheapest design into a folder")
    .addHelpText("after", HELP)
    .action(async (path: string, flags: SizeFlags) => {
      finish(await run(path, flags, terminal));
    });
}
