import type { Tape } from "../expression/tape.ts";

/** A product of closed intervals, one per symbol slot of a tape. */
export interface Box {
  readonly lower: Float64Array;
  readonly upper: Float64Array;
}

/** A copy that may be changed. */
export function copyBox(box: Box): Box {
  return { lower: box.lower.slice(), upper: box.upper.slice() };
}

/** The limits of a box by symbol name, for messages and records. */
export function boxRecord(tape: Tape, box: Box): Record<string, [number, number]> {
  return Object.fromEntries(
    tape.symbols.map((name, slot) => [name, [box.lower[slot]!, box.upper[slot]!]]),
  );
}
