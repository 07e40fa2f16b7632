import { invariant } from "../../lib/errors.ts";

const HEADER = 8;
const CUSTOM = 0;
const CODE = 10;

interface Section {
  readonly id: number;
  /** First byte of the section, of its content, and the first after it. */
  readonly start: number;
  readonly content: number;
  readonly end: number;
}

/** An unsigned LEB128 number of at most 32 bits and where it ends. */
function numberAt(bytes: Uint8Array, start: number): readonly [number, number] {
  let value = 0;
  for (let index = 0; index < 5; index++) {
    const byte = bytes[start + index];
    invariant(byte !== undefined, "a module ends after a number");
    value += (byte & 127) * 2 ** (7 * index);
    if (byte < 128) return [value, start + index + 1];
  }
  invariant(false, "a number of a module has at most five bytes");
}

function* sectionsOf(bytes: Uint8Array): Generator<Section> {
  let start = HEADER;
  while (start < bytes.length) {
    const [size, content] = numberAt(bytes, start + 1);
    const end = content + size;
    invariant(end <= bytes.length, "a section ends inside its module");
    yield { id: bytes[start]!, start, content, end };
    start = end;
  }
}

function nameOf(bytes: Uint8Array, { content }: Section): string {
  const [length, first] = numberAt(bytes, content);
  return Buffer.from(bytes.subarray(first, first + length)).toString("utf8");
}

/** Place in the file at which the content of the code section begins. */
export function startOfCode(bytes: Uint8Array): number {
  for (const section of sectionsOf(bytes)) if (section.id === CODE) return section.content;
  return 0;
}

/** The module without its debug sections; places in the code stay what they were. */
export function strippedModule(bytes: Uint8Array): Uint8Array {
  const kept: Uint8Array[] = [bytes.subarray(0, HEADER)];
  for (const section of sectionsOf(bytes)) {
    if (section.id === CUSTOM && nameOf(bytes, section).startsWith(".debug_")) continue;
    kept.push(bytes.subarray(section.start, section.end));
  }
  return Uint8Array.from(Buffer.concat(kept));
}
