import { NORMAL_QUANTILE } from "../statistics/normal-quantile.ts";
import { PLAIN_ELEMENTARY } from "../statistics/plain-elementary.ts";
import {
  both,
  call,
  F64,
  get,
  I32,
  i32,
  join,
  load,
  loadF64,
  loadI32,
  loop,
  OPS,
  set,
  shuffle,
  store,
  storeF64,
  storeI32,
  storeLane,
  V128,
  when,
  words,
} from "../expression/wasm-code.ts";
import type { Code, WasmFunction } from "../expression/wasm-code.ts";

/** Horner's rule in the variable of a local, coefficients highest first. */
function horner(coefficients: readonly number[], variable: number): number[] {
  const [first = 0, ...rest] = coefficients;
  return join(
    both(first),
    ...rest.map((coefficient) => join(get(variable), OPS.multiply, both(coefficient), OPS.add)),
  );
}

/** 2 to the integers in lanes 0 and 1 of the vector of four on the stack. */
const POWER_OF_TWO: Code = join(
  words([1023, 1023, 1023, 1023]),
  OPS.addI32,
  OPS.extendLowI64,
  i32(52),
  OPS.shiftLeftI64,
);

const { log2e, log2High, log2Low, rounder, root2, smallestNormal } = PLAIN_ELEMENTARY;

/** Same calculation as plainExp, two numbers at a time. */
export const EXPONENTIAL: WasmFunction = {
  parameters: [V128],
  results: [V128],
  // 1: k, 2: r, 3: k as integers, 4: half of it.
  locals: [V128, V128, V128, V128],
  body: join(
    join(get(0), both(-746), OPS.max, both(710), OPS.min, set(0)),
    join(get(0), both(log2e), OPS.multiply, both(rounder), OPS.add),
    join(both(rounder), OPS.subtract, set(1)),
    join(get(0), get(1), both(log2High), OPS.multiply, OPS.subtract),
    join(get(1), both(log2Low), OPS.multiply, OPS.subtract, set(2)),
    join(get(1), OPS.truncateI32, set(3)),
    join(get(3), i32(1), OPS.shiftRightI32, set(4)),
    horner(PLAIN_ELEMENTARY.exponential, 2),
    join(get(4), POWER_OF_TWO, OPS.multiply),
    join(get(3), get(4), OPS.subtractI32, POWER_OF_TWO, OPS.multiply),
  ),
};

/** 64-bit lanes with the same two halves. */
const wide = (high: number, low: number): Code => words([low, high, low, high]);

/** Same calculation as plainLog, two numbers at a time. */
export const LOGARITHM: WasmFunction = {
  parameters: [V128],
  results: [V128],
  // 1: scaled x, 2: mask, 3: mantissa, 4: exponent, 5: s, 6: z.
  locals: [V128, V128, V128, V128, V128, V128],
  body: join(
    join(get(0), both(smallestNormal), OPS.less, set(2)),
    join(get(0), both(2 ** 54), OPS.multiply, get(0), get(2), OPS.bitselect, set(1)),
    // Biased exponent of each lane, moved next to each other and converted.
    join(get(1), i32(52), OPS.shiftRightUnsignedI64, set(4)),
    join(get(4), get(4), shuffle([0, 2, 0, 2]), OPS.convertI32),
    join(both(1023 + 54), both(1023), get(2), OPS.bitselect, OPS.subtract, set(4)),
    join(get(1), wide(0xfffff, -1), OPS.and, wide(0x3ff00000, 0), OPS.or, set(3)),
    join(get(3), both(root2), OPS.less, OPS.not, set(2)),
    join(get(3), both(0.5), OPS.multiply, get(3), get(2), OPS.bitselect, set(3)),
    join(get(4), both(1), OPS.add, get(4), get(2), OPS.bitselect, set(4)),
    join(get(3), both(1), OPS.subtract, get(3), both(1), OPS.add, OPS.divide, set(5)),
    join(get(5), get(5), OPS.multiply, set(6)),
    join(get(4), both(log2High), OPS.multiply),
    join(both(2), get(5), OPS.multiply),
    join(get(5), get(6), horner(PLAIN_ELEMENTARY.logarithm, 6), OPS.multiply, OPS.multiply),
    join(get(4), both(log2Low), OPS.multiply, OPS.add, OPS.add, OPS.add, set(3)),
    // The ends: infinity stays, zero gives -infinity, the rest NaN.
    join(get(0), get(3), get(0), both(Infinity), OPS.equal, OPS.bitselect, set(3)),
    join(both(-Infinity), get(3), get(0), both(0), OPS.equal, OPS.bitselect, set(3)),
    join(get(3), both(Number.NaN), get(0), both(0), OPS.greaterEqual, OPS.bitselect),
  ),
};

const highestFirst = (coefficients: readonly number[]): number[] => [...coefficients].reverse();

function ratio(top: readonly number[], bottom: readonly number[], variable: number): number[] {
  return join(
    horner(highestFirst(top), variable),
    horner(highestFirst(bottom), variable),
    OPS.divide,
  );
}

