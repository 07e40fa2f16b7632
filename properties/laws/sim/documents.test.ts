// Falsified by: a scenario that changes on its way through JSON; a fault in a document that is not
// reported with its path; a CSV, a VCD or a picture that holds other figures than the simulation, or
// that an independent reader of the format does not understand; an example that plays differently.
import { createHash } from "node:crypto";
import { readFileSync, readdirSync } from "node:fs";
import { Ajv2020 } from "ajv/dist/2020.js";
import { describe, expect, it } from "vitest";
import { InvalidInputError, OutsideDomainError } from "../../../lib/errors.ts";
import {
  csvPieces,
  eventsToCsv,
  readScenario,
  scenarioDocument,
  scenarioJsonSchema,
  simulate,
  toCsv,
  toVcd,
  vcdPieces,
  waveformData,
  waveformSvg,
} from "../../../sim/index.ts";
import type { Scenario } from "../../../sim/index.ts";
import { demoDocument } from "./scenarios.ts";

const EXAMPLES = new URL("../../../examples/", import.meta.url);
const FOLDERS = readdirSync(EXAMPLES).filter((name) => /^1[1-5]-/.test(name));

function documentOf(folder: string): Record<string, unknown> {
  return JSON.parse(readFileSync(new URL(`${folder}/scenario.json`, EXAMPLES), "utf8"));
}

/** The example with the tests' own tester. */
function example(folder: string): Scenario {
  return readScenario(documentOf(folder), { loadDesign: demoDocument });
}

describe("scenario documents", () => {
  it.each(FOLDERS)("%s obeys the published JSON Schema", (folder) => {
    const validate = new Ajv2020({ strict: false }).compile(scenarioJsonSchema());
    expect(validate(documentOf(folder)), JSON.stringify(validate.errors)).toBe(true);
    expect(validate({ ...documentOf(folder), duration: true })).toBe(false);
  });

  it.each(FOLDERS)("%s comes back from JSON as the same scenario", (folder) => {
    const scenario = example(folder);
    const written = JSON.stringify(scenarioDocument(scenario, demoDocument() as never));
    const again = readScenario(JSON.parse(written));
    const { design: _, ...rest } = scenario;
    const { design: __, ...restAgain } = again;
    expect(restAgain).toEqual(rest);
    expect(simulate(again).codes()).toEqual(simulate(scenario).codes());
  });

  it("wrong shapes are reported together, each with its path", () => {
    const broken = {
      ...documentOf(FOLDERS[0]!),
      colour: "red",
      duration: true,
      tester: { ground: "X" },
      product: {
        kind: "activeDischarge",
        capacitance: "1 uF",
        delay: "1 ms",
        discharge: { resistance: true },
      },
    };
    const read = (): unknown => readScenario(broken, { loadDesign: demoDocument });
    expect(read).toThrow(InvalidInputError);
    try {
      read();
    } catch (error) {
      const paths = (error as InvalidInputError).faults.map(({ path }) => path).sort();
      expect(paths).toEqual([
        "colour",
        "duration",
        "product.discharge.current",
        "product.discharge.resistance",
        "tester.ground",
      ]);
    }
  });

  it("wrong units are reported together, then relations", () => {
    const base = documentOf(FOLDERS[0]!);
    const units = { ...base, duration: "2 V", limit: "34 ohm" };
    expect(() => readScenario(units, { loadDesign: demoDocument })).toThrow(/2 faults/);
    const relations = { ...base, duration: "-1 s", view: ["2 s", "1 s"] };
    expect(() => readScenario(relations, { loadDesign: demoDocument })).toThrow(/2 faults/);
    expect(() => readScenario(base)).toThrow(/no way to load one/);
  });
});

