import type { Tape } from "../expression/tape.ts";
import type { Draw, PlannedInput } from "./sampling-plan.ts";
import { both, call, get, I32, i32, join, load, loop, OPS, set, store, V128 } from "./wasm-code.ts";
import type { Code, WasmFunction } from "./wasm-code.ts";

/**
 * The share of the normal distribution that is cut off on either side, for draws that start from
 * a normal quantile; undefined for all others.
 */
export function cutShare(draw: Draw): number | undefined {
  return draw.kind === "normal" ? draw.outside : draw.kind === "jointNormal" ? 0 : undefined;
}

/** Where things lie in the memory of a module, bytes. */
export interface WasmLayout {
  /** One block of uniform numbers per uniform of the plan. */
  readonly uniforms: readonly number[];
  /** One block of results per root. */
  readonly outputs: readonly number[];
}

/** Numbers of the functions that the loop calls. */
export interface WasmCalls {
  readonly exponential: number;
  readonly logarithm: number;
}

/** Whether a draw is made inside the loop; others are made before and stand in its first block. */
export function isInner(draw: Draw): boolean {
  switch (draw.kind) {
    case "rectangular":
    case "triangular":
    case "twoPoint":
    case "curvilinearTrapezoid":
    case "normal":
    case "jointNormal":
      return true;
    default:
      return false;
  }
}

/** Local of the byte offset; local 0 is the number of bytes to go through. */
const OFFSET = 1;

const inputLocal = (input: number) => 3 + input;

const loadAt = (block: number | undefined): Code =>
  block === undefined ? [] : join(get(OFFSET), load(block));

interface Context {
  readonly u: Code;
  readonly v: Code;
  /** Local of the normal score of an input. */
  readonly score: (input: number) => number;
  /** A local for a value that is needed twice. */
  readonly scratch: number;
}

function triangularCode(draw: Draw & { kind: "triangular" }, { u, scratch }: Context): number[] {
  const { middle, half } = draw;
  return join(
    // The distance from the middle, negative: half (sqrt(2 tail) - 1).
    join(both(half), both(2), u, both(1), u, OPS.subtract, OPS.min, OPS.multiply),
    join(OPS.sqrt, both(1), OPS.subtract, OPS.multiply, set(scratch)),
    join(both(middle), get(scratch), OPS.add, both(middle), get(scratch), OPS.subtract),
    join(u, both(0.5), OPS.lessEqual, OPS.bitselect),
  );
}

/** Leaves the value of an input on the stack; the same operations as the JavaScript loop. */
function drawCode(draw: Draw, context: Context): number[] {
  const { u, v, score, scratch } = context;
  switch (draw.kind) {
    case "rectangular": {
      const inner = join(both(2), u, OPS.multiply, both(1), OPS.subtract, OPS.multiply);
      return join(both(draw.middle), both(draw.half), inner, OPS.add);
    }
    case "triangular":
      return triangularCode(draw, context);
    case "twoPoint":
      return join(both(draw.lower), both(draw.upper), u, both(0.5), OPS.less, OPS.bitselect);
    case "curvilinearTrapezoid": {
      const { lower, upper, limitUncertainty: d } = draw;
      return join(
        join(both(lower - d), both(2 * d), u, OPS.multiply, OPS.add, set(scratch)),
        join(get(scratch), both(lower + upper), get(scratch), OPS.subtract, get(scratch)),
        join(OPS.subtract, v, OPS.multiply, OPS.add),
      );
    }
    case "normal":
      // The quantile was put in place of the uniform number before.
      return join(both(draw.mean), both(draw.deviation), u, OPS.multiply, OPS.add);
    case "jointNormal": {
      const sum = draw.weights.flatMap(([input, weight], index) =>
        join(both(weight), get(score(input)), OPS.multiply, index > 0 ? OPS.add : []),
      );
      return join(both(draw.mean), both(draw.deviation), sum, OPS.multiply, OPS.add);
    }
    default:
      return join(u);
  }
}

const INSTRUCTION: Readonly<Record<number, Code>> = {
  2: OPS.negate,
  5: OPS.sqrt,
  6: OPS.abs,
  7: OPS.floor,
  8: OPS.add,
  9: OPS.subtract,
  10: OPS.multiply,
  11: OPS.divide,
  12: OPS.min,
  13: OPS.max,
};

/** Leaves the value of a row on the stack, from the values of earlier rows. */
function rowCode(
  tape: Tape,
  row: number,
  context: { value: (row: number) => Code; calls: WasmCalls },
) {
  const code = tape.operation[row]!;
  const a = context.value(tape.left[row]!);
  if (code === 3) return join(a, call(context.calls.exponential));
  if (code === 4) return join(a, call(context.calls.logarithm));
  if (code === 14) {
    const times = Array.from({ length: tape.right[row]! - 1 }, () => join(a, OPS.multiply));
    return join(a, ...times);
  }
  const instruction = INSTRUCTION[code]!;
  return code < 8 ? join(a, instruction) : join(a, context.value(tape.right[row]!), instruction);
}

/**
 * The fused loop over a block of trials, two trials at a time: exported as `trials`, with the
 * number of bytes of one block as its parameter. Its results equal those of the JavaScript loop
 * bit for bit.
 */
export function trialsFunction(
  tape: Tape,
  plan: readonly PlannedInput[],
  { layout, calls }: { readonly layout: WasmLayout; readonly calls: WasmCalls },
): WasmFunction {
  const scoreLocal = (input: number) => 3 + plan.length + input;
  const rowLocal = (row: number) => 3 + 2 * plan.length + row;
  const used = new Set<number>();
  for (let row = 0; row < tape.length; row += 1)
    if (tape.operation[row] === 1) used.add(tape.left[row]!);
  const pieces: number[][] = [];
  let first = 0;
  const uniformOf = plan.map(({ streams }) => {
    const place = first;
    first += streams.length;
    return place;
  });
  plan.forEach(({ draw }, input) => {
    if (draw.kind !== "jointNormal") return;
    const u = loadAt(layout.uniforms[uniformOf[input]!]);
    pieces.push(join(u, set(scoreLocal(input))));
  });
  plan.forEach(({ draw }, input) => {
    if (!used.has(input)) return;
    const place = uniformOf[input]!;
    const context = {
      u: loadAt(layout.uniforms[place]),
      v: loadAt(layout.uniforms[place + 1]),
      score: scoreLocal,
      scratch: 2,
    };
    pieces.push(join(drawCode(draw, context), set(inputLocal(input))));
  });
  const value = (row: number): Code =>
    tape.operation[row] === 0
      ? both(tape.constantNearest[row]!)
      : get(tape.operation[row] === 1 ? inputLocal(tape.left[row]!) : rowLocal(row));
  for (let row = 0; row < tape.length; row += 1)
    if (tape.operation[row]! > 1)
      pieces.push(join(rowCode(tape, row, { value, calls }), set(rowLocal(row))));
  tape.roots.forEach((row, root) =>
    pieces.push(join(get(OFFSET), value(row), store(layout.outputs[root]!))),
  );
  const step = join(get(OFFSET), i32(16), OPS.i32Add, set(OFFSET));
  return {
    parameters: [I32],
    results: [],
    locals: [I32, ...Array.from({ length: 1 + 2 * plan.length + tape.length }, () => V128)],
    name: "trials",
    body: loop(join(...pieces, step, get(OFFSET), get(0), OPS.i32LessUnsigned)),
  };
}