const { centreTop, centreBottom, nearTop, nearBottom, farTop, farBottom } = NORMAL_QUANTILE;

/** Numbers of the locals of the function below: parameters first. */
const N = {
  start: 0,
  bytes: 1,
  outside: 2,
  inside: 3,
  position: 4,
  tails: 5,
  mask: 6,
  p: 7,
  offset: 8,
  variable: 9,
  root: 10,
  size: 11,
  end: 12,
} as const;

/** First loop: the centre for every number; those in the tails are also put on a list. */
function centreLoop({ values, places }: TailLists): Code {
  const outOfCentre = join(get(N.offset), OPS.abs, both(0.425), OPS.greater, OPS.bitmaskI64);
  const listed = (lane: 0 | 1) =>
    join(
      join(get(N.tails), get(N.p), storeLane(values, lane)),
      join(get(N.tails), get(N.position), i32(8 * lane), OPS.i32Add, storeI32(places)),
      // The list grows by 8 bytes where the bit of the lane is set, and is overwritten where not.
      join(get(N.tails), get(N.mask), i32(1 + lane), OPS.i32And),
      join(i32(3 - lane), OPS.i32ShiftLeft, OPS.i32Add, set(N.tails)),
    );
  const p = join(get(N.inside), OPS.splatF64, get(N.position), load(0), OPS.multiply, OPS.add);
  return loop(
    join(
      join(get(N.outside), OPS.splatF64, p, set(N.p)),
      join(get(N.p), both(0.5), OPS.subtract, set(N.offset)),
      join(both(0.180625), get(N.offset), get(N.offset), OPS.multiply, OPS.subtract),
      set(N.variable),
      get(N.position),
      join(get(N.offset), horner(highestFirst(centreTop), N.variable), OPS.multiply),
      join(horner(highestFirst(centreBottom), N.variable), OPS.divide, store(0)),
      join(outOfCentre, set(N.mask)),
      listed(0),
      listed(1),
      join(get(N.position), i32(16), OPS.i32Add, set(N.position)),
      join(get(N.position), get(N.end), OPS.i32LessUnsigned),
    ),
  );
}

/** Second loop: the tails on the list, two at a time. */
function tailLoop({ values }: TailLists, logarithmIndex: number): Code {
  const isFar = join(get(N.root), both(5), OPS.greater);
  return loop(
    join(
      join(get(N.position), load(values), set(N.p)),
      join(get(N.p), both(1), get(N.p), OPS.subtract, OPS.min, call(logarithmIndex)),
      join(OPS.negate, OPS.sqrt, set(N.root)),
      join(get(N.root), both(1.6), OPS.subtract, set(N.variable)),
      join(ratio(nearTop, nearBottom, N.variable), set(N.size)),
      join(isFar, OPS.anyTrue),
      when(
        join(
          join(get(N.root), both(5), OPS.subtract, set(N.variable)),
          join(ratio(farTop, farBottom, N.variable), get(N.size)),
          join(isFar, OPS.bitselect, set(N.size)),
        ),
      ),
      // The sign is that of p - 1/2.
      join(get(N.position), get(N.size), get(N.p), both(0.5), OPS.subtract),
      join(wide(-0x80000000, 0), OPS.and, OPS.xor, store(values)),
      join(get(N.position), i32(16), OPS.i32Add, set(N.position)),
      join(get(N.position), get(N.tails), OPS.i32LessUnsigned),
    ),
  );
}

/** Third loop: the tails go to their places. */
function placeLoop({ values, places }: TailLists): Code {
  return loop(
    join(
      join(get(N.position), loadI32(places), get(N.position), loadF64(values), storeF64(0)),
      join(get(N.position), i32(8), OPS.i32Add, set(N.position)),
      join(get(N.position), get(N.tails), OPS.i32LessUnsigned),
    ),
  );
}

/** Room for two lists of one pass and two more entries each, bytes from the start of memory. */
export interface TailLists {
  readonly values: number;
  readonly places: number;
}

/**
 * Same calculation as normalQuantile, in place: `bytes` of uniform numbers u from `start` on become
 * the quantiles of outside + inside u. One in seven lies in the tails, which are gathered and worked
 * out together.
 */
export function normalsFunction(lists: TailLists, logarithmIndex: number): WasmFunction {
  const restart = join(i32(0), set(N.position));
  return {
    parameters: [I32, I32, F64, F64],
    results: [],
    locals: [I32, I32, I32, V128, V128, V128, V128, V128, I32],
    name: "normals",
    body: join(
      join(get(N.start), set(N.position), get(N.start), get(N.bytes), OPS.i32Add, set(N.end)),
      centreLoop(lists),
      // A harmless number beside the last one, if their number is odd.
      join(get(N.tails), both(0.01), store(lists.values)),
      get(N.tails),
      when(join(restart, tailLoop(lists, logarithmIndex), restart, placeLoop(lists))),
    ),
  };
}
