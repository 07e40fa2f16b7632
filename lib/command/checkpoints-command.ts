import { mkdir, writeFile } from "node:fs/promises";
import { join } from "node:path";
import type { Command } from "commander";
import type { CheckPlanOptions } from "../decision/check-plan.ts";
import { shareAndVolts } from "../design/accuracy-statement.ts";
import { parseRequirementText } from "../design/requirement-text.ts";
import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import { Decimal } from "../quantity/decimal.ts";
import { checkpointsOf } from "../report/checkpoint-document.ts";
import { checkpointCsv, checkpointTable } from "../report/checkpoint-table.ts";
import { loadDesign } from "./load-design.ts";
import { loadPinParts } from "./load-pin-parts.ts";
import type { Terminal } from "./terminal.ts";

interface CheckpointFlags {
  readonly statement?: string;
  readonly calibration?: string;
  readonly readings?: string;
  readonly beyond?: string;
  readonly pins?: string;
  readonly json?: boolean;
  readonly csv?: boolean;
  readonly out?: string;
}

/** Gathers what is wrong with the options, so that all of it is told at once. */
class OptionFaults {
  readonly faults: Fault[] = [];

  /** A share of the indication and volts, as "0.5 % + 1 V". */
  statement(option: string, text: string): { share: Decimal; volts: Decimal } {
    try {
      const { statement, at, from } = parseRequirementText(text);
      if (statement.kind === "indication" && at === undefined && from === undefined)
        return shareAndVolts(statement);
      this.refuse(option, 'a share and volts without a place, as "0.5 % + 1 V"', text);
    } catch (error) {
      if (!(error instanceof InvalidInputError)) throw error;
      this.faults.push(...error.faults.map((fault) => ({ ...fault, path: option })));
    }
    return { share: Decimal.zero, volts: Decimal.one };
  }

  number(option: string, text: string): number {
    const value = Number(text);
    if (Number.isFinite(value) && text.trim() !== "") return value;
    this.refuse(option, "a number", text);
    return 1;
  }

  private refuse(option: string, permitted: string, text: string): void {
    const received = JSON.stringify(text);
    this.faults.push({ path: option, quantity: "option", permitted, received });
  }
}

function optionsOf(flags: CheckpointFlags): CheckPlanOptions {
  const read = new OptionFaults();
  const { statement, calibration, readings, beyond } = flags;
  const process =
    calibration === undefined ? undefined : read.statement("--calibration", calibration);
  const options: CheckPlanOptions = {
    ...(statement === undefined ? {} : { statement: read.statement("--statement", statement) }),
    ...(process === undefined
      ? {}
      : { process: { share: process.share.toNumber(), volts: process.volts.toNumber() } }),
    ...(readings === undefined ? {} : { readingsAveraged: read.number("--readings", readings) }),
    ...(beyond === undefined ? {} : { productionFactor: read.number("--beyond", beyond) }),
  };
  if (read.faults.length > 0) throw new InvalidInputError("options", read.faults);
  return options;
}

async function run(path: string, flags: CheckpointFlags, terminal: Terminal): Promise<number> {
  const options = optionsOf(flags);
  const { design, sha256 } = await loadDesign(path);
  const parts = flags.pins === undefined ? {} : { parts: loadPinParts(flags.pins) };
  const document = checkpointsOf(design, {
    ...options,
    ...parts,
    sha256,
    version: terminal.version,
  });
  const json = JSON.stringify(document, undefined, 2);
  const { colour, width } = terminal;
  if (flags.json === true) terminal.print(json);
  else if (flags.csv === true) terminal.print(checkpointCsv(document).trimEnd());
  else terminal.print(checkpointTable(document, { colour, width }));
  if (flags.out !== undefined) {
    await mkdir(flags.out, { recursive: true });
    const files = { "checkpoints.json": `${json}\n`, "checkpoints.csv": checkpointCsv(document) };
    for (const [name, text] of Object.entries(files)) {
      await writeFile(join(flags.out, name), text);
      if (flags.json !== true && flags.csv !== true)
        terminal.print(`written: ${join(flags.out, name)}`);
    }
  }
  return document.verdict === "holds" ? 0 : 1;
}

const HELP = `
Without a statement the share that the design proves is taken, with the least volts that can be
verified on every unit. The calibration process is the whole of it: reference, leads, resolution and
noise of the unit, environment.
Exit code: 0 when the plan holds, 1 when it rejects good units or leaves no room, 2 for bad input.`;

/** Adds `checkpoints` to the program; the exit code goes to `finish`. */
export function addCheckpointsCommand(
  program: Command,
  terminal: Terminal,
  finish: (code: number) => void,
): void {
  program
    .command("checkpoints")
    .description("voltages at which each unit is checked, with acceptance limits")
    .argument("<design>", "design document, .json or .ts")
    .option("--statement <accuracy>", 'accuracy to be verified, as "0.5 % + 1 V"')
    .option("--calibration <uncertainty>", 'expanded uncertainty (k = 2), as "0.02 % + 10 mV"')
    .option("--readings <count>", "readings averaged at each point")
    .option("--beyond <factor>", "by how much parts may be out of tolerance")
    .option("--pins <file>", "parts between the pins beside the divider, .json")
    .option("--json", "print the plan as JSON")
    .option("--csv", "print the points as comma-separated values")
    .option("--out <folder>", "write JSON and CSV into a folder")
    .addHelpText("after", HELP)
    .action(async (path: string, flags: CheckpointFlags) => {
      finish(await run(path, flags, terminal));
    });
}
