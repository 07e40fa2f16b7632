import { createWriteStream, readFileSync } from "node:fs";
import { mkdir, writeFile } from "node:fs/promises";
import { dirname, join, resolve } from "node:path";
import { pipeline } from "node:stream/promises";
import type { Command } from "commander";
import { InvalidInputError } from "../errors.ts";
import { formatQuantity } from "../quantity/format.ts";
import { CAUTIONS } from "../report/assumptions.ts";
import { printableText } from "../report/printable-text.ts";
import { textTable, wrappedText } from "../report/text-table.ts";
import type { TextColumn } from "../report/text-table.ts";
import {
  channelPairs,
  csvPieces,
  eventsToCsv,
  readScenario,
  readingOf,
  samplesAbout,
  simulate,
  vcdPieces,
  waveformSvg,
} from "../../sim/index.ts";
import type { Simulation, SimulationEvent } from "../../sim/index.ts";
import type { Terminal } from "./terminal.ts";

const EVENT_WORDS: Readonly<Record<SimulationEvent["kind"], string>> = {
  contactSeparates: "contact separates",
  arcEnds: "arc ends",
  poleOpens: "pole opens",
  poleCloses: "pole closes",
  mainsChanges: "mains changes",
  rectifierConducts: "rectifier conducts",
  rectifierBlocks: "rectifier blocks",
  dischargeBegins: "active discharge begins",
  dischargeEnds: "active discharge ends",
};

/** Events printed on the terminal; all of them stand in the file. */
const MOST_EVENTS = 12;

function unreadable(path: string, received: string): InvalidInputError {
  return new InvalidInputError("scenario", [
    { path, quantity: "scenario file", permitted: "a readable .json file", received },
  ]);
}

function loadSimulation(path: string): Simulation {
  const parse = (file: string): unknown => {
    try {
      return JSON.parse(readFileSync(file, "utf8")) as unknown;
    } catch (error) {
      throw unreadable(file, (error as Error).message);
    }
  };
  const loadDesign = (design: string): unknown => parse(resolve(dirname(path), design));
  return simulate(readScenario(parse(path), { loadDesign }));
}

const EVENT_COLUMNS: readonly TextColumn<SimulationEvent>[] = [
  {
    head: ["instant", "s"],
    align: "right",
    cell: ({ instant }) => instant.toFixed(6),
  },
  { head: ["", "event"], align: "left", cell: ({ kind }) => EVENT_WORDS[kind] },
  { head: ["", "pole"], align: "left", cell: ({ pole }) => pole ?? "" },
];

interface Channel {
  readonly pair: string;
  readonly indication: number;
  readonly truth: number;
}

const CHANNEL_COLUMNS: readonly TextColumn<Channel>[] = [
  { head: ["", "pins"], align: "left", cell: ({ pair }) => pair },
  { head: ["true voltage", "V"], align: "right", cell: ({ truth }) => truth.toFixed(3) },
  { head: ["indication", "V"], align: "right", cell: ({ indication }) => indication.toFixed(3) },
  {
    head: ["error", "V"],
    align: "right",
    cell: ({ indication, truth }) => (indication - truth).toFixed(3),
  },
];

/** What a tester with a faultless trigger shows at the stated instant after the last opening. */
function readingText(simulation: Simulation, width: number): string {
  const { scenario, lastOpening, clock } = simulation;
  const { timing, conditions } = scenario.design;
  if (lastOpening === undefined) return "No pole opened, so that there is no residual voltage.";
  const stated = lastOpening + conditions.instant.toNumber();
  const sample = Math.round((stated - clock.phase) / clock.period);
  const window = timing?.window?.duration.toNumber() ?? 0;
  const samples = samplesAbout(sample, scenario.design, window);
  if (samples.first < 0 || samples.first + samples.count > simulation.sampleCount)
    return `The scenario ends before the stated instant ${stated.toFixed(6)} s.`;
  const rows = channelPairs(simulation).map((pair, channel): Channel => ({
    pair: pair.join("-"),
    indication: readingOf(simulation, samples, channel).indication,
    truth: simulation.voltageAt(pair, stated),
  }));
  const after = formatQuantity(conditions.instant, "time");
  const head = `Reading ${after} after the last opening, by a tester with a faultless trigger`;
  return `${head}\n${textTable(CHANNEL_COLUMNS, rows, width).join("\n")}`;
}

async function writeSamples(file: string, pieces: Iterable<string>): Promise<string> {
  await pipeline(pieces, createWriteStream(file));
  return file;
}

async function makeFolder(folder: string): Promise<void> {
  try {
    await mkdir(folder, { recursive: true });
  } catch (error) {
    const received = (error as Error).message;
    throw new InvalidInputError("options", [
      { path: "--out", quantity: "output folder", permitted: "one that can be made", received },
    ]);
  }
}

async function writeFolder(folder: string, simulation: Simulation): Promise<string[]> {
  await makeFolder(folder);
  const { limit, view } = simulation.scenario;
  const picture = join(folder, "waveform.svg");
  const shown = {
    ...(limit === undefined ? {} : { limit }),
    ...(view === undefined ? {} : { from: view[0], to: view[1] }),
  };
  await writeFile(picture, await waveformSvg(simulation, shown));
  const events = join(folder, "events.csv");
  await writeFile(events, eventsToCsv(simulation));
  return [
    picture,
    events,
    await writeSamples(join(folder, "samples.csv"), csvPieces(simulation)),
    await writeSamples(join(folder, "samples.vcd"), vcdPieces(simulation)),
  ];
}

/** Adds `simulate` to the program. */
export function addSimulateCommand(program: Command, terminal: Terminal): void {
  program
    .command("simulate")
    .description("play a scenario in time: mains, disconnection, product and front end")
    .argument("<scenario>", "scenario document, .json")
    .option("--out <folder>", "write waveform, events and samples (CSV, VCD) into a folder")
    .action(async (path: string, flags: { readonly out?: string }) => {
      const simulation = loadSimulation(path);
      const written = flags.out === undefined ? [] : await writeFolder(flags.out, simulation);
      const { scenario, events } = simulation;
      const { width } = terminal;
      const shown = events.slice(0, MOST_EVENTS);
      const rest = events.length - shown.length;
      terminal.print(printableText(scenario.name ?? path));
      terminal.print(`\n${textTable(EVENT_COLUMNS, shown, width).join("\n")}`);
      if (rest > 0) terminal.print(`${rest} more events`);
      terminal.print(`\n${readingText(simulation, width)}\n`);
      terminal.print(
        wrappedText(`Caution: ${CAUTIONS.join(" ")}`, { width, indent: 2 }).join("\n"),
      );
      for (const file of written) terminal.print(`written: ${file}`);
    });
}
