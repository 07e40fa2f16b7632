import type { Terminal } from "./terminal.ts";

/** Listens for an interruption: the blocks that have begun are finished and kept. */
export function interruption(terminal: Pick<Terminal, "printError">): {
  readonly isStopped: () => boolean;
  readonly end: () => void;
} {
  let stopped = false;
  const stop = (): void => {
    stopped = true;
    terminal.printError("interrupted: what is done is kept");
  };
  process.once("SIGINT", stop);
  return { isStopped: () => stopped, end: () => process.off("SIGINT", stop) };
}
