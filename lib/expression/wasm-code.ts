/** A piece of WebAssembly code. */
export type Code = readonly number[];

/** Unsigned LEB128. */
export function unsigned(value: number): number[] {
  const bytes: number[] = [];
  let rest = value >>> 0;
  do {
    const byte = rest & 0x7f;
    rest >>>= 7;
    bytes.push(rest === 0 ? byte : byte | 0x80);
  } while (rest !== 0);
  return bytes;
}

function signed(value: number): number[] {
  const bytes: number[] = [];
  let rest = value | 0;
  for (;;) {
    const byte = rest & 0x7f;
    rest >>= 7;
    const isLast = (rest === 0 && (byte & 0x40) === 0) || (rest === -1 && (byte & 0x40) !== 0);
    bytes.push(isLast ? byte : byte | 0x80);
    if (isLast) return bytes;
  }
}

/** Value types. Source of all codes here: WebAssembly core specification 2.0, clause 5. */
export const I32 = 0x7f;
export const V128 = 0x7b;
export const F64 = 0x7c;

const vector = (opcode: number): number[] => [0xfd, ...unsigned(opcode)];

/** Instructions without immediates. */
export const OPS = {
  i32Add: [0x6a],
  i32Sub: [0x6b],
  i32LessUnsigned: [0x49],
  i32LessSigned: [0x48],
  i32GreaterEqualUnsigned: [0x4f],
  i32IsZero: [0x45],
  i32Or: [0x72],
  i32ShiftRightUnsigned: [0x76],
  i32And: [0x71],
  i32ShiftLeft: [0x74],
  splatF64: vector(0x14),
  bitmaskI64: vector(0xc4),
  end: [0x0b],
  splatI32: vector(0x11),
  equal: vector(0x47),
  notEqual: vector(0x48),
  less: vector(0x49),
  greater: vector(0x4a),
  lessEqual: vector(0x4b),
  greaterEqual: vector(0x4c),
  not: vector(0x4d),
  and: vector(0x4e),
  or: vector(0x50),
  xor: vector(0x51),
  bitselect: vector(0x52),
  anyTrue: vector(0x53),
  allTrueI64: vector(0xc3),
  shiftLeftI32: vector(0xab),
  shiftRightI32: vector(0xac),
  shiftRightUnsignedI32: vector(0xad),
  addI32: vector(0xae),
  subtractI32: vector(0xb1),
  multiplyLowUnsigned: vector(0xde),
  multiplyHighUnsigned: vector(0xdf),
  extendLowI64: vector(0xc7),
  shiftLeftI64: vector(0xcb),
  shiftRightUnsignedI64: vector(0xcd),
  floor: vector(0x75),
  abs: vector(0xec),
  negate: vector(0xed),
  sqrt: vector(0xef),
  add: vector(0xf0),
  subtract: vector(0xf1),
  multiply: vector(0xf2),
  divide: vector(0xf3),
  min: vector(0xf4),
  max: vector(0xf5),
  /** a < b ? b : a in each lane: one instruction, and no NaN kept where it stands in b. */
  largerNumber: vector(0xf7),
  truncateI32: vector(0xfc),
  convertI32: vector(0xfe),
} as const satisfies Readonly<Record<string, Code>>;

export const i32 = (value: number): Code => [0x41, ...signed(value)];
export const get = (local: number): Code => [0x20, ...unsigned(local)];
export const set = (local: number): Code => [0x21, ...unsigned(local)];
export const call = (index: number): Code => [0x10, ...unsigned(index)];
/** Loads 16 bytes from the address on the stack plus an offset. */
export const load = (offset: number): Code => [...vector(0x00), 3, ...unsigned(offset)];
export const store = (offset: number): Code => [...vector(0x0b), 3, ...unsigned(offset)];

/** Stores one lane of the vector on the stack. */
export const storeLane = (offset: number, lane: number): Code => [
  ...vector(0x5b),
  3,
  ...unsigned(offset),
  lane,
];
/** Single numbers. */
export const loadI32 = (offset: number): Code => [0x28, 2, ...unsigned(offset)];
export const storeI32 = (offset: number): Code => [0x36, 2, ...unsigned(offset)];
export const loadF64 = (offset: number): Code => [0x2b, 3, ...unsigned(offset)];
export const storeF64 = (offset: number): Code => [0x39, 3, ...unsigned(offset)];

