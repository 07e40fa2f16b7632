import { fillUniforms } from "../random/stream.ts";
import type { Distribution } from "../statistics/distribution.ts";
import { drawsSource } from "./trial-source.ts";
import { drawnDistributions, PASS, plainKernel, TRIAL_FUNCTIONS } from "./trial-kernel.ts";
import type { TrialBlock, TrialKernel, TrialRecipe, TrialRun } from "./trial-kernel.ts";
import { engine, wasmModule } from "../expression/wasm-code.ts";
import type { WasmMemory } from "../expression/wasm-code.ts";
import { EXPONENTIAL, LOGARITHM, normalsFunction } from "./wasm-elementary.ts";
import { cutShare, heldRows, isInner, trialsFunctions } from "./wasm-loop.ts";
import type { WasmLayout } from "./wasm-loop.ts";
import { COARSE_UNIFORMS, FINE_UNIFORMS } from "./wasm-philox.ts";
import type { PhiloxKey } from "../random/philox.ts";

const ROUNDS = 10;
const KEY_STEPS = [0x9e3779b9, 0xbb67ae85] as const;
/** Bytes for the keys of the rounds, each four times. */
const KEY_BYTES = ROUNDS * 2 * 16;
const BLOCK_BYTES = PASS * 8;
/** Two lists for the tails of the normal quantile, each a pass and a little more. */
const LIST_BYTES = BLOCK_BYTES + 32;
const TAIL_LISTS = { values: KEY_BYTES, places: KEY_BYTES + LIST_BYTES };
/** The parameters of a run, each twice. */
const PARAMETERS = KEY_BYTES + 2 * LIST_BYTES;
const MOST_PARAMETERS = 16;
const FIRST_BLOCK = PARAMETERS + MOST_PARAMETERS * 16;
const PAGE = 65_536;
const TWO_32 = 4_294_967_296;

/** Address of a block of the memory. */
const place = (block: number): number => FIRST_BLOCK + block * BLOCK_BYTES;

type FillDraws = (
  count: number,
  uniforms: readonly Float64Array[],
  functions: typeof TRIAL_FUNCTIONS,
  distributions: readonly (Distribution | undefined)[],
) => void;

type Fill = (
  target: number,
  groups: number,
  blockLow: number,
  blockHigh: number,
  identifier: number,
  drawWord: number,
  keys: number,
) => void;

interface Exports {
  readonly fineUniforms: Fill;
  readonly coarseUniforms: Fill;
  /** What does not depend on the parameters; only where there are some. */
  prepare?(bytes: number): void;
  normals(start: number, bytes: number, outside: number, inside: number): void;
  trials(bytes: number): void;
}

function writeKeys(memory: WasmMemory, key: PhiloxKey): void {
  const words = new Uint32Array(memory.buffer, 0, KEY_BYTES / 4);
  for (let round = 0; round < ROUNDS; round += 1)
    for (const half of [0, 1] as const) {
      const word = (key[half] + Math.imul(round, KEY_STEPS[half])) >>> 0;
      words.fill(word, (2 * round + half) * 4, (2 * round + half) * 4 + 4);
    }
}

function instantiate({ tape, plan, key }: TrialRecipe, layout: WasmLayout) {
  const blocks = layout.uniforms.length + layout.outputs.length + layout.held.length;
  const bytes = place(blocks);
  const memory = new engine.Memory({ initial: Math.ceil(bytes / PAGE) });
  writeKeys(memory, key);
  const calls = { exponential: 0, logarithm: 1 };
  const functions = [
    EXPONENTIAL,
    LOGARITHM,
    normalsFunction(TAIL_LISTS, calls.logarithm),
    FINE_UNIFORMS,
    COARSE_UNIFORMS,
    ...trialsFunctions(tape, plan, { layout, calls }),
  ];
  const compiled = new engine.Module(wasmModule(functions));
  const instance = new engine.Instance(compiled, { env: { memory } });
  return { memory, exports: instance.exports as unknown as Exports };
}

