import { NORMAL_QUANTILE } from "../statistics/normal-quantile.ts";
import { PLAIN_ELEMENTARY } from "../statistics/plain-elementary.ts";
import { both, call, get, join, OPS, set, shuffle, V128, when, words, i32 } from "./wasm-code.ts";
import type { Code, WasmFunction } from "./wasm-code.ts";

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

/**
 * Same calculation as normalQuantile for probabilities between 0 and 1, two at a time; the tails
 * are worked out only where one of the two is in them.
 */
export function normalFunction(logarithmIndex: number): WasmFunction {
  return {
    parameters: [V128],
    results: [V128],
    // 1: offset, 2: variable, 3: result, 4: root, 5: tail value; 6: mask of the tails.
    locals: [V128, V128, V128, V128, V128, V128],
    body: join(
      join(get(0), both(0.5), OPS.subtract, set(1)),
      join(both(0.180625), get(1), get(1), OPS.multiply, OPS.subtract, set(2)),
      join(get(1), horner(highestFirst(centreTop), 2), OPS.multiply),
      join(horner(highestFirst(centreBottom), 2), OPS.divide, set(3)),
      join(get(1), OPS.abs, both(0.425), OPS.greater, set(6)),
      join(get(6), OPS.anyTrue),
      when(
        join(
          join(get(0), both(1), get(0), OPS.subtract, OPS.min, call(logarithmIndex)),
          join(OPS.negate, OPS.sqrt, set(4)),
          join(get(4), both(1.6), OPS.subtract, set(2)),
          join(ratio(nearTop, nearBottom, 2), set(5)),
          join(get(4), both(5), OPS.greater, OPS.anyTrue),
          when(
            join(
              join(get(4), both(5), OPS.subtract, set(2)),
              join(ratio(farTop, farBottom, 2), get(5)),
              join(get(4), both(5), OPS.greater, OPS.bitselect, set(5)),
            ),
          ),
          // The sign of the offset, and the tail only in its lanes.
          join(get(5), get(1), wide(-0x80000000, 0), OPS.and, OPS.xor),
          join(get(3), get(6), OPS.bitselect, set(3)),
        ),
      ),
      get(3),
    ),
  };
}
