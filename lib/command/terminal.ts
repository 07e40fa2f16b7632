/** Where a command prints and what it knows of its surroundings. */
export interface Terminal {
  readonly print: (text: string) => void;
  readonly printError: (text: string) => void;
  /** Shows how far long work has come, a line at times where nobody watches; empty text clears. */
  readonly progress: (text: string) => void;
  readonly colour: boolean;
  /** Columns. */
  readonly width: number;
  /** Version of this package. */
  readonly version: string;
}
