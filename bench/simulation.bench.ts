// What a simulated sample costs, beside the same stepping in C and beside a general-purpose ODE
// library that solves the same network to the same accuracy.
import { spawnSync } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { codeNoise } from "../lib/design/converter-quantities.ts";
import { integrate } from "../properties/laws/sim/ode-oracle.ts";
import { AT_CREST } from "../properties/laws/sim/scenarios.ts";
import { buildCircuit } from "../sim/build-circuit.ts";
import { buildQuantiser } from "../sim/quantiser.ts";
import type { Scenario } from "../sim/scenario.ts";
import { lagged, valueAt } from "../sim/signal.ts";
import { simulate } from "../sim/simulate.ts";
import type { Simulation } from "../sim/simulate.ts";
import { solveCircuit } from "../sim/solve-circuit.ts";
import { startingState } from "../sim/world-state.ts";

const BLOCK = 100_000;
const RUNS = 60;

const quiet: Scenario = { ...AT_CREST, interference: true };
const noisy: Scenario = { ...quiet, noise: { kind: "random", seed: 5, cut: 4 } };

/** One run over the first ten seconds, one hundred thousand samples: ns per sample. */
function runOf(scenario: Scenario): () => number {
  const simulation = simulate({ ...scenario, duration: 11 });
  const codes = new Int32Array(BLOCK);
  return () => {
    const start = performance.now();
    simulation.fillCodes(0, 0, codes);
    return ((performance.now() - start) * 1e6) / BLOCK;
  };
}

/** Best of several runs. */
function perSample(scenario: Scenario): number {
  const run = runOf(scenario);
  return Math.min(...Array.from({ length: RUNS }, run));
}

perSample(noisy);
const alone = perSample(quiet);
const withNoise = perSample(noisy);
console.log(
  `product (a), full front end: ${alone.toFixed(1)} ns per sample without noise, ` +
    `${withNoise.toFixed(1)} ns with (${(1000 / withNoise).toFixed(1)} million samples per second)`,
);

// The same samples per call, so that only the duration differs.
const short = simulate({ ...noisy, duration: 1 });
const eleven = simulate({ ...noisy, duration: 11 });
function blocks(simulation: Simulation, first: number): number {
  const codes = new Int32Array(1000);
  let best = Infinity;
  for (let run = 0; run < 30; run += 1) {
    const start = performance.now();
    for (let k = 0; k < 9; k += 1) simulation.fillCodes(0, first + 1000 * k, codes);
    best = Math.min(best, ((performance.now() - start) * 1e6) / 9000);
  }
  return best;
}
console.log(
  `first second of 1 s ${blocks(short, 0).toFixed(1)} ns per sample, ` +
    `last second of 11 s ${blocks(eleven, 100_000).toFixed(1)} ns`,
);

globalThis.gc?.();
const before = process.memoryUsage().heapUsed;
const hour = simulate({ ...noisy, duration: 3600 });
const codes = new Int32Array(BLOCK);
for (let first = 0; first < hour.sampleCount; first += 10 * BLOCK) hour.fillCodes(0, first, codes);
const grown = (process.memoryUsage().heapUsed - before) / 1e6;
console.log(`an hour of ${hour.sampleCount} samples streamed: heap ${grown.toFixed(1)} MB more`);

let start = performance.now();
for (let run = 0; run < 200; run += 1) simulate(noisy);
console.log(`setting up one scenario: ${((performance.now() - start) / 200).toFixed(2)} ms`);

