/** Between two lines of progress where nobody watches: milliseconds. */
const LINE_EVERY = 30_000;

/** Where progress goes, and the time that has passed: milliseconds from any start. */
export interface ProgressOutlet {
  readonly isTerminal: boolean;
  write(text: string): void;
  now(): number;
}

/**
 * Tells how far a long run has come: on a terminal in one line that is written over, elsewhere, as
 * in the log of an automatic run, in a line of its own every 30 s. Text of no length clears it.
 */
export function progressTo(outlet: ProgressOutlet): (text: string) => void {
  let told = outlet.now();
  return (text) => {
    if (outlet.isTerminal) {
      outlet.write(`\r\u001B[2K${text}`);
      return;
    }
    const now = outlet.now();
    if (text === "" || now - told < LINE_EVERY) return;
    told = now;
    outlet.write(`${text}\n`);
  };
}
