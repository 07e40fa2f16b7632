import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { measurementModel } from "../lib/chain/measurement-model.ts";
import { readDesign } from "../lib/design/read-design.ts";
import { compileTape } from "../lib/expression/tape.ts";
import { keyOfSeed } from "../lib/random/stream.ts";
import type { Distribution } from "../lib/statistics/distribution.ts";
import { summariseBlock } from "../lib/uncertainty/block-summary.ts";
import {
  evaluateUncertaintyOnPool,
  openTrialPool,
} from "../lib/uncertainty/evaluate-in-parallel.ts";
import { evaluateUncertainty } from "../lib/uncertainty/evaluate-uncertainty.ts";
import type { InputQuantity, UncertaintyModel } from "../lib/uncertainty/measurement-model.ts";
import { prepareModel } from "../lib/uncertainty/prepare-model.ts";
import { planSampling } from "../lib/uncertainty/sampling-plan.ts";
import { plainKernel } from "../lib/uncertainty/trial-kernel.ts";
import type { TrialKernel } from "../lib/uncertainty/trial-kernel.ts";
import { errorModel } from "../lib/uncertainty/error-model.ts";
import { DEFAULT_TRIALS, uncertaintyAlong } from "../lib/uncertainty/uncertainty-along.ts";
import { trialKernel } from "../lib/uncertainty/wasm-kernel.ts";

// Speed of the Monte Carlo on a 20-quantity chain with a quantiser and an exponential, beside the
// same chain in numpy and in C, in one run. Processor time, so that other work on the machine
// counts less; each contender takes its turn in every round and the least time is kept.

const ROUNDS = 5;
const TRIALS = 1_000_000;

const flat = (half: number): Distribution => ({ shape: "rectangular", lower: -half, upper: half });
const several = (prefix: string, count: number, distribution: Distribution): InputQuantity[] =>
  Array.from({ length: count }, (_, index) => ({ name: `${prefix}${index}`, distribution }));

/** The chain; the baselines have the same one. */
function chain(voltage: number): UncertaintyModel {
  const infix = "code * 0.001 * 101 / (1 + r8) + 1e-3*n2 + r9 + r10*0.1 + 1e-4*n3 + r11*s1";
  const definitions = [
    { name: "top", infix: `${voltage} * exp(-r0 * (1 + r1)) * (1 + r2) * (1 + r3)` },
    { name: "ratio", infix: "100 * (1 + r4 + 1e-5*t0) / (1 + r5 + 1e-5*t1)" },
    { name: "node", infix: "top / (1 + ratio) + 1e-4*n0 + 1e-5*s0" },
    { name: "code", infix: "floor(node / (0.001 * (1 + r6) * (1 + r7)) + 0.1*n1 + 0.5)" },
  ];
  return {
    outputs: { indication: { infix, definitions } },
    inputs: [
      ...several("r", 12, flat(0.001)),
      ...several("s", 2, flat(1)),
      ...several("n", 4, { shape: "normal", mean: 0, standardDeviation: 1 }),
      ...several("t", 2, { shape: "triangular", lower: -1, upper: 1 }),
    ],
  };
}

/** One contender's finding. */
interface Timing {
  readonly nanoseconds: number;
  readonly mean: number;
  readonly deviation: number;
}

function timeKernel(kernel: TrialKernel, trials: number, withSummary: boolean): Timing {
  const size = 10_000;
  const values = [new Float64Array(size)];
  let [total, squares] = [0, 0];
  const start = process.cpuUsage();
  for (let first = 0; first < trials; first += size) {
    kernel.run({ firstTrial: first, count: size }, values);
    for (const value of values[0]!) {
      total += value;
      squares += value * value;
    }
    if (withSummary) summariseBlock(values[0]!, 0.95);
  }
  const { user, system } = process.cpuUsage(start);
  const mean = total / trials;
  const deviation = Math.sqrt(squares / trials - mean * mean);
  return { nanoseconds: ((user + system) * 1_000) / trials, mean, deviation };
}