// The same stepping in C.
function inC(): void {
  const folder = mkdtempSync(join(tmpdir(), "stepping-"));
  const program = join(folder, "baseline");
  const source = new URL("simulation-baseline.c", import.meta.url).pathname;
  const built = spawnSync("cc", ["-O3", "-o", program, source, "-lm"]);
  if (built.status !== 0) {
    console.log("no C compiler here: the comparison with C is left out");
    rmSync(folder, { recursive: true });
    return;
  }
  const simulation = simulate(quiet);
  const { frontEnd } = simulation;
  const quantiser = buildQuantiser(frontEnd);
  const circuit = buildCircuit(quiet, startingState(quiet), frontEnd);
  let signal = solveCircuit(circuit, { instant: 0 }).voltage("divider0");
  for (const timeConstant of frontEnd.lags) signal = lagged(signal, { timeConstant });
  const { basis, re, im } = signal;
  const used = [...re.keys()].filter((k) => basis.rate[k] !== 0 || basis.frequency[k] !== 0);
  const constant = [...re.keys()]
    .filter((k) => !used.includes(k))
    .reduce((sum, k) => sum + re[k]!, 0);
  const lsb = codeNoise(quiet.design).toNumber() * quantiser.voltsPerCode;
  const { period } = simulation.clock;
  const head = [used.length, quantiser.edges.length - 1, period, constant];
  const lines = [
    [...head, quantiser.origin, quantiser.slope, lsb].join(" "),
    ...used.map((k) => [basis.rate[k], basis.frequency[k]! * 2 * Math.PI, re[k], im[k]].join(" ")),
    ...quantiser.edges.slice(1, -1),
  ];
  // Both step through the same connected mains, so that the same terms are alive.
  const { L: _, ...closed } = quiet.disconnection;
  for (const [name, flag, scenario] of [
    ["without noise", "0", quiet],
    ["with noise", "1", noisy],
  ] as const) {
    const run = runOf({ ...scenario, disconnection: closed });
    let [own, best] = [Infinity, Infinity];
    // By turns, so that whatever else the machine does slows both.
    for (let turn = 0; turn < RUNS; turn += 1) {
      own = Math.min(own, run());
      const { stdout } = spawnSync(program, [String(BLOCK), flag], { input: lines.join("\n") });
      best = Math.min(best, Number(stdout.toString().split(" ")[0]));
    }
    const ratio = (own / best).toFixed(2);
    console.log(
      `connected, ${name}: ${own.toFixed(1)} ns per sample, C at -O3 ${best.toFixed(1)} ns: ${ratio} times`,
    );
  }
  rmSync(folder, { recursive: true });
}
inC();

// The discharge after the opening, by a general-purpose ODE library.
const { frontEnd } = simulate(quiet);
const world = startingState(quiet);
world.contact.L = "open";
const circuit = buildCircuit({ ...quiet, interference: false }, world, frontEnd);
circuit.fixed.clear();
const grounded = {
  ...circuit,
  joins: [],
  resistors: circuit.resistors.map((one) => ({ ...one, ...earthed(one) })),
  capacitors: circuit.capacitors.map((one) => ({ ...one, ...earthed(one) })),
  currents: circuit.currents.map((one) => ({
    ...one,
    from: one.from === "N" ? "earth" : one.from,
  })),
};
function earthed({ a, b }: { a: string; b: string }): { a: string; b: string } {
  return { a: a === "N" ? "earth" : a, b: b === "N" ? "earth" : b };
}
const state = {
  voltage: new Map([
    ["L", 325],
    ["divider0", 2.1],
  ]),
  current: new Map<string, number>(),
};
const DURATION = 0.02;
start = performance.now();
const reference = integrate(grounded, state, DURATION);
const odeNs = ((performance.now() - start) * 1e6) / (DURATION * 10_000);
start = performance.now();
const solution = solveCircuit(grounded, { instant: 0, state });
const signal = solution.voltage("divider0");
for (let k = 0; k < DURATION * 10_000; k += 1) valueAt(signal, k / 10_000);
const ownNs = ((performance.now() - start) * 1e6) / (DURATION * 10_000);
const apart = Math.abs(valueAt(signal, DURATION) - reference.voltage.get("divider0")!);
console.log(
  `ODE library: ${odeNs.toFixed(0)} ns per sample; here ${ownNs.toFixed(0)} ns with the solution ` +
    `included, ${(odeNs / ownNs).toFixed(0)} times less; apart by ${apart.toExponential(1)} V`,
);
