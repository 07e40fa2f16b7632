import type { SourceLocation } from "./port.ts";

/** Lines of the C sources by place in a module. */
export interface LineTable {
  /** Line of the instruction at a place in the module's file. */
  at(offset: number): SourceLocation | undefined;
}

/** Instructions at which a call can end: those that trap, and calls of what stops it. */
const STOPPING =
  /^\s+([0-9a-f]+):\s+(?:unreachable|call|call_indirect|\S+\.(?:load|store|div|rem|trunc)\S*)\b/;

/** Places in the module's file at which a call can end, from a disassembly. */
export function stoppingPlaces(disassembly: string): readonly number[] {
  const places: number[] = [];
  for (const line of disassembly.split("\n")) {
    const found = STOPPING.exec(line)?.[1];
    if (found !== undefined) places.push(Number.parseInt(found, 16));
  }
  return places;
}

interface Symbolised {
  readonly Symbol: readonly { readonly FileName: string; readonly Line: number }[];
}

/** What the host links into the firmware's functions; its lines say nothing of a firmware. */
export const HOST_RUNTIME = "host_runtime.c";

/**
 * Innermost frame with a line that is the firmware's own, else with any; the compiler gives line 0
 * to what it made of several lines.
 */
function placeOf({ Symbol: frames }: Symbolised): string {
  const places = frames
    .filter(({ FileName, Line }) => FileName !== "" && Line > 0)
    .map(({ FileName, Line }) => ({ file: FileName.replace(/^.*\//, ""), line: Line }));
  const place = places.find(({ file }) => file !== HOST_RUNTIME) ?? places[0];
  return place === undefined ? "" : `${place.file}:${place.line}`;
}

/** Text of a line table, "offset file:line" in each row, from the symboliser's answer in JSON. */
export function lineTableText(places: readonly number[], symbolised: string): string {
  const answers = JSON.parse(symbolised) as readonly Symbolised[];
  return places
    .map((place, index) => `${place.toString(16)} ${placeOf(answers[index]!)}`.trimEnd() + "\n")
    .join("");
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