/**
 * A loop over trials in WebAssembly, two and more trials at a time, made for the model and with
 * the same bits as {@link plainKernel}, which stands in for inputs that are correlated without being
 * normal.
 */
export function trialKernel(recipe: TrialRecipe): TrialKernel {
  const { tape, plan, key } = recipe;
  const places = plan.flatMap(({ draw }) => (draw.kind === "parameter" ? [draw.place] : []));
  if (plan.some(({ draw }) => draw.kind === "jointQuantile")) return plainKernel(recipe);
  if (places.some((index) => index >= MOST_PARAMETERS)) return plainKernel(recipe);
  const streams = plan.flatMap((input) => input.streams);
  const firstOf: number[] = [];
  for (let input = 0, first = 0; input < plan.length; input += 1) {
    firstOf.push(first);
    first += plan[input]!.streams.length;
  }
  const held = heldRows(tape, plan);
  const layout: WasmLayout = {
    uniforms: streams.map((_, index) => place(index)),
    outputs: Array.from(tape.roots, (_, root) => place(streams.length + root)),
    held: held.map((_, index) => place(streams.length + tape.roots.length + index)),
    parameters: PARAMETERS,
  };
  const { memory, exports } = instantiate(recipe, layout);
  const view = (start: number) => new Float64Array(memory.buffer, start, PASS);
  const uniforms = layout.uniforms.map(view);
  const results = layout.outputs.map(view);
  const isOuter = plan.some(({ draw }) => !isInner(draw));
  const fill = new Function(
    "count",
    "uniforms",
    "functions",
    "distributions",
    drawsSource(plan, (draw) => !isInner(draw)),
  ) as FillDraws;
  const distributions = drawnDistributions(plan);
  const fillPass = (firstTrial: number, size: number): void => {
    streams.forEach((stream, index) => {
      const { identifier, drawWord, resolution } = stream;
      const perBlock = resolution === "coarse" ? 4 : 2;
      const block = firstTrial / perBlock;
      const groups = Math.ceil(size / (4 * perBlock));
      const [low, high] = [block >>> 0, Math.floor(block / TWO_32)];
      // Blocks of the generator are shared by trials: from the middle of one on, the slow way.
      if (firstTrial % perBlock !== 0 || low + 4 * groups >= TWO_32) {
        fillUniforms({ key, stream, firstTrial }, uniforms[index]!.subarray(0, size));
        return;
      }
      const fillStream = perBlock === 4 ? exports.coarseUniforms : exports.fineUniforms;
      fillStream(layout.uniforms[index]!, groups, low, high, identifier, drawWord, 0);
    });
    plan.forEach(({ draw }, input) => {
      const outside = cutShare(draw);
      if (outside === undefined) return;
      exports.normals(layout.uniforms[firstOf[input]!]!, 8 * size, outside, 1 - 2 * outside);
    });
    if (isOuter) fill(size, uniforms, TRIAL_FUNCTIONS, distributions);
  };
  const given = new Float64Array(memory.buffer, PARAMETERS, 2 * MOST_PARAMETERS);
  const sweep = ({ firstTrial, count }: TrialBlock, runs: readonly TrialRun[]): void => {
    for (let done = 0; done < count; done += PASS) {
      const size = Math.min(PASS, count - done);
      fillPass(firstTrial + done, size);
      exports.prepare?.(8 * size);
      for (const { parameters, outputs } of runs) {
        for (let index = 0; index < parameters.length; index += 1)
          given.fill(parameters[index]!, 2 * index, 2 * index + 2);
        exports.trials(8 * size);
        outputs.forEach((output, root) =>
          output.set(size === PASS ? results[root]! : results[root]!.subarray(0, size), done),
        );
      }
    }
  };
  return { sweep, run: (block, outputs) => sweep(block, [{ parameters: [], outputs }]) };
}
