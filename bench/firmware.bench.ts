// What firmware in the loop costs: the trapping build beside the plain one, a whole scenario beside
// the firmware alone; how close the search comes to what is proven, and how fast. Times are the processor's, so that whatever else the machine does counts less.
import { loadCampaign } from "../lib/command/load-campaign.ts";
import type { LoadedCampaign } from "../lib/command/load-campaign.ts";
import { WORST_CASE_RUNS } from "../properties/campaign/plan.ts";
import { play } from "../properties/campaign/play.ts";
import { runBlock } from "../properties/campaign/run-block.ts";
import { unbiasedDraw } from "../properties/arbitraries/draws.ts";
import { scenarioSpace } from "../properties/arbitraries/scenario-space.ts";
import { loadFirmware } from "../sim/firmware/firmware-files.ts";
import { firmwareSource } from "../sim/firmware/firmware-source.ts";

const path = (name: string): string => new URL(`../examples/${name}`, import.meta.url).pathname;
const manifest = path("21-trigger-firmware/build/trigger.firmware.json");
const design = path("03-good-at-34-volts/design.json");
const coarse = path("02-two-point/design.json");

const SCENARIOS = 60;
const TURNS = 5;
const SEEDS = [1, 2, 3];

/** ms of processor time. */
function cost(run: () => void): number {
  const before = process.cpuUsage().user;
  run();
  return (process.cpuUsage().user - before) / 1000;
}

const { subject, source, claims } = await loadCampaign({ design, firmware: [manifest] });
const space = scenarioSpace(subject.design, {
  kind: "opening",
  products: ["passive, switch off", "passive with bleeder"],
  contact: "real",
  after: 1.3,
  smallestCapacitance: subject.promises.smallestCapacitance,
});
const draws = Array.from({ length: SCENARIOS }, (_, k) => unbiasedDraw(space.parameters, 7, k));
const built = loadFirmware(manifest);
const builds = {
  trapping: firmwareSource(built).open(),
  plain: firmwareSource(built, { build: "plain" }).open(),
};
const episodes = draws.map((draw) => play(subject, builds.trapping, { space, draw }));
const samples = episodes.reduce((sum, { samplesTaken }) => sum + samplesTaken, 0);
const played = episodes.map(({ simulation, configuration, firstTick }) => ({
  codes: simulation.codes(),
  configuration,
  firstTick,
}));

/** Hands the same codes to a build once more, without a simulation. */
function handIn(build: keyof typeof builds): void {
  const firmware = builds[build];
  for (const { codes, configuration, firstTick } of played) {
    firmware.start(configuration);
    for (let next = 0; next < codes.length;) {
      const timeStamp = (firstTick + next * configuration.ticksPerSample) % 2 ** 32;
      const block = {
        timeStamp,
        missed: 0,
        saturated: 0,
        codes: [codes.subarray(next, next + 512)],
      };
      const outcome = firmware.samples(block);
      if (outcome.kind !== "used" || outcome.action?.kind === "endOfMeasurement") break;
      next += outcome.used;
    }
    firmware.report();
  }
}

const least = { trapping: Infinity, plain: Infinity, whole: Infinity };
const instance = source.open();
const whole = (): void => {
  for (const draw of draws) play(subject, instance, { space, draw });
};
for (const build of ["trapping", "plain"] as const) for (let k = 0; k < 5; k += 1) handIn(build);
// By turns, so that whatever else the machine does slows all.
for (let turn = 0; turn < TURNS; turn += 1) {
  least.trapping = Math.min(
    least.trapping,
    cost(() => handIn("trapping")),
  );
  least.plain = Math.min(
    least.plain,
    cost(() => handIn("plain")),
  );
  least.whole = Math.min(least.whole, cost(whole));
}
/** Shares of the proven bound that the search reaches, with what a run of it costs. */
function strength(name: string, of: Pick<LoadedCampaign, "subject" | "source" | "claims">): string {
  const work = { claims: of.claims, subject: of.subject, firmware: of.source, corpus: {} };
  const shares = (["search", "witness"] as const).map((method) => {
    let least = Infinity;
    let spent = 0;
    for (const seed of SEEDS) {
      const key = { claims: ["voltage"], method, block: 0, runs: WORST_CASE_RUNS };
      spent += cost(() => {
        const { tallies } = runBlock({ ...work, seed }, key);
        least = Math.min(least, 1 - tallies[0]!.worst!.margin);
      });
    }
    const each = spent / SEEDS.length / WORST_CASE_RUNS;
    return `${(100 * least).toFixed(1)} % (${each.toFixed(1)} ms for a run)`;
  });
  return (
    `worst error found over the proven bound, ${name}, ${WORST_CASE_RUNS} runs, least of ` +
    `${SEEDS.length} seeds: unaided ${shares[0]}, from the witnesses ${shares[1]}`
  );
}

const ns = (ms: number): string => ((ms * 1e6) / samples).toFixed(1);
console.log(
  `firmware: plain ${ns(least.plain)} ns per sample, trapping ${ns(least.trapping)} ns: ` +
    `${(least.trapping / least.plain).toFixed(2)} times`,
);
console.log(
  `scenario of ${(samples / SCENARIOS).toFixed(0)} samples: ` +
    `${(least.whole / SCENARIOS).toFixed(2)} ms, ${(least.whole / least.trapping).toFixed(2)} times ` +
    `the firmware alone; ${((1000 * SCENARIOS) / least.whole).toFixed(0)} scenarios per second of ` +
    "one processor",
);
console.log(strength("16 bits", { subject, source, claims }));
console.log(strength("10 bits", await loadCampaign({ design: coarse, firmware: [manifest] })));
