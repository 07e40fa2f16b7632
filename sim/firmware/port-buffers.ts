import { MOST_CHANNELS } from "./port.ts";
import { WORDS } from "./port-memory.ts";

/** Words on either side of a buffer that nobody may write. */
const GUARD_WORDS = 8;

/** Most samples handed over in one call; a longer block is handed over in parts. */
export const MOST_BLOCK_SAMPLES = 4096;

/** Pattern of the guard words, so that a write of zeros or of ones is seen. */
const GUARD = 0x5ac3_96e1 | 0;

/** A buffer of the port in linear memory. */
export interface PortBuffer {
  readonly name: string;
  /** First word and number of words. */
  readonly start: number;
  readonly words: number;
}

/** The buffers of the port, each between guards, behind the firmware's own memory. */
export interface PortBuffers {
  readonly configuration: PortBuffer;
  readonly block: PortBuffer;
  readonly action: PortBuffer;
  readonly report: PortBuffer;
  readonly codes: readonly PortBuffer[];
  /** First word after the last guard. */
  readonly end: number;
}

/** Places the buffers from a word on. */
export function placeBuffers(from: number): PortBuffers {
  let next = from;
  const place = (name: string, words: number): PortBuffer => {
    // Two words, so that a structure with 64-bit members is aligned.
    const start = next + GUARD_WORDS;
    next = start + words + (words & 1);
    return { name, start, words };
  };
  const configuration = place("configuration", WORDS.configuration);
  const block = place("block", WORDS.block);
  const action = place("action", WORDS.action);
  const report = place("report", WORDS.report);
  const codes = Array.from({ length: MOST_CHANNELS }, (_, channel) =>
    place(`codes of channel ${channel}`, MOST_BLOCK_SAMPLES),
  );
  return { configuration, block, action, report, codes, end: next + GUARD_WORDS };
}

/** Writes the guards on both sides of a buffer that holds so many words at present. */
export function guard(memory: Int32Array, { start }: PortBuffer, words: number): void {
  memory.fill(GUARD, start - GUARD_WORDS, start);
  memory.fill(GUARD, start + words, start + words + GUARD_WORDS);
}

/** Whether the guards on both sides of a buffer are as they were written. */
export function guardsHold(memory: Int32Array, { start }: PortBuffer, words: number): boolean {
  for (let index = 1; index <= GUARD_WORDS; index++) {
    if (memory[start - index] !== GUARD || memory[start + words - 1 + index] !== GUARD)
      return false;
  }
  return true;
}
