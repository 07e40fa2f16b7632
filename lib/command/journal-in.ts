import { existsSync, mkdirSync, renameSync } from "node:fs";
import { join } from "node:path";
import { damagedText, openJournal } from "../../properties/campaign/journal.ts";
import type { Journal } from "../../properties/campaign/journal.ts";
import type { Terminal } from "./terminal.ts";

/** Where the journal of a command lies, and how it is opened. */
export interface JournalPlace {
  /** Made where it is absent. */
  readonly folder: string;
  readonly name: string;
  /** Whether an earlier journal is set aside, as `<name>.before`. */
  readonly anew: boolean;
  readonly terminal: Pick<Terminal, "printError">;
}

/**
 * Opens the journal of a command and tells which lines of an earlier run are damaged. Throws
 * InvalidInputError where the file belongs to another campaign or is no journal.
 */
export function journalIn<Header, Result>(
  { folder, name, anew, terminal }: JournalPlace,
  header: Header,
): Journal<Result> {
  mkdirSync(folder, { recursive: true });
  const file = join(folder, name);
  if (anew && existsSync(file)) renameSync(file, `${file}.before`);
  const journal = openJournal<Header, Result>(file, header);
  const damaged = damagedText(file, journal.damaged);
  if (damaged !== undefined) terminal.printError(`${damaged}; what is missing is played again`);
  return journal;
}