function attempt<T>(what: string, action: () => T): T | undefined {
  try {
    return action();
  } catch (error) {
    const reason = error instanceof Error ? error.message.split("\n")[0] : String(error);
    console.log(`${what}: left out (${reason})`);
    return undefined;
  }
}

const here = (name: string) => fileURLToPath(new URL(name, import.meta.url));

function runForJson(program: string, parameters: readonly string[]): Timing {
  const stdio: ["ignore", "pipe", "ignore"] = ["ignore", "pipe", "ignore"];
  return JSON.parse(execFileSync(program, parameters, { encoding: "utf8", stdio })) as Timing;
}

function contenders(folder: string): ReadonlyMap<string, () => Timing> {
  const model = prepareModel(chain(34));
  const tape = compileTape(
    model.outputs,
    model.inputs.map(({ name }) => name),
  );
  const recipe = { tape, plan: planSampling(model), key: keyOfSeed(1) };
  const [fast, plain] = [trialKernel(recipe), plainKernel(recipe)];
  const found = new Map<string, () => Timing>([
    ["WebAssembly", () => timeKernel(fast, TRIALS, false)],
    ["WebAssembly with sorted blocks", () => timeKernel(fast, TRIALS, true)],
    ["plain JavaScript", () => timeKernel(plain, TRIALS / 5, false)],
  ]);
  const script = here("./monte-carlo-baseline.py");
  const numpy = () => runForJson("python3", [script, String(TRIALS)]);
  if (attempt("numpy", () => runForJson("python3", [script, "1"])) !== undefined)
    found.set("numpy in chunks", numpy);
  const compiled = attempt("C", () => {
    const target = join(folder, "baseline");
    const source = here("./monte-carlo-baseline.c");
    execFileSync("gcc", ["-O3", "-o", target, source, "-lm"], { stdio: "ignore" });
    return target;
  });
  if (compiled !== undefined) found.set("C at -O3", () => runForJson(compiled, [String(TRIALS)]));
  return found;
}

function compareKernels(folder: string): void {
  const all = contenders(folder);
  const best = new Map<string, Timing>();
  for (let round = 0; round < ROUNDS; round += 1)
    for (const [name, run] of all) {
      const timing = run();
      if (timing.nanoseconds < (best.get(name)?.nanoseconds ?? Infinity)) best.set(name, timing);
    }
  const ours = best.get("WebAssembly")!.nanoseconds;
  for (const [name, { nanoseconds, mean, deviation }] of best)
    console.log(
      `${name.padEnd(32)}${nanoseconds.toFixed(1).padStart(8)} ns per trial, ` +
        `${(nanoseconds / ours).toFixed(2)} of ours; ` +
        `mean ${mean.toFixed(3)}, standard deviation ${deviation.toFixed(4)}`,
    );
}

async function wallTime(action: () => unknown): Promise<number> {
  const start = performance.now();
  await action();
  return (performance.now() - start) / 1_000;
}

/** Wall time of a long run and of 40 voltages, on one core and on two workers. */
async function compareWorkers(): Promise<void> {
  const voltages = Array.from({ length: 40 }, (_, index) => 10 + 10 * index);
  const pool = openTrialPool(2);
  await evaluateUncertaintyOnPool(chain(34), { trials: 200_000 }, pool);
  let [alone, together, sweepAlone, sweep] = [Infinity, Infinity, Infinity, Infinity];
  const long = { trials: 16_000_000 } as const;
  const short = { trials: 100_000 } as const;
  for (let round = 0; round < ROUNDS; round += 1) {
    alone = Math.min(alone, await wallTime(() => evaluateUncertainty(chain(34), long)));
    together = Math.min(
      together,
      await wallTime(() => evaluateUncertaintyOnPool(chain(34), long, pool)),
    );
    const all = () => voltages.map((voltage) => evaluateUncertainty(chain(voltage), short));
    sweepAlone = Math.min(sweepAlone, await wallTime(all));
    const onPool = () =>
      Promise.all(
        voltages.map((voltage) => evaluateUncertaintyOnPool(chain(voltage), short, pool)),
      );
    sweep = Math.min(sweep, await wallTime(onPool));
  }
  await pool.close();
  const line = (what: string, one: number, two: number) =>
    console.log(
      `${what}: ${one.toFixed(2)} s on one core, ${two.toFixed(2)} s on two workers, ` +
        `speed-up ${(one / two).toFixed(2)}`,
    );
  line("16 million trials", alone, together);
  line("40 voltages of 100000 trials", sweepAlone, sweep);
}

