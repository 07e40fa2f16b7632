import type { SourceLocation } from "./port.ts";

/** Lines of the C sources by place in the code section of a module. */
export interface LineTable {
  /** Line of the instruction at an offset from the start of the code section. */
  at(offset: number): SourceLocation | undefined;
}

const PLACE = /^; \/?(.+):(\d+)$/;
const INSTRUCTION = /^\s+([0-9a-f]+):\s+\S/;
const FUNCTION = /^[0-9a-f]{8} <.*>:$/;

/**
 * Text of a line table from a disassembly with source lines: one entry "offset file:line" for each
 * run of instructions. Offsets are those of the disassembly, from the start of the code section's
 * content, in hexadecimal.
 */
export function lineTableText(disassembly: string): string {
  const entries: string[] = [];
  let place = "";
  let written = "";
  for (const line of disassembly.split("\n")) {
    const found = PLACE.exec(line);
    if (found !== null) {
      place = found[2] === "0" ? place : `${found[1]}:${found[2]}`;
      continue;
    }
    if (FUNCTION.test(line)) place = "";
    const instruction = INSTRUCTION.exec(line);
    if (instruction === null || place === written) continue;
    entries.push(`${instruction[1]} ${place}`.trimEnd());
    written = place;
  }
  return `${entries.join("\n")}\n`;
}

interface Entry {
  readonly offset: number;
  readonly location?: SourceLocation;
}

function entryOf(line: string): Entry {
  const [offset, place] = line.split(" ");
  const entry = { offset: Number.parseInt(offset!, 16) };
  if (place === undefined) return entry;
  const colon = place.lastIndexOf(":");
  const location = { file: place.slice(0, colon), line: Number(place.slice(colon + 1)) };
  return { ...entry, location };
}

/** Reads the text of a line table. */
export function readLineTable(text: string): LineTable {
  const entries = text
    .split("\n")
    .filter((line) => line !== "")
    .map(entryOf);
  return {
    at(offset) {
      let found: Entry | undefined;
      for (const entry of entries) {
        if (entry.offset > offset) break;
        found = entry;
      }
      return found?.location;
    },
  };
}
