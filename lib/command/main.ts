import { existsSync, readFileSync } from "node:fs";
import { Command, CommanderError } from "commander";
import { InvariantBrokenError, PlumbvoltError } from "../errors.ts";
import { addBudgetCommand } from "./budget-command.ts";
import { addCertificateCommand } from "./certificate-command.ts";
import { addSchemaCommand } from "./schema-command.ts";
import { addSimulateCommand } from "./simulate-command.ts";
import type { Terminal } from "./terminal.ts";

const EXIT_BAD_INPUT = 2;

/** The package file lies two folders up in the sources and three up in the build. */
function packageVersion(): string {
  const places = ["../../package.json", "../../../package.json"].map(
    (path) => new URL(path, import.meta.url),
  );
  const place = places.find((url) => existsSync(url));
  if (place === undefined) throw new InvariantBrokenError("the package has a package.json");
  return (JSON.parse(readFileSync(place, "utf8")) as { version: string }).version;
}

function processTerminal(): Terminal {
  return {
    print: (text) => process.stdout.write(`${text}\n`),
    printError: (text) => process.stderr.write(`${text}\n`),
    progress: (text) => {
      if (process.stderr.isTTY === true) process.stderr.write(`\r\u001B[2K${text}`);
    },
    colour: process.stdout.isTTY === true && process.env["NO_COLOR"] === undefined,
    width: Math.min(100, process.stdout.columns ?? 100),
    version: packageVersion(),
  };
}

/** Runs the command line and returns the exit code: 0 holds, 1 does not, 2 bad input. */
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
  addBudgetCommand(program, terminal, (found) => {
    code = found;
  });
  addCertificateCommand(program, terminal, (found) => {
    code = found;
  });
  addSimulateCommand(program, terminal);
  addSchemaCommand(program, terminal);
  try {
    await program.parseAsync([...argv]);
    return code;
  } catch (error) {
    if (error instanceof CommanderError) return error.exitCode === 0 ? 0 : EXIT_BAD_INPUT;
    if (error instanceof InvariantBrokenError || !(error instanceof PlumbvoltError)) throw error;
    terminal.printError(error.message);
    return EXIT_BAD_INPUT;
  }
}