/** Spread of the interval ends between seeds, relative to the width of the interval. */
async function stability(): Promise<void> {
  const pool = openTrialPool(2);
  const ends: number[][] = [[], []];
  let width = 0;
  for (let seed = 1; seed <= 10; seed += 1) {
    const options = { trials: 100_000, seed };
    const { outputs } = await evaluateUncertaintyOnPool(chain(34), options, pool);
    const { lower, upper } = outputs.indication!.monteCarlo!.symmetricInterval;
    ends[0]!.push(lower);
    ends[1]!.push(upper);
    width += (upper - lower) / 10;
  }
  await pool.close();
  const worst = Math.max(
    ...ends.map((list) => {
      const mean = list.reduce((sum, value) => sum + value / list.length, 0);
      return Math.sqrt(list.reduce((sum, value) => sum + (value - mean) ** 2 / 9, 0));
    }),
  );
  console.log(
    `interval ends of 100000 trials between 10 seeds: standard deviation ` +
      `${((100 * worst) / width).toFixed(2)} % of the interval's width`,
  );
}

/**
 * The error of demo designs at 40 voltages on one core: time, and how steady the interval ends are
 * before rounding (after it they move in whole steps).
 */
function sweepDesigns(trials: number): void {
  const places = Array.from({ length: 40 }, (_, index) => 10 + 10 * index);
  for (const demo of ["01-no-adjustment", "03-good-at-34-volts"]) {
    const url = new URL(`../examples/${demo}/design.json`, import.meta.url);
    const model = measurementModel(readDesign(JSON.parse(readFileSync(url, "utf8"))));
    const swept = errorModel(model);
    const values = places.map((voltage) => swept.parametersAt(voltage));
    let least = Infinity;
    for (let round = 0; round < ROUNDS; round += 1) {
      const start = performance.now();
      uncertaintyAlong(swept, values, { trials });
      least = Math.min(least, performance.now() - start);
    }
    const smooth = { ...swept, rounded: swept.smooth };
    const unrest = uncertaintyAlong(smooth, values, { trials }).map(
      ({ monteCarlo }) => monteCarlo.endStability,
    );
    console.log(
      `${demo}, 40 voltages of ${trials} trials: ${(least / 1_000).toFixed(2)} s on one core; ` +
        `two standard deviations of an interval end at most ` +
        `${((100 * Math.max(...unrest)) / 2).toFixed(2)} % of the interval's width`,
    );
  }
}

/** Memory of a long run of the build, in a process of its own: the loader of sources takes some. */
function memory(trials: number): void {
  attempt(`memory of ${trials} trials from the build`, () => {
    const options = {
      encoding: "utf8",
      input: JSON.stringify({ model: chain(34), trials }),
    } as const;
    const told = execFileSync(process.execPath, [here("long-run-memory.mjs")], options);
    const { seconds, mebibytes } = JSON.parse(told) as { seconds: number; mebibytes: number };
    console.log(
      `${trials} trials: ${seconds.toFixed(1)} s, at most ${mebibytes.toFixed(0)} MiB resident`,
    );
  });
}

const folder = mkdtempSync(join(tmpdir(), "monte-carlo-"));
try {
  compareKernels(folder);
} finally {
  rmSync(folder, { recursive: true });
}
for (const trials of [100_000, DEFAULT_TRIALS]) sweepDesigns(trials);
await compareWorkers();
await stability();
memory(100_000_000);
