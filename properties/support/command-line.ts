import { main } from "../../lib/command/main.ts";

/** Version that a command run in a test says it is. */
export const TEST_VERSION = "1.2.3";

/** What a command printed on either stream, and how it ended. */
export interface CommandRun {
  readonly code: number;
  readonly out: string;
  readonly error: string;
}

/** Runs a command line in this process and keeps what it prints, without colour at 100 columns. */
export async function runCommand(...words: readonly string[]): Promise<CommandRun> {
  const out: string[] = [];
  const error: string[] = [];
  const code = await main(["node", "plumbvolt", ...words], {
    print: (text) => out.push(text),
    printError: (text) => error.push(text),
    progress: () => undefined,
    colour: false,
    width: 100,
    version: TEST_VERSION,
  });
  return { code, out: out.join("\n"), error: error.join("\n") };
}

/** As {@link runCommand}, where it does not matter on which stream a text stands. */
export async function runCommandText(
  ...words: readonly string[]
): Promise<{ readonly code: number; readonly text: string }> {
  const { code, out, error } = await runCommand(...words);
  return { code, text: [out, error].filter((part) => part !== "").join("\n") };
}