describe("codes and voltages as text", () => {
  const simulation = simulate(example("15-class-two-line-to-earth"));

  it("the CSV holds every sample of both channels as the simulation gives them", () => {
    const [head, ...lines] = toCsv(simulation).trimEnd().split("\n");
    expect(head).toBe(
      "sample,instant (s),code L-PE,indication L-PE (V),voltage L-PE (V)," +
        "code N-PE,indication N-PE (V),voltage N-PE (V)",
    );
    expect(lines).toHaveLength(simulation.sampleCount);
    const codes = [simulation.codes(0), simulation.codes(1)];
    for (const [index, line] of lines.entries()) {
      const fields = line.split(",").map(Number);
      expect(fields[0]).toBe(index);
      expect(fields[2]).toBe(codes[0]![index]);
      expect(fields[5]).toBe(codes[1]![index]);
      expect(fields[3]).toBe(simulation.indication(codes[0]![index]!, 0));
      expect(fields[7]).toBe(simulation.voltageAt(["N", "PE"], fields[1]!));
    }
  });

  it("long simulations come in pieces, and a stretch can be asked for", () => {
    expect([...csvPieces(simulation)].length).toBeGreaterThan(5);
    expect([...vcdPieces(simulation)].length).toBeGreaterThan(5);
    expect(toCsv(simulation, { first: 5, end: 7 }).trimEnd().split("\n")).toHaveLength(3);
  });

  it("the events stand in a CSV of their own", () => {
    expect(eventsToCsv(simulation)).toBe(
      "instant (s),event,pole\n0.1,poleOpens,L\n0.1,poleOpens,N\n",
    );
  });

  it("a reader written from IEEE 1364 gets the codes and the events back from the VCD", () => {
    const lines = toVcd(simulation).trimEnd().split("\n");
    const names = new Map<string, { name: string; kind: string; bits: number }>();
    let k = 0;
    for (; !lines[k]!.startsWith("$enddefinitions"); k += 1) {
      const variable = /^\$var (\w+) (\d+) (\S+) (\S+) \$end$/.exec(lines[k]!);
      if (variable === null) continue;
      const [, kind, bits, identifier, name] = variable;
      names.set(identifier!, { name: name!, kind: kind!, bits: Number(bits) });
    }
    expect(lines.slice(0, k)).toContain("$timescale 1 ns $end");
    const values = new Map<string, number>();
    const events: string[] = [];
    const codes: number[] = [];
    let time = -1;
    const sampled = (): void => {
      if (values.has("code_L_PE")) codes.push(values.get("code_L_PE")!);
    };
    for (const line of lines.slice(k + 1)) {
      if (line.startsWith("#")) {
        if (time >= 0 && time % 100_000 === 0) sampled();
        const next = Number(line.slice(1));
        expect(next).toBeGreaterThan(time);
        time = next;
        continue;
      }
      const vector = /^b([01]+) (\S+)$/.exec(line);
      const real = /^r(\S+) (\S+)$/.exec(line);
      const scalar = /^1(\S+)$/.exec(line);
      if (vector !== null) values.set(names.get(vector[2]!)!.name, Number.parseInt(vector[1]!, 2));
      else if (real !== null) expect(names.get(real[2]!)!.kind).toBe("real");
      else if (scalar !== null) events.push(`${time} ${names.get(scalar[1]!)!.name}`);
      else expect(line, "a line of a known kind").toBe("");
    }
    sampled();
    expect(events).toEqual(["100000000 poleOpens", "100000000 poleOpens"]);
    expect(Int32Array.from(codes)).toEqual(simulation.codes(0));
  });
});

describe("the picture of a waveform", () => {
  const simulation = simulate(example("14-bouncing-contact"));
  const view = { from: 0.06, to: 0.12, limit: 34 };

  it("draws the simulation's own figures, events numbered with a key", () => {
    const data = waveformData(simulation, view);
    for (const { instant, volts } of data.voltage)
      expect(volts).toBe(simulation.voltageAt(["L", "N"], instant));
    const codes = simulation.codes();
    for (const { instant, highest } of data.codes) {
      const sample = Math.round((instant - simulation.clock.phase) / simulation.clock.period);
      expect(highest).toBe(simulation.indication(codes[sample]!));
    }
    expect(data.codes.length).toBeGreaterThan(590);
    expect(data.events.map(({ number }) => number)).toEqual([1, 2, 3, 4]);
    expect(data.events[0]!.text).toMatch(/^83 ms contact separates, arcing \(L\)/);
  });

  it("is an SVG with title and description, the limit line, no colour, the same bytes twice", async () => {
    const svg = await waveformSvg(simulation, view);
    expect(svg).toMatch(/^<svg /);
    expect(svg).toContain('<title id="waveform-title">Unplugging by hand');
    expect(svg).toContain("dashed: limit line, 34 V");
    expect(svg).toContain('stroke-dasharray="7,4"');
    for (const colour of svg.match(/#[0-9a-f]{6}\b/g) ?? [])
      expect(
        colour.slice(1, 3) === colour.slice(3, 5) && colour.slice(3, 5) === colour.slice(5),
      ).toBe(true);
    expect(await waveformSvg(simulation, view)).toBe(svg);
  });

  it("a view outside the simulation is refused", () => {
    expect(() => waveformData(simulation, { from: 1, to: 9 })).toThrow(OutsideDomainError);
  });
});

describe("examples", () => {
  const expected = JSON.parse(
    readFileSync(new URL("examples.expected.json", import.meta.url), "utf8"),
  ) as Record<string, unknown>;

  it.each(FOLDERS)("%s plays as recorded", (folder) => {
    const simulation = simulate(example(folder));
    const { channels, ground } = simulation.scenario.tester;
    const [first] = channels;
    const record = {
      samples: simulation.sampleCount,
      lastOpening: simulation.lastOpening,
      events: simulation.events.length,
      voltages: [0.25, 0.5, 0.75, 1].map((share) =>
        Number(
          simulation
            .voltageAt([first!, ground], share * simulation.scenario.duration)
            .toPrecision(9),
        ),
      ),
      codes: createHash("sha256").update(simulation.codes()).digest("hex"),
    };
    expect(record).toEqual(expected[folder]);
  });

  it("there are five", () => {
    expect(FOLDERS).toHaveLength(5);
    expect(Object.keys(expected)).toEqual(FOLDERS);
  });
});
