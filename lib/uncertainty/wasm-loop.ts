import type { Tape } from "../expression/tape.ts";
import type { Draw, PlannedInput } from "./sampling-plan.ts";
import {
  both,
  call,
  get,
  I32,
  i32,
  join,
  load,
  loop,
  OPS,
  set,
  store,
  V128,
} from "../expression/wasm-code.ts";
import type { Code, WasmFunction } from "../expression/wasm-code.ts";

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
  /** One block per row of {@link heldRows}. */
  readonly held: readonly number[];
  /** The parameters, each in both lanes. */
  readonly parameters: number;
}

/** Numbers of the functions that the loop calls. */
export interface WasmCalls {
  readonly exponential: number;
  readonly logarithm: number;
}

/** Whether a draw is made inside the loop; others are made before and stand in its first block. */
export function isInner(draw: Draw): boolean {
  switch (draw.kind) {
    case "constant":
    case "parameter":
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
  /** Where the parameters lie. */
  readonly parameters: number;
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
  const { u, v, score, scratch, parameters } = context;
  switch (draw.kind) {
    case "constant":
      return join(both(draw.value));
    case "parameter":
      return join(i32(0), load(parameters + 16 * draw.place));
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

/** Rows that a row is worked out from. */
function operandsOf(tape: Tape, row: number): number[] {
  const code = tape.operation[row]!;
  if (code < 2) return [];
  const isBinary = code >= 8 && code !== 14;
  return isBinary ? [tape.left[row]!, tape.right[row]!] : [tape.left[row]!];
}

/** Whether each row depends on a parameter. */
function dependentRows(tape: Tape, plan: readonly PlannedInput[]): boolean[] {
  const depends: boolean[] = [];
  for (let row = 0; row < tape.length; row += 1) {
    const isParameter =
      tape.operation[row] === 1 && plan[tape.left[row]!]!.draw.kind === "parameter";
    depends.push(isParameter || operandsOf(tape, row).some((operand) => depends[operand]!));
  }
  return depends;
}

/**
 * Rows that depend on no parameter and are needed by those that do, or are roots: worked out once
 * for all parameters and held in memory. None for a model without parameters.
 */
export function heldRows(tape: Tape, plan: readonly PlannedInput[]): readonly number[] {
  if (plan.every(({ draw }) => draw.kind !== "parameter")) return [];
  const depends = dependentRows(tape, plan);
  const needed = new Set<number>();
  for (let row = 0; row < tape.length; row += 1)
    if (depends[row]!) for (const operand of operandsOf(tape, row)) needed.add(operand);
  for (const root of tape.roots) needed.add(root);
  return [...needed].filter((row) => !depends[row]! && tape.operation[row] !== 0);
}

/** Writes loops over trials; each goes through some of the rows. */
class LoopWriter {
  private readonly tape: Tape;
  private readonly plan: readonly PlannedInput[];
  private readonly layout: WasmLayout;
  private readonly calls: WasmCalls;
  private readonly uniformOf: readonly number[];

  constructor(
    tape: Tape,
    plan: readonly PlannedInput[],
    { layout, calls }: { readonly layout: WasmLayout; readonly calls: WasmCalls },
  ) {
    this.tape = tape;
    this.plan = plan;
    this.layout = layout;
    this.calls = calls;
    let first = 0;
    this.uniformOf = plan.map(({ streams }) => {
      const place = first;
      first += streams.length;
      return place;
    });
  }

  private readonly score = (input: number): number => 3 + this.plan.length + input;
  private readonly rowLocal = (row: number): number => 3 + 2 * this.plan.length + row;

  private readonly value = (row: number): Code => {
    const { operation, constantNearest, left } = this.tape;
    if (operation[row] === 0) return both(constantNearest[row]!);
    return get(operation[row] === 1 ? inputLocal(left[row]!) : this.rowLocal(row));
  };

  /** Puts the value of a row where {@link value} finds it. */
  private keep(row: number): Code {
    const isInput = this.tape.operation[row] === 1;
    return set(isInput ? inputLocal(this.tape.left[row]!) : this.rowLocal(row));
  }

  private draws(inputs: ReadonlySet<number>): number[] {
    const { plan, layout, uniformOf } = this;
    const scores = plan.map(({ draw }, input) => {
      if (draw.kind !== "jointNormal" || inputs.size === 0) return [];
      return join(loadAt(layout.uniforms[uniformOf[input]!]), set(this.score(input)));
    });
    const values = plan.map(({ draw }, input) => {
      if (!inputs.has(input)) return [];
      const place = uniformOf[input]!;
      const context = {
        u: loadAt(layout.uniforms[place]),
        v: loadAt(layout.uniforms[place + 1]),
        score: this.score,
        scratch: 2,
        parameters: layout.parameters,
      };
      return join(drawCode(draw, context), set(inputLocal(input)));
    });
    return join(...scores, ...values);
  }

  /** Draws the inputs among the rows and works the others out. */
  rows(wanted: readonly number[]): number[] {
    const { tape, value, calls } = this;
    const inputs = new Set(
      wanted.filter((row) => tape.operation[row] === 1).map((row) => tape.left[row]!),
    );
    const pieces = wanted
      .filter((row) => tape.operation[row]! > 1)
      .map((row) => join(rowCode(tape, row, { value, calls }), set(this.rowLocal(row))));
    return join(this.draws(inputs), ...pieces);
  }

  /** Stores rows in blocks of the memory. */
  store(rows: ArrayLike<number>, blocks: readonly number[]): number[] {
    return join(
      ...Array.from(rows, (row, index) =>
        join(get(OFFSET), this.value(row), store(blocks[index]!)),
      ),
    );
  }

  /** Loads rows from blocks of the memory. */
  load(rows: readonly number[], blocks: readonly number[]): number[] {
    return join(...rows.map((row, index) => join(loadAt(blocks[index]), this.keep(row))));
  }

  function(name: string, body: Code): WasmFunction {
    const step = join(get(OFFSET), i32(16), OPS.i32Add, set(OFFSET));
    const locals = 1 + 2 * this.plan.length + this.tape.length;
    return {
      parameters: [I32],
      results: [],
      locals: [I32, ...Array.from({ length: locals }, () => V128)],
      name,
      body: loop(join(body, step, get(OFFSET), get(0), OPS.i32LessUnsigned)),
    };
  }
}

/**
 * The fused loop over a block of trials, two trials at a time: exported as `trials`, with the
 * number of bytes of one block as its parameter. Its results equal those of the JavaScript loop
 * bit for bit. For a model with parameters `prepare` has to run first, once for all parameters.
 */
export function trialsFunctions(
  tape: Tape,
  plan: readonly PlannedInput[],
  places: { readonly layout: WasmLayout; readonly calls: WasmCalls },
): readonly WasmFunction[] {
  const { layout } = places;
  const writer = new LoopWriter(tape, plan, places);
  const all = Array.from({ length: tape.length }, (_, row) => row);
  const results = writer.store(tape.roots, layout.outputs);
  if (plan.every(({ draw }) => draw.kind !== "parameter"))
    return [writer.function("trials", join(writer.rows(all), results))];
  const depends = dependentRows(tape, plan);
  const held = heldRows(tape, plan);
  const before = writer.rows(all.filter((row) => !depends[row]!));
  const after = writer.rows(all.filter((row) => depends[row]!));
  return [
    writer.function("prepare", join(before, writer.store(held, layout.held))),
    writer.function("trials", join(writer.load(held, layout.held), after, results)),
  ];
}
