import type { Command } from "commander";
import { printableText } from "../report/printable-text.ts";
import { checkRecord } from "./check-record-run.ts";
import type { Terminal } from "./terminal.ts";

/** Adds `check-record` to the program; the exit code goes to `finish`. */
export function addCheckRecordCommand(
  program: Command,
  terminal: Terminal,
  finish: (code: number) => void,
): void {
  program
    .command("check-record")
    .description("confirm a record again: hashes, proofs, witnesses, and what is computed again")
    .argument("<file>", "record.json in its folder")
    .option("--all", "decide every limit line again, not one of them")
    .addHelpText("after", "\nExit code: 0 confirmed, 1 something differs, 2 no record.")
    .action(async (path: string, { all }: { readonly all?: boolean }) => {
      const { progress, version } = terminal;
      const check = await checkRecord(path, version, { all: all === true, progress });
      progress("");
      for (const line of check.checked) terminal.print(`checked: ${line}`);
      for (const line of check.differences) terminal.print(`differs: ${printableText(line)}`);
      terminal.print(check.confirmed ? "confirmed" : "not confirmed");
      finish(check.confirmed ? 0 : 1);
    });
}
