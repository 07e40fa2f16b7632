// Falsified by: an exit code other than 0 for a scenario that plays and 2 for one that cannot; a
// fault that is passed over, or printed beside figures; a file that holds other figures than the
// simulation; a picture of another stretch than the scenario asks for; or two runs of one scenario
// that differ in a byte.
import { createHash } from "node:crypto";
import { mkdtempSync, readFileSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import {
  eventsToCsv,
  readScenario,
  readingOf,
  samplesAbout,
  simulate,
  toCsv,
  toVcd,
  waveformSvg,
} from "../../../sim/index.ts";
import type { ScenarioDocument, Simulation } from "../../../sim/index.ts";
import { runCommand } from "../../support/command-line.ts";
import type { CommandRun } from "../../support/command-line.ts";

const EXAMPLES = new URL("../../../examples/", import.meta.url);
const BOUNCING = "14-bouncing-contact";

const fileOf = (example: string): string =>
  fileURLToPath(new URL(`${example}/scenario.json`, EXAMPLES));

function documentOf(example: string): ScenarioDocument {
  const document = JSON.parse(readFileSync(fileOf(example), "utf8")) as ScenarioDocument;
  const design = fileURLToPath(new URL("02-two-point/design.json", EXAMPLES));
  return { ...document, design };
}

function simulationOf(example: string): Simulation {
  const loadDesign = (path: string): unknown => JSON.parse(readFileSync(path, "utf8"));
  return simulate(readScenario(documentOf(example), { loadDesign }));
}

const run = (...argv: readonly string[]) => runCommand("simulate", ...argv);

/** Bad input says why on the error stream and prints no figure. */
function expectRefused({ code, out, error }: CommandRun): string {
  expect(code).toBe(2);
  expect(out).toBe("");
  expect(error).not.toBe("");
  return error;
}

let folder = "";
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "plumbvolt-"));
});
afterAll(() => rmSync(folder, { recursive: true }));

function written(name: string, document: unknown): string {
  const file = join(folder, name);
  writeFileSync(file, typeof document === "string" ? document : JSON.stringify(document));
  return file;
}

const digestsIn = (place: string): string[] =>
  readdirSync(place)
    .sort()
    .map((name) => {
      const bytes = readFileSync(join(place, name));
      return `${name} ${createHash("sha256").update(bytes).digest("hex")}`;
    });

describe("a scenario on the command line", () => {
  test("prints every event and the reading of the simulation, and ends with 0", async () => {
    const { code, out, error } = await run(fileOf(BOUNCING));
    expect([code, error]).toEqual([0, ""]);
    const simulation = simulationOf(BOUNCING);
    const rows = [...out.matchAll(/^(\d\.\d{6}) {2}(?:contact|arc|pole)/gm)];
    expect(rows.map(([, instant]) => instant)).toEqual(
      simulation.events.map(({ instant }) => instant.toFixed(6)),
    );
    const stated = simulation.lastOpening! + 1;
    const { phase, period } = simulation.clock;
    const sample = Math.round((stated - phase) / period);
    const { design } = simulation.scenario;
    const window = design.timing?.window?.duration.toNumber() ?? 0;
    const reading = readingOf(simulation, samplesAbout(sample, design, window));
    const truth = simulation.voltageAt(["L", "N"], stated);
    const [, pins, shown] = /^(L-N) +(.+)$/m.exec(out)!;
    expect(pins).toBe("L-N");
    const figures = [truth, reading.indication, reading.indication - truth];
    expect(shown!.split(/ +/)).toEqual(figures.map((volts) => volts.toFixed(3)));
    expect(out).toContain("Caution: ");
    for (const line of out.split("\n")) expect(line.length).toBeLessThanOrEqual(100);
  });

  test("says so where nothing opens, and where the stated instant lies beyond the end", async () => {
    const { disconnection: _, ...connected } = documentOf(BOUNCING);
    const still = await run(
      written("still.json", { ...connected, duration: "0.1 s", view: ["0 s", "0.1 s"] }),
    );
    expect(still.code).toBe(0);
    expect(still.out).toContain("No pole opened");
    const brief = { ...documentOf(BOUNCING), duration: "0.5 s" };
    const { code, out } = await run(written("brief.json", brief));
    expect(code).toBe(0);
    expect(out).toContain("The scenario ends before the stated instant 1.092300 s.");
  });

  test("a rectifier's many events are counted, not all printed", async () => {
    const { code, out } = await run(fileOf("13-rectifier"));
    expect(code).toBe(0);
    const { events } = simulationOf("13-rectifier");
    expect(out).toContain(`${events.length - 12} more events`);
  });

  test("writes picture, events and samples that are the simulation's own", async () => {
    const place = join(folder, "out", "deep");
    const { code, out } = await run(fileOf(BOUNCING), "--out", place);
    expect(code).toBe(0);
    const names = ["waveform.svg", "events.csv", "samples.csv", "samples.vcd"];
    for (const name of names) expect(out).toContain(`written: ${join(place, name)}`);
    expect(readdirSync(place).sort()).toEqual([...names].sort());
    const simulation = simulationOf(BOUNCING);
    const read = (name: string): string => readFileSync(join(place, name), "utf8");
    expect(read("events.csv")).toBe(eventsToCsv(simulation));
    expect(read("samples.csv")).toBe(toCsv(simulation));
    expect(read("samples.vcd")).toBe(toVcd(simulation));
    // The stretch that the scenario asks to be shown, with its limit line.
    const view = { from: 0.06, to: 0.12, limit: 34 };
    expect(read("waveform.svg")).toBe(await waveformSvg(simulation, view));
  });

  test("gives the same bytes again", async () => {
    const [one, two] = [join(folder, "one"), join(folder, "two")];
    const example = fileOf("15-class-two-line-to-earth");
    const first = await run(example, "--out", one);
    const second = await run(example, "--out", two);
    expect(second.out.replaceAll(two, one)).toBe(first.out);
    expect(digestsIn(two)).toEqual(digestsIn(one));
    expect(digestsIn(one)).toHaveLength(4);
    const seeded = {
      ...documentOf("15-class-two-line-to-earth"),
      noise: { kind: "random", seed: 99 },
    };
    const other = join(folder, "other");
    await run(written("other.json", seeded), "--out", other);
    expect(digestsIn(other)).not.toEqual(digestsIn(one));
  });
});