/** Both lanes the double given. */
export function both(value: number): Code {
  const bytes = new Uint8Array(new Float64Array([value, value]).buffer);
  return [...vector(0x0c), ...bytes];
}

/** Four lanes of 32-bit integers. */
export function words(values: readonly number[]): Code {
  const bytes = new Uint8Array(Int32Array.from(values).buffer);
  return [...vector(0x0c), ...bytes];
}

/** Picks 32-bit lanes: 0 to 3 of the first operand, 4 to 7 of the second. */
export function shuffle(lanes: readonly number[]): Code {
  return [...vector(0x0d), ...lanes.flatMap((lane) => [0, 1, 2, 3].map((k) => 4 * lane + k))];
}

/** Runs the code again and again as long as it leaves a true condition on the stack. */
export const loop = (body: Code): Code => [0x03, 0x40, ...body, 0x0d, 0, 0x0b];
/** Runs the code if the condition on the stack is true. */
export const when = (body: Code): Code => [0x04, 0x40, ...body, 0x0b];

/** Code that a `branch` of depth 0 inside it leaves at its end. */
export const block = (body: Code): Code => [0x02, 0x40, ...body, 0x0b];
/** Code that a `branch` of depth 0 inside it begins again; leaves at its end otherwise. */
export const repeat = (body: Code): Code => [0x03, 0x40, ...body, 0x0b];
export const branch = (depth: number): Code => [0x0c, ...unsigned(depth)];
export const branchIf = (depth: number): Code => [0x0d, ...unsigned(depth)];
/** Branches to the depth listed for the number on the stack, or to the last listed. */
export const branchTable = (depths: readonly number[]): Code => [
  0x0e,
  ...unsigned(depths.length - 1),
  ...depths.flatMap(unsigned),
];
/** Returns from the function with what is on the stack. */
export const leave: Code = [0x0f];

/** Joins pieces without the limits of spreading long lists. */
export function join(...pieces: readonly Code[]): number[] {
  const all: number[] = [];
  for (const piece of pieces)
    for (let index = 0; index < piece.length; index += 1) all.push(piece[index]!);
  return all;
}

/** A function of a module. */
export interface WasmFunction {
  readonly parameters: readonly number[];
  readonly results: readonly number[];
  /** Types of the further locals, numbered after the parameters. */
  readonly locals: readonly number[];
  readonly body: Code;
  /** Exported under this name. */
  readonly name?: string;
}

function section(id: number, items: readonly Code[]): number[] {
  const content = join(unsigned(items.length), ...items);
  return join([id], unsigned(content.length), content);
}

function textBytes(text: string): number[] {
  const bytes = Array.from(text, (character) => character.charCodeAt(0));
  return [...unsigned(bytes.length), ...bytes];
}

/** A module of functions that works on one imported memory, `env.memory`. */
export function wasmModule(functions: readonly WasmFunction[]): Uint8Array<ArrayBuffer> {
  const types = functions.map(({ parameters, results }) =>
    join([0x60], unsigned(parameters.length), parameters, unsigned(results.length), results),
  );
  const bodies = functions.map(({ locals, body }) => {
    const groups = locals.map((type) => [1, type]);
    const code = join(unsigned(groups.length), ...groups, body, OPS.end);
    return join(unsigned(code.length), code);
  });
  const exported = functions.flatMap(({ name }, index) =>
    name === undefined ? [] : [[...textBytes(name), 0, ...unsigned(index)]],
  );
  return Uint8Array.from(
    join(
      [0x00, 0x61, 0x73, 0x6d, 1, 0, 0, 0],
      section(1, types),
      section(2, [[...textBytes("env"), ...textBytes("memory"), 2, 0, 1]]),
      section(
        3,
        functions.map((_, index) => unsigned(index)),
      ),
      section(7, exported),
      section(10, bodies),
    ),
  );
}

/** Memory of a module. */
export interface WasmMemory {
  readonly buffer: ArrayBuffer;
}

/** The part of the engine's WebAssembly that is used here; the standard library has no types. */
export const { WebAssembly: engine } = globalThis as unknown as {
  readonly WebAssembly: {
    readonly Memory: new (size: { readonly initial: number }) => WasmMemory;
    readonly Module: new (bytes: Uint8Array) => object;
    readonly Instance: new (module: object, imports: object) => { readonly exports: object };
  };
};
