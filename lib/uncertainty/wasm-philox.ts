import {
  both,
  get,
  i32,
  I32,
  join,
  load,
  loop,
  OPS,
  set,
  shuffle,
  store,
  V128,
  words,
} from "../expression/wasm-code.ts";
import type { Code, WasmFunction } from "../expression/wasm-code.ts";

const ROUNDS = 10;
const MULTIPLIERS = [0xd2511f53, 0xcd9e8d57] as const;

/** Numbers of the locals: parameters first. */
const L = {
  target: 0,
  groups: 1,
  blockLow: 2,
  blockHigh: 3,
  identifier: 4,
  drawWord: 5,
  keys: 6,
  c0: 7,
  c1: 8,
  c2: 9,
  c3: 10,
  product: 11,
  other: 12,
  high: 13,
  low: 14,
} as const;

const all = (word: number): number[] => [...words([word, word, word, word])];

/** high, low := upper and lower halves of the products of four words with a constant. */
function products(counter: number, multiplier: number): number[] {
  const low = join(get(counter), all(multiplier), OPS.multiplyLowUnsigned, set(L.product));
  const high = join(get(counter), all(multiplier), OPS.multiplyHighUnsigned, set(L.other));
  return join(
    low,
    high,
    join(get(L.product), get(L.other), shuffle([1, 3, 5, 7]), set(L.high)),
    join(get(L.product), get(L.other), shuffle([0, 2, 4, 6]), set(L.low)),
  );
}

/** One round on four counters; the two keys of the round lie one after the other in memory. */
function round(number: number): number[] {
  const key = (index: number) => join(get(L.keys), load(16 * (2 * number + index)));
  return join(
    products(L.c2, MULTIPLIERS[1]),
    // The old c1 goes into the new c0, so that the new c1 waits on the stack.
    get(L.low),
    join(get(L.high), get(L.c1), OPS.xor, key(0), OPS.xor),
    products(L.c0, MULTIPLIERS[0]),
    join(set(L.c0), set(L.c1)),
    join(get(L.high), get(L.c3), OPS.xor, key(1), OPS.xor, set(L.c2)),
    join(get(L.low), set(L.c3)),
  );
}

/** Uniform numbers from words in lanes 0 and 1, or 2 and 3: an odd multiple of 2^-53 each. */
function uniform(high: number, low: number, upper: boolean): number[] {
  const lanes = upper ? [2, 3, 2, 3] : [0, 1, 0, 1];
  const part = (local: number) =>
    join(
      join(get(local), i32(6), OPS.shiftRightUnsignedI32, set(L.product)),
      join(get(L.product), get(L.product), shuffle(lanes), OPS.convertI32),
    );
  return join(
    join(part(high), both(67_108_864), OPS.multiply),
    join(part(low), OPS.add, both(0.5), OPS.add, both(2 ** -52), OPS.multiply),
  );
}

/** Stores the numbers of even and odd trials in their natural order. */
function storeFour(upper: boolean, offset: number): number[] {
  return join(
    join(uniform(L.c0, L.c1, upper), set(L.high)),
    join(uniform(L.c2, L.c3, upper), set(L.low)),
    join(get(L.target), get(L.high), get(L.low), shuffle([0, 1, 4, 5]), store(offset)),
    join(get(L.target), get(L.high), get(L.low), shuffle([2, 3, 6, 7]), store(offset + 16)),
  );
}

/** The counters of four blocks from the one given on, and their ten rounds. */
const FOUR_BLOCKS: Code = join(
  join(get(L.blockLow), OPS.splatI32, words([0, 1, 2, 3]), OPS.addI32, set(L.c0)),
  join(get(L.blockHigh), OPS.splatI32, set(L.c1)),
  join(get(L.identifier), OPS.splatI32, set(L.c2)),
  join(get(L.drawWord), OPS.splatI32, set(L.c3)),
  ...Array.from({ length: ROUNDS }, (_, number) => round(number)),
);

/** A function that goes through groups of four blocks and stores what `body` makes of each. */
function fillFunction(name: string, bytesPerGroup: number, body: Code): WasmFunction {
  return {
    parameters: [I32, I32, I32, I32, I32, I32, I32],
    results: [],
    locals: [V128, V128, V128, V128, V128, V128, V128, V128],
    name,
    body: loop(
      join(
        FOUR_BLOCKS,
        body,
        join(get(L.target), i32(bytesPerGroup), OPS.i32Add, set(L.target)),
        join(get(L.blockLow), i32(4), OPS.i32Add, set(L.blockLow)),
        join(get(L.groups), i32(1), OPS.i32Sub, set(L.groups)),
        join(i32(0), get(L.groups), OPS.i32LessUnsigned),
      ),
    ),
  };
}

/**
 * Same numbers as fillUniforms for a fine stream, eight trials at a time: `groups` of eight from the
 * block of the generator given, written from `target` on. The block's lower word must not overflow
 * on the way. `keys` points at the keys of the ten rounds, each in all four lanes.
 */
export const FINE_UNIFORMS: WasmFunction = fillFunction(
  "fineUniforms",
  64,
  join(storeFour(false, 0), storeFour(true, 32)),
);

/** Two coarse numbers from lane `lane` of two words of the counters, stored. */
function storeCoarse(first: number, second: number, place: { lane: number; offset: number }): Code {
  const { lane, offset } = place;
  return join(
    join(get(L.target), get(first), get(second), shuffle([lane, 4 + lane, lane, 4 + lane])),
    // Unsigned words as signed ones and a constant: both steps are exact.
    join(all(-0x80000000), OPS.xor, OPS.convertI32, both(2_147_483_648.5), OPS.add),
    join(both(2 ** -32), OPS.multiply, store(offset)),
  );
}

/** Same for a coarse stream, sixteen trials at a time. */
export const COARSE_UNIFORMS: WasmFunction = fillFunction(
  "coarseUniforms",
  128,
  join(
    ...[0, 1, 2, 3].flatMap((lane) => [
      storeCoarse(L.c0, L.c1, { lane, offset: 32 * lane }),
      storeCoarse(L.c2, L.c3, { lane, offset: 32 * lane + 16 }),
    ]),
  ),
);