describe("bad input", () => {
  test("is a file that is no scenario: missing, no JSON, or of another kind", async () => {
    expect(expectRefused(await run(join(folder, "no.json")))).toContain("ENOENT");
    const text = expectRefused(await run(written("text.json", "not JSON")));
    expect(text).toContain("scenario file must be a readable .json file");
    const design = fileURLToPath(new URL("02-two-point/design.json", EXAMPLES));
    expect(expectRefused(await run(design))).toMatch(/field must be .*plumbvolt\.scenario\/1/);
    expect(expectRefused(await run())).toContain("missing required argument 'scenario'");
    expect(expectRefused(await run(fileOf(BOUNCING), "--ou", folder))).toContain("'--ou'");
    const occupied = expectRefused(await run(fileOf(BOUNCING), "--out", fileOf(BOUNCING)));
    expect(occupied).toContain("output folder must be one that can be made");
  });

  test("is every figure that is not permitted, all at once, each with its path", async () => {
    const broken = {
      ...documentOf(BOUNCING),
      duration: "-1 s",
      view: ["2 s", "1 s"],
      product: { kind: "passive", capacitance: "0 F", bleeder: "-1 ohm" },
    };
    const error = expectRefused(await run(written("broken.json", broken), "--out", folder));
    expect(error).toContain("scenario: 4 faults");
    for (const path of ["duration", "view", "product.capacitance", "product.bleeder"])
      expect(error).toMatch(new RegExp(`must be .*, received .* \\(${path}\\)`));
    expect(error.match(/^ {2}- .* must be .*, received .*/gm)).toHaveLength(4);
    expect(error).not.toContain("NaN");
  });

  test("is a design that cannot be found, one with faults, and a drawn value it does not declare", async () => {
    const missing = { ...documentOf(BOUNCING), design: "nowhere.json" };
    expect(expectRefused(await run(written("missing.json", missing)))).toContain("ENOENT");
    const faulty = fileURLToPath(new URL("05-faulty/design.json", EXAMPLES));
    const poor = { ...documentOf(BOUNCING), design: faulty };
    expect(expectRefused(await run(written("poor.json", poor)))).toContain("design: 5 faults");
    const drawn = { ...documentOf(BOUNCING), quantities: { nothing: 1, adc_offset: 1e9 } };
    const error = expectRefused(await run(written("drawn.json", drawn)));
    expect(error).toContain("quantities.nothing");
    expect(error).toContain("quantities.adc_offset");
  });

  test("is a network that chatters or that doubles cannot resolve", async () => {
    const bounces = Array.from({ length: 5002 }, () => "1 us");
    const chattering = {
      ...documentOf(BOUNCING),
      disconnection: { L: { instant: "1 ms", bounces } },
    };
    const error = expectRefused(await run(written("chattering.json", chattering)));
    expect(error).toContain("events per second must be at most 5000");
    const stiff = {
      ...documentOf(BOUNCING),
      mains: { voltage: "230 V", frequency: "50 Hz", resistance: 1e-15 },
      product: { kind: "passive", capacitance: "1 F", earthResistance: { L: 1e15, N: 1e15 } },
    };
    const refused = expectRefused(await run(written("stiff.json", stiff)));
    expect(refused).toContain("ratio of the fastest rate of the network to the slowest");
  });
});
