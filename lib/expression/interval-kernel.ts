import { RELATIVE_STEP, SMALLEST_STEP } from "../interval/rounding.ts";
import { OP } from "./tape.ts";
import type { Tape } from "./tape.ts";
import {
  block,
  both,
  branch,
  branchIf,
  branchTable,
  engine,
  get,
  I32,
  i32,
  join,
  leave,
  load,
  loadI32,
  OPS,
  repeat,
  set,
  shuffle,
  store,
  storeI32,
  storeLane,
  V128,
  wasmModule,
  when,
  words,
} from "./wasm-code.ts";
import type { Code, WasmFunction, WasmMemory } from "./wasm-code.ts";

/*
 * The loops over the rows of a tape in WebAssembly, two lanes to an interval: minus its lower end,
 * and its upper end, so that one instruction rounds both outwards. Rows of other operations than
 * + - * / and the change of sign are left to the caller, and so is a row without a finite result.
 * Source: WebAssembly core specification 2.0; the negated lower end is common practice, no source.
 */

/** What the kernel does at a row; it stops at any other operation. */
const STEPS: Readonly<Record<number, number>> = {
  [OP.constant]: 0,
  [OP.symbol]: 0,
  [OP.negate]: 1,
  [OP.add]: 2,
  [OP.subtract]: 3,
  [OP.multiply]: 4,
  [OP.divide]: 5,
};
const STOP = 6;

/** Bytes of a row: of its code, of its value, of its adjoint. The offset of row r is r times it. */
const ROW = 16;

/** Places in the code of a row: operands, and whether the row depends on an interval. */
const [LEFT_AT, RIGHT_AT, OPEN_AT] = [4, 8, 12];

/** Parameters: where the lists begin, and the offset of the row to begin at. */
const [CODE, VALUE, ADJOINT, LOWER, UPPER, OFFSET, END] = [0, 1, 2, 3, 4, 5, 6];
/** Locals: offsets of the operands, their values, work, and whether all adjoints are finite. */
const [LEFT, RIGHT, A, B, X, Y, Z, GOOD] = [7, 8, 9, 10, 11, 12, 13, 14];

const COMMON = {
  parameters: [I32, I32, I32, I32, I32, I32, I32],
  results: [I32],
  locals: [I32, I32, V128, V128, V128, V128, V128, V128],
} as const;

const swapLanes = (local: number): Code => join(get(local), get(local), shuffle([2, 3, 0, 1]));
const at = (base: number, offset: number): Code => join(get(base), get(offset), OPS.i32Add);
const isFinite = (local: number): Code => join(get(local), both(Infinity), OPS.less);

/** Reverses the sign of one lane of what is on the stack. */
const flipSign = (lane: 0 | 1): Code =>
  join(words(lane === 0 ? [0, SIGN_BIT, 0, 0] : [0, 0, 0, SIGN_BIT]), OPS.xor);
const SIGN_BIT = 1 << 31;

/** One step up in both lanes: `above` of `lib/interval/rounding.ts`, for what is no -Infinity. */
function roundUp(local: number): Code {
  const step = join(get(local), OPS.abs, both(RELATIVE_STEP), OPS.multiply);
  return join(get(local), step, both(SMALLEST_STEP), OPS.add, OPS.add, set(local));
}

/**
 * Z := the product or quotient of two intervals, rounded up. With n the negated lower end and u
 * the upper, X = (n n', n u') and Y = (u n', u u') hold what the four pairs of ends give, but for
 * sign. The upper end is the largest of X0, -X1, -Y0, Y1; the negated lower end that of -X0, X1,
 * Y0, -Y1.
 */
function fourfold(a: number, b: number, operation: Code): Code {
  const splat = (lanes: readonly number[]): Code => join(get(a), get(a), shuffle(lanes));
  return join(
    join(splat([0, 1, 0, 1]), get(b), operation, flipSign(1), set(X)),
    join(splat([2, 3, 2, 3]), get(b), operation, flipSign(0), set(Y)),
    join(get(X), get(Y), OPS.largerNumber, set(Z)),
    join(get(X), OPS.negate, get(Y), OPS.negate, OPS.largerNumber, set(X)),
    join(get(X), get(Z), shuffle([0, 1, 4, 5]), get(X), get(Z), shuffle([2, 3, 6, 7])),
    join(OPS.largerNumber, set(Z)),
    roundUp(Z),
  );
}

const loadOperand = (offset: number, place: number, value: number): Code =>
  join(
    join(at(CODE, OFFSET), loadI32(place), set(offset)),
    join(at(VALUE, offset), load(0), set(value)),
  );
const loadLeft = loadOperand(LEFT, LEFT_AT, A);
const loadRight = loadOperand(RIGHT, RIGHT_AT, B);

