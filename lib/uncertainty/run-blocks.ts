import { OutsideDomainError } from "../errors.ts";
import type { Tape } from "../expression/tape.ts";
import type { PhiloxKey } from "../random/philox.ts";
import { summariseBlock } from "./block-summary.ts";
import type { BlockRequest, BlockResult } from "./monte-carlo.ts";
import type { PlannedInput } from "./sampling-plan.ts";
import { plainKernel } from "./trial-kernel.ts";
import type { TrialKernel } from "./trial-kernel.ts";

/** Everything a worker needs to make trials; plain data. */
export interface TrialWork {
  readonly tape: Tape;
  readonly plan: readonly PlannedInput[];
  readonly key: PhiloxKey;
  readonly coverageProbability: number;
  /** Names of the roots, for messages. */
  readonly rootNames: readonly string[];
}

/** A tape whose roots are its own symbols. */
function inputsTape(tape: Tape): Tape {
  const { length } = tape.symbols;
  const rows = Int32Array.from({ length }, (_, slot) => slot);
  const zeros = new Float64Array(length);
  return {
    ...tape,
    length,
    operation: new Uint8Array(length).fill(1),
    left: rows,
    right: new Int32Array(length).fill(-1),
    constantLower: zeros,
    constantUpper: zeros,
    constantNearest: zeros,
    roots: rows,
    nodes: [],
  };
}

/** Says at which inputs a root is not finite. */
function refuseTrial(work: TrialWork, root: number, trial: number, value: number): never {
  const { tape, plan, key, rootNames } = work;
  const found = tape.symbols.map(() => new Float64Array(1));
  plainKernel({ tape: inputsTape(tape), plan, key }).run({ firstTrial: trial, count: 1 }, found);
  const inputs = tape.symbols.map((name, slot) => `${name} = ${found[slot]![0]}`).join(", ");
  throw new OutsideDomainError({
    path: `outputs.${rootNames[root]}`,
    quantity: `value of ${rootNames[root]}`,
    permitted: "finite for all values that the inputs may take",
    received: String(value),
    hint: `in trial ${trial} the inputs are ${inputs}`,
  });
}

function checkFinite(work: TrialWork, values: readonly Float64Array[], firstTrial: number): void {
  values.forEach((list, root) => {
    let sum = 0;
    for (let index = 0; index < list.length; index += 1) sum += list[index]! - list[index]!;
    // x - x is 0 for finite numbers and NaN for all others.
    if (sum === 0) return;
    const index = list.findIndex((value) => !Number.isFinite(value));
    refuseTrial(work, root, firstTrial + index, list[index]!);
  });
}

/** Bytes that the values of the blocks take, of so many roots. */
export function roomOf({ blocks, size, lastSize }: BlockRequest, roots: number): number {
  const { BYTES_PER_ELEMENT } = Float64Array;
  return ((blocks - 1) * size + lastSize) * roots * BYTES_PER_ELEMENT;
}

/** Where the values of each block lie in a room, one array per root. */
export function arraysIn(
  room: ArrayBufferLike,
  { blocks, size, lastSize }: BlockRequest,
  roots: number,
): Float64Array[][] {
  let place = 0;
  return Array.from({ length: blocks }, (_, index) => {
    const count = index === blocks - 1 ? lastSize : size;
    return Array.from({ length: roots }, () => {
      const values = new Float64Array(room, place, count);
      place += values.byteLength;
      return values;
    });
  });
}

/**
 * Makes the blocks asked for, in order, in the room given or in one of its own. Throws
 * OutsideDomainError where an output is not finite, with the inputs of that trial.
 */
export function runBlocks(
  work: TrialWork,
  request: BlockRequest,
  kernel: TrialKernel,
  room?: ArrayBufferLike,
): BlockResult[] {
  const { firstBlock, size } = request;
  const roots = work.tape.roots.length;
  const arrays = arraysIn(room ?? new ArrayBuffer(roomOf(request, roots)), request, roots);
  return arrays.map((values, index) => {
    const firstTrial = (firstBlock + index) * size;
    const count = values[0]!.length;
    kernel.run({ firstTrial, count }, values);
    checkFinite(work, values, firstTrial);
    const summaries = values.map((list) => summariseBlock(list, work.coverageProbability));
    return { summaries, values };
  });
}
