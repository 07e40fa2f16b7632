/**
 * The rounds of the counter-based generator as WebAssembly, which has the product of two 32-bit
 * words that the language itself lacks. Integers only: the same words on every engine.
 */

const I32 = 0x7f;
const I64 = 0x7e;

const GET = 0x20;
const SET = 0x21;
const TEE = 0x22;
const CONST_32 = 0x41;
const CONST_64 = 0x42;
const ADD_32 = 0x6a;
const XOR_32 = 0x73;
const MULTIPLY_64 = 0x7e;
const SHIFT_RIGHT_64 = 0x88;
const WRAP = 0xa7;
const EXTEND = 0xad;
const STORE_32 = 0x36;
const LOOP = 0x03;
const BRANCH_IF = 0x0d;
const EQUAL_ZERO = 0x45;
const LESS = 0x49;
const END = 0x0b;
const EMPTY = 0x40;

/** Parameters, then what the loop keeps. */
const [LOW, HIGH, IDENTIFIER, DRAW_WORD, KEY_0, KEY_1, BYTES] = [0, 1, 2, 3, 4, 5, 6];
const [AT, C0, C1, C2, C3, P0, P1] = [7, 8, 9, 10, 11, 12, 13];

const ROUNDS = 10;
const BLOCK_BYTES = 16;
const PAGE_BYTES = 65_536;

/** Signed numbers of variable length, seven bits to a byte. */
function signed(value: bigint): number[] {
  const bytes: number[] = [];
  let rest = value;
  for (;;) {
    const low = Number(rest & 0x7fn);
    rest >>= 7n;
    const done = (rest === 0n && (low & 0x40) === 0) || (rest === -1n && (low & 0x40) !== 0);
    bytes.push(done ? low : low | 0x80);
    if (done) return bytes;
  }
}

/** Lengths, unsigned. */
function unsigned(value: number): number[] {
  return value < 0x80 ? [value] : [(value & 0x7f) | 0x80, ...unsigned(value >>> 7)];
}

function constant32(value: number): number[] {
  return [CONST_32, ...signed(BigInt(value | 0))];
}

function product(into: number, word: number, factor: bigint): number[] {
  return [GET, word, EXTEND, CONST_64, ...signed(factor), MULTIPLY_64, SET, into];
}

/** Upper half of a product, mixed with a word and a key, becomes one word; its lower half another. */
function mixed(parts: Readonly<Record<"high" | "low" | "from" | "key", number>>, weyl: number) {
  const { high, low, from, key } = parts;
  return [
    [GET, from, CONST_64, ...signed(32n), SHIFT_RIGHT_64, WRAP, GET, low, XOR_32],
    [GET, key, ...constant32(weyl), ADD_32, XOR_32, SET, high],
    [GET, from, WRAP, SET, low],
  ].flat();
}

function round(number: number): number[] {
  return [
    product(P0, C0, 0xd2511f53n),
    product(P1, C2, 0xcd9e8d57n),
    mixed({ high: C0, low: C1, from: P1, key: KEY_0 }, Math.imul(number, 0x9e3779b9)),
    mixed({ high: C2, low: C3, from: P0, key: KEY_1 }, Math.imul(number, 0xbb67ae85)),
  ].flat();
}

function body(): number[] {
  return [
    [2, 5, I32, 2, I64],
    [LOOP, EMPTY],
    [GET, LOW, SET, C0, GET, HIGH, SET, C1, GET, IDENTIFIER, SET, C2, GET, DRAW_WORD, SET, C3],
    ...Array.from({ length: ROUNDS }, (_, number) => round(number)),
    ...[C0, C1, C2, C3].map((word, k) => [GET, AT, GET, word, STORE_32, 2, 4 * k]),
    // The next block's number, with its carry.
    [GET, LOW, ...constant32(1), ADD_32, TEE, LOW, EQUAL_ZERO, GET, HIGH, ADD_32, SET, HIGH],
    [GET, AT, ...constant32(BLOCK_BYTES), ADD_32, TEE, AT, GET, BYTES, LESS, BRANCH_IF, 0],
    [END, END],
  ].flat();
}

/** Signature and version of a module. */
const MAGIC = [0x00, 0x61, 0x73, 0x6d, 1, 0, 0, 0];

function section(id: number, content: readonly number[]): number[] {
  return [id, ...unsigned(content.length), ...content];
}

function text(name: string): number[] {
  return [name.length, ...[...name].map((letter) => letter.charCodeAt(0))];
}

function moduleBytes(): Uint8Array {
  const code = body();
  return Uint8Array.from([
    ...MAGIC,
    ...section(1, [1, 0x60, 7, I32, I32, I32, I32, I32, I32, I32, 0]),
    ...section(3, [1, 0]),
    ...section(5, [1, 0, 1]),
    ...section(7, [2, ...text("words"), 2, 0, ...text("fill"), 0, 0]),
    ...section(10, [1, ...unsigned(code.length), ...code]),
  ]);
}

/** Where blocks of words come from: number of the first block, stream and key. */
export interface BlockPlace {
  readonly low: number;
  readonly high: number;
  readonly identifier: number;
  readonly drawWord: number;
  readonly key0: number;
  readonly key1: number;
}

/** Blocks of four words, written one after the other. */
export interface PhiloxKernel {
  /** The words, valid until the next call. */
  readonly words: Uint32Array;
  /** Writes consecutive blocks, at most as many as there is room for words. */
  generate(place: BlockPlace, blocks: number): void;
}

/** The part of the engine's WebAssembly that is used here; the standard library has no types. */
const { WebAssembly: engine } = globalThis as unknown as {
  readonly WebAssembly: {
    readonly Module: new (bytes: Uint8Array) => object;
    readonly Instance: new (module: object) => { readonly exports: object };
  };
};

/** Makes the generator with room for 16 384 words. */
export function philoxKernel(): PhiloxKernel {
  const { exports } = new engine.Instance(new engine.Module(moduleBytes()));
  const { words, fill } = exports as {
    readonly words: { readonly buffer: ArrayBuffer };
    readonly fill: (...parts: number[]) => void;
  };
  return {
    words: new Uint32Array(words.buffer, 0, PAGE_BYTES / 4),
    generate({ low, high, identifier, drawWord, key0, key1 }, blocks) {
      if (blocks > 0) fill(low, high, identifier, drawWord, key0, key1, BLOCK_BYTES * blocks);
    },
  };
}