/** Branches to one of nested blocks, the innermost for the first, by the step of the row. */
function bySteps(cases: readonly Code[]): Code {
  const dispatch = join(at(CODE, OFFSET), loadI32(0), branchTable([...cases.keys()]));
  return cases.reduce((inner, next) => join(block(inner), next), dispatch);
}

const openOf = (offset: number): Code => join(at(CODE, offset), loadI32(OPEN_AT));
const stopHere = join(get(OFFSET), leave);

/** Row after row upwards; returns the offset of the first row that it leaves to the caller. */
function encloseFunction(): WasmFunction {
  // Depth of the block that stores Z, seen from the code of each step.
  const done = (step: number): Code => branch(STOP - step);
  const advance = join(get(OFFSET), i32(ROW), OPS.i32Add, set(OFFSET));
  const cases = bySteps([
    join(advance, branch(STOP + 1)),
    join(loadLeft, swapLanes(A), set(Z), get(LEFT), set(RIGHT), done(1)),
    join(loadLeft, loadRight, get(A), get(B), OPS.add, set(Z), roundUp(Z), done(2)),
    join(loadLeft, loadRight, get(A), swapLanes(B), OPS.add, set(Z), roundUp(Z), done(3)),
    join(loadLeft, loadRight, fourfold(A, B, OPS.multiply), done(4)),
    join(
      join(loadLeft, loadRight),
      // A divisor that can be zero: neither its negated lower end nor its upper end is below 0.
      join(get(B), both(0), OPS.greaterEqual, OPS.allTrueI64, branchIf(0)),
      fourfold(A, B, OPS.divide),
      done(5),
    ),
    stopHere,
  ]);
  const half = join(get(OFFSET), i32(1), OPS.i32ShiftRightUnsigned);
  const body = repeat(
    join(
      join(get(OFFSET), get(END), OPS.i32GreaterEqualUnsigned, when(stopHere)),
      block(cases),
      join(isFinite(Z), OPS.allTrueI64, OPS.i32IsZero, when(stopHere)),
      join(at(VALUE, OFFSET), get(Z), store(0)),
      join(get(LOWER), half, OPS.i32Add, get(Z), OPS.negate, storeLane(0, 0)),
      join(get(UPPER), half, OPS.i32Add, get(Z), storeLane(0, 1)),
      join(at(CODE, OFFSET), openOf(LEFT), openOf(RIGHT), OPS.i32Or, storeI32(OPEN_AT)),
      advance,
      branch(0),
    ),
  );
  return { ...COMMON, name: "enclose", body: join(body, get(OFFSET)) };
}

/** Adds what the code leaves in a local to the adjoint of a row; rows of points take none. */
function accumulate(offset: number, value: number, code: Code = []): Code {
  return join(
    openOf(offset),
    when(
      join(
        code,
        join(at(ADJOINT, offset), load(0), set(X)),
        join(get(X), get(value), OPS.add, set(Y), roundUp(Y)),
        // What is added to nothing needs no rounding.
        join(get(value), get(Y), get(X), both(0), OPS.equal, OPS.bitselect, set(Y)),
        join(get(GOOD), isFinite(Y), OPS.and, set(GOOD)),
        join(at(ADJOINT, offset), get(Y), store(0)),
      ),
    ),
  );
}

/**
 * Adjoints of the operands, row after row downwards; returns the offset of a row that it leaves to
 * the caller, -1 at the end, or -2 where an adjoint is not finite.
 */
function gradientFunction(): WasmFunction {
  // Depth of the end of all cases, seen from the code of each step.
  const done = (step: number): Code => branch(STOP - step);
  const operands = join(
    join(at(CODE, OFFSET), loadI32(LEFT_AT), set(LEFT)),
    join(at(CODE, OFFSET), loadI32(RIGHT_AT), set(RIGHT)),
  );
  const valueOf = (offset: number): Code => join(at(VALUE, offset), load(0), set(B));
  const timesValueOf = (offset: number): Code =>
    join(valueOf(offset), fourfold(A, B, OPS.multiply));
  const unlessFinite = join(get(GOOD), OPS.allTrueI64, i32(2), OPS.i32Sub);
  // The seed of the row stands in A.
  const cases = bySteps([
    done(0),
    join(operands, swapLanes(A), set(Z), accumulate(LEFT, Z), done(1)),
    join(operands, accumulate(LEFT, A), accumulate(RIGHT, A), done(2)),
    join(operands, accumulate(LEFT, A), swapLanes(A), set(Z), accumulate(RIGHT, Z), done(3)),
    join(
      operands,
      accumulate(LEFT, Z, timesValueOf(RIGHT)),
      accumulate(RIGHT, Z, timesValueOf(LEFT)),
      done(4),
    ),
    join(
      join(operands, valueOf(RIGHT), fourfold(A, B, OPS.divide)),
      join(get(GOOD), isFinite(Z), OPS.and, set(GOOD), accumulate(LEFT, Z), get(Z), set(A)),
      // Times minus the value of the row: its lanes swapped.
      accumulate(
        RIGHT,
        Z,
        join(valueOf(OFFSET), swapLanes(B), set(B), fourfold(A, B, OPS.multiply)),
      ),
      done(5),
    ),
    join(get(GOOD), OPS.allTrueI64, when(stopHere), i32(-2), leave),
  ]);
  const body = repeat(
    join(
      join(get(OFFSET), i32(0), OPS.i32LessSigned, when(join(unlessFinite, leave))),
      join(at(ADJOINT, OFFSET), load(0), set(A)),
      join(get(A), both(0), OPS.notEqual, OPS.anyTrue, when(block(cases))),
      join(get(OFFSET), i32(ROW), OPS.i32Sub, set(OFFSET), branch(0)),
    ),
  );
  const start = join(words([-1, -1, -1, -1]), set(GOOD));
  return { ...COMMON, name: "gradient", body: join(start, body, i32(-2)) };
}

