// Falsified by: an example firmware that reads a disconnection wrongly, sees one on connected
// mains, answers otherwise when blocks are cut differently or memory held something else, or drifts
// over a thousand measurements.
import { describe, expect, test } from "vitest";
import * as fc from "fast-check";
import { fileURLToPath } from "node:url";
import { loadFirmware } from "../../../../sim/firmware/firmware-files.ts";
import { firmwareSource } from "../../../../sim/firmware/firmware-source.ts";
import { PORT_VERSION } from "../../../../sim/firmware/port.ts";
import type { Configuration, Firmware, Report } from "../../../../sim/firmware/port.ts";
import { simulate } from "../../../../sim/simulate.ts";
import type { Simulation } from "../../../../sim/simulate.ts";
import type { Disturbance, Scenario } from "../../../../sim/scenario.ts";
import { AT_CREST, MAINS } from "../scenarios.ts";

const PATH = "../../../../examples/21-trigger-firmware/build/trigger.firmware.json";
const BUILT = loadFirmware(fileURLToPath(new URL(PATH, import.meta.url)));
const TICKS = 100;

function configured({ constants }: Simulation): Configuration {
  return {
    port: PORT_VERSION,
    tickRate: 1_000_000,
    ticksPerSample: TICKS,
    codeBits: 10,
    trustedCodes: [12, 930],
    role: "single",
    channels: [{ zeroCode256: 131_072, ...constants[0]! }],
    fractionBits: 10,
    rounding: "nearest",
    resultUnit: 1000,
    triggerLevel: 40_000,
    lines: [{ level: 60_000, margin: 2_000 }],
    moments: [1_000_000],
    window: 20_000,
    windowPosition: "centred",
    inputLag: 500,
    mode: "watch",
  };
}

/** Report after all codes, or at the end of the measurement. */
function reportOn(simulation: Simulation, firmware: Firmware, block = 512): Report {
  const codes = simulation.codes();
  expect(firmware.start(configured(simulation))).toEqual({ kind: "started" });
  for (let next = 0; next < codes.length;) {
    const outcome = firmware.samples({
      timeStamp: next * TICKS,
      missed: 0,
      saturated: 0,
      codes: [codes.subarray(next, next + block)],
    });
    if (outcome.kind !== "used") throw new Error(JSON.stringify(outcome));
    if (outcome.action !== undefined) break;
    next += outcome.used;
  }
  const outcome = firmware.report();
  if (outcome.kind !== "report") throw new Error(JSON.stringify(outcome));
  return outcome.report;
}

function opened(thousandth: number, frequency = 50): Scenario {
  const mains = { ...MAINS, phaseTurns: thousandth / 1000, frequency };
  // Synchronising takes at most five periods of 45 Hz and a half.
  const L = { instant: 0.15, bounces: [] };
  const disconnection = { ...AT_CREST.disconnection, L };
  return { ...AT_CREST, mains, disconnection, duration: 1.2 };
}

describe("example firmware", () => {
  const firmware = firmwareSource(BUILT).open();

  test("reads a passive product within one code of its true voltage, 1 ms about the moment", () => {
    const phases = fc.record({
      phase: fc.integer({ min: 0, max: 999 }),
      frequency: fc.integer({ min: 45, max: 66 }),
    });
    fc.assert(
      fc.property(phases, ({ phase, frequency }) => {
        const simulation = simulate(opened(phase, frequency));
        const atOpening = Math.abs(simulation.voltageAt(["L", "N"], simulation.lastOpening!));
        fc.pre(atOpening > 60);
        const report = reportOn(simulation, firmware);
        expect(report.phase).toBe("finished");
        expect([...report.flags]).toEqual([]);
        const [reading] = report.readings;
        const instant = reading!.instant / 1e6;
        expect(Math.abs(instant - simulation.lastOpening! - 1)).toBeLessThan(1e-3);
        const truth = simulation.voltageAt(["L", "N"], instant);
        // One code is 0.94 V; the adjusted unit has no other error but rounding.
        expect(Math.abs(reading!.voltages[0]! / 1000 - truth)).toBeLessThan(0.94);
      }),
      { numRuns: 40 },
    );
  });

  test("sees no disconnection on connected mains with dips, swells and phase jumps", () => {
    const cases = fc.record({
      phase: fc.integer({ min: 0, max: 999 }),
      kind: fc.constantFrom("dip", "swell", "jump"),
      size: fc.integer({ min: 0, max: 99 }),
      at: fc.integer({ min: 2000, max: 2200 }),
      length: fc.integer({ min: 1, max: 12 }),
    });
    fc.assert(
      fc.property(cases, ({ phase, kind, size, at, length }) => {
        const from = at / 1e4;
        const level = { kind: "level", from, to: from + length / 1e3 } as const;
        const factor = kind === "dip" ? size / 100 : 1 + size / 1000;
        const disturbance: Disturbance =
          kind === "jump"
            ? { kind: "phaseJump", at: from, turns: (size - 50) / 100 }
            : { ...level, factor };
        const mains = { ...MAINS, phaseTurns: phase / 1000, disturbances: [disturbance] };
        const { L: _, ...disconnection } = AT_CREST.disconnection;
        const simulation = simulate({ ...AT_CREST, mains, disconnection, duration: 0.4 });
        const report = reportOn(simulation, firmware);
        expect(report.confirmation).toBeUndefined();
        expect(report.readings).toEqual([]);
      }),
      { numRuns: 150 },
    );
  });

  test("answers alike for blocks of 1, 7, 64 and all samples", () => {
    const simulation = simulate(opened(130));
    const whole = reportOn(simulation, firmware, simulation.sampleCount);
    expect(whole.readings).toHaveLength(1);
    for (const block of [1, 7, 64]) expect(reportOn(simulation, firmware, block)).toEqual(whole);
  });

  test("does not drift over 1 000 measurements, armed again after each, past the counter's wrap", () => {
    const simulation = simulate(opened(130));
    const codes = [simulation.codes()];
    const configuration = configured(simulation);
    const plain = firmwareSource(BUILT, { build: "plain" }).open();
    expect(plain.start(configuration)).toEqual({ kind: "started" });
    const shown = new Set<string>();
    for (let cycle = 0; cycle < 1_000; cycle += 1) {
      const timeStamp = (2 ** 32 - 600_000_000 + cycle * codes[0]!.length * TICKS) % 2 ** 32;
      const since = (tick: number): number => (tick - timeStamp + 2 ** 32) % 2 ** 32;
      const taken = plain.samples({ timeStamp, missed: 0, saturated: 0, codes });
      expect(taken).toMatchObject({ kind: "used", action: { kind: "endOfMeasurement" } });
      const outcome = plain.report();
      if (outcome.kind !== "report") throw new Error(JSON.stringify(outcome));
      const { opening, readings, flags, crossings } = outcome.report;
      const instants = [since(opening!), since(readings[0]!.instant)];
      shown.add(JSON.stringify([instants, readings[0]!.voltages, [...flags], crossings]));
      expect(plain.rearm(configuration)).toEqual({ kind: "started" });
    }
    expect([...shown]).toHaveLength(1);
  });

  test("answers alike whatever memory held, in both builds", () => {
    const simulation = simulate(opened(870));
    const first = reportOn(simulation, firmware);
    for (const build of ["trapping", "plain"] as const)
      for (const paint of ["zeros", "ones", "random"] as const) {
        const other = firmwareSource(BUILT, { build, paint }).open();
        expect(reportOn(simulation, other)).toEqual(first);
      }
  });
});
