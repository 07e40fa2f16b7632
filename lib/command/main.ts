import { existsSync, readFileSync } from "node:fs";
import { Command, CommanderError } from "commander";
import { InvalidInputError, InvariantBrokenError, PlumbvoltError } from "../errors.ts";
import { fileFault } from "./file-fault.ts";
import { progressTo } from "./progress.ts";
import type { Terminal } from "./terminal.ts";

const EXIT_BAD_INPUT = 2;

/** A fault of this package: no verdict of any kind, and never taken for one. */
const EXIT_OWN_FAULT = 4;

/** Adds a command to the program; `finish` takes its exit code, where it is not 0. */
type AddCommand = (program: Command, terminal: Terminal, finish: (code: number) => void) => void;

/**
 * Where each command is. Only the one that is asked for is loaded: reading a hundred files costs
 * more time than a small budget.
 */
const COMMANDS: Readonly<Record<string, () => Promise<AddCommand>>> = {
  budget: async () => (await import("./budget-command.ts")).addBudgetCommand,
  "check-record": async () => (await import("./check-record-command.ts")).addCheckRecordCommand,
  "check-certificate": async () => (await import("./certificate-command.ts")).addCertificateCommand,
  compile: async () => (await import("./compile-command.ts")).addCompileCommand,
  checkpoints: async () => (await import("./checkpoints-command.ts")).addCheckpointsCommand,
  decide: async () => (await import("./decide-command.ts")).addDecideCommand,
  evidence: async () => (await import("./evidence-command.ts")).addEvidenceCommand,
  faults: async () => (await import("./faults-command.ts")).addFaultsCommand,
  size: async () => (await import("./size-command.ts")).addSizeCommand,
  simulate: async () => (await import("./simulate-command.ts")).addSimulateCommand,
  verify: async () => (await import("./verify-command.ts")).addVerifyCommand,
  replay: async () => (await import("./replay-command.ts")).addReplayCommand,
  merge: async () => (await import("./merge-command.ts")).addMergeCommand,
  schema: async () => (await import("./schema-command.ts")).addSchemaCommand,
};

/** The command named first on the line; all of them where none is, for the help. */
async function commandsFor(argv: readonly string[]): Promise<readonly AddCommand[]> {
  const name = argv[2] ?? "";
  const asked = Object.hasOwn(COMMANDS, name) ? COMMANDS[name] : undefined;
  const loaders = asked === undefined ? Object.values(COMMANDS) : [asked];
  return Promise.all(loaders.map((load) => load()));
}

/** The package file lies two folders up in the sources and three up in the build. */
function packageVersion(): string {
  const places = ["../../package.json", "../../../package.json"].map(
    (path) => new URL(path, import.meta.url),
  );
  const place = places.find((url) => existsSync(url));
  if (place === undefined) throw new InvariantBrokenError("the package has a package.json");
  return (JSON.parse(readFileSync(place, "utf8")) as { version: string }).version;
}

/** A reader that has seen enough, as `head`, ends the command quietly. */
function endWithReader(error: NodeJS.ErrnoException): void {
  if (error.code !== "EPIPE") throw error;
  process.exit(0);
}

function processTerminal(): Terminal {
  process.stdout.on("error", endWithReader);
  return {
    print: (text) => process.stdout.write(`${text}\n`),
    printError: (text) => process.stderr.write(`${text}\n`),
    progress: progressTo({
      isTerminal: process.stderr.isTTY === true,
      write: (text) => process.stderr.write(text),
      now: () => performance.now(),
    }),
    colour: process.stdout.isTTY === true && process.env["NO_COLOR"] === undefined,
    width: Math.min(100, process.stdout.columns ?? 100),
    version: packageVersion(),
  };
}

/**
 * Runs the command line and returns the exit code: 0 holds, 1 does not, 2 bad input, 3 no verdict,
 * 4 a fault of this package, whose text names the place in it.
 */
export async function main(
  argv: readonly string[],
  terminal: Terminal = processTerminal(),
): Promise<number> {
  let code = 0;
  const program = new Command("plumbvolt")
    .description("guaranteed error of residual-voltage testers")
    .version(terminal.version)
    .exitOverride()
    .configureOutput({
      writeOut: (text) => terminal.print(text.trimEnd()),
      writeErr: (text) => terminal.printError(text.trimEnd()),
    });
  for (const add of await commandsFor(argv))
    add(program, terminal, (found) => {
      code = found;
    });
  try {
    await program.parseAsync([...argv]);
    return code;
  } catch (error) {
    if (error instanceof CommanderError) return error.exitCode === 0 ? 0 : EXIT_BAD_INPUT;
    if (error instanceof PlumbvoltError && !(error instanceof InvariantBrokenError)) {
      terminal.printError(error.message);
      return EXIT_BAD_INPUT;
    }
    const fault = fileFault(error);
    if (fault !== undefined) {
      terminal.printError(new InvalidInputError("files", [fault]).message);
      return EXIT_BAD_INPUT;
    }
    const text = error instanceof Error ? (error.stack ?? error.message) : String(error);
    terminal.printError(`no verdict, because of a fault in plumbvolt itself: ${text}`);
    return EXIT_OWN_FAULT;
  }
}