/** Pages of 64 KiB of an arena; tapes of 600 rows take one each. */
const ARENA_PAGES = 128;
const PAGE = 65_536;

interface Arena {
  readonly memory: WasmMemory;
  readonly enclose: (...places: number[]) => number;
  readonly gradient: (...places: number[]) => number;
  used: number;
}

let compiled: object | undefined;
let current: Arena | undefined;

/** Memory and code for a list of so many bytes; many tapes share an arena. */
function arenaFor(bytes: number): Arena {
  if (current !== undefined && current.used + bytes <= current.memory.buffer.byteLength)
    return current;
  compiled ??= new engine.Module(wasmModule([encloseFunction(), gradientFunction()]));
  const pages = Math.max(ARENA_PAGES, Math.ceil(bytes / PAGE));
  const memory = new engine.Memory({ initial: pages });
  const { exports } = new engine.Instance(compiled, { env: { memory } });
  const { enclose, gradient } = exports as unknown as Pick<Arena, "enclose" | "gradient">;
  current = { memory, enclose, gradient, used: 0 };
  return current;
}

/**
 * The work arrays of one tape and the loops over them. Views are shared with the caller, who
 * fills the rows that the loops leave to it.
 */
export class IntervalKernel {
  /** Ends of each row. */
  readonly lower: Float64Array;
  readonly upper: Float64Array;
  /** Minus the lower end and the upper end of each row, alternately; the same of its adjoint. */
  readonly value: Float64Array;
  readonly adjoint: Float64Array;
  /** Four words a row; the last is 1 where the row depends on a symbol that is no point. */
  readonly code: Int32Array;
  private readonly arena: Arena;
  private readonly places: readonly number[];

  constructor({ length, operation, left, right, constantLower, constantUpper }: Tape) {
    const arena = arenaFor(4 * ROW * length);
    const { buffer } = arena.memory;
    const begin = arena.used;
    arena.used += 4 * ROW * length;
    this.arena = arena;
    this.code = new Int32Array(buffer, begin, 4 * length);
    this.value = new Float64Array(buffer, begin + ROW * length, 2 * length);
    this.adjoint = new Float64Array(buffer, begin + 2 * ROW * length, 2 * length);
    this.lower = new Float64Array(buffer, begin + 3 * ROW * length, length);
    this.upper = new Float64Array(buffer, begin + 3.5 * ROW * length, length);
    this.places = [this.code, this.value, this.adjoint, this.lower, this.upper].map(
      ({ byteOffset }) => byteOffset,
    );
    for (let row = 0; row < length; row += 1) {
      const step = STEPS[operation[row]!] ?? STOP;
      this.code[4 * row] = step;
      this.code[4 * row + 1] = step === 0 ? 0 : ROW * left[row]!;
      this.code[4 * row + 2] = step === 0 || step === STOP ? 0 : ROW * right[row]!;
      this.set(row, constantLower[row]!, constantUpper[row]!);
    }
  }

  /** Sets the ends of a row. */
  set(row: number, lower: number, upper: number): void {
    this.lower[row] = lower;
    this.upper[row] = upper;
    this.value[2 * row] = -lower;
    this.value[2 * row + 1] = upper;
  }

  /** Encloses rows from one on; returns the first that is left to the caller, or their number. */
  enclose(row: number): number {
    return this.arena.enclose(...this.places, ROW * row, 8 * this.value.length) / ROW;
  }

  /**
   * Passes adjoints from a row downwards; returns the row that is left to the caller, -1 at the
   * end, or -2 where an adjoint is not finite.
   */
  gradient(row: number): number {
    const stopped = this.arena.gradient(...this.places, ROW * row, 0);
    return stopped < 0 ? stopped : stopped / ROW;
  }
}
