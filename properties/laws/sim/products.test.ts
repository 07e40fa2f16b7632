// Falsified by: a product, a contact or an arc that behaves otherwise than its closed form; an event
// that is not where the waveforms cross; charge or energy that is gained at a switching; codes that
// depend on how they are asked for; a broken scenario that is played.
import { createHash } from "node:crypto";
import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import { InvalidInputError, OutsideDomainError } from "../../../lib/errors.ts";
import { firstCrossing } from "../../../sim/crossing.ts";
import type { Product, Scenario } from "../../../sim/scenario.ts";
import { simulate } from "../../../sim/simulate.ts";
import type { Simulation } from "../../../sim/simulate.ts";
import { AT_CREST, MAINS, NO_STRAYS, demoDocument, passive } from "./scenarios.ts";
import type { EditableDesign } from "./scenarios.ts";
import { readDesign } from "../../../lib/design/read-design.ts";

const CREST = 230 * Math.SQRT2;

const across = (simulation: Simulation, instant: number): number =>
  simulation.voltageAt(["L", "N"], instant);

/** An arc without a voltage of its own. */
const IDEAL = { voltage: 0, resistance: 0, leastDuration: 0 };

const kinds = (simulation: Simulation): string[] => simulation.events.map(({ kind }) => kind);

const rectifier: Product = {
  kind: "rectifier",
  capacitance: 2.2e-7,
  bleeder: 1e6,
  bulk: 4.7e-5,
  load: 3300,
  forwardVoltage: 1.6,
  resistance: 1.5,
  ...NO_STRAYS,
};

describe("contacts", () => {
  it("an arc lives until the current passes zero: a capacitor opens at the crest", () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 9999 }), (tenthOfMicrosecond) => {
        const separated = 0.1 + tenthOfMicrosecond * 1e-6;
        const simulation = simulate({
          ...AT_CREST,
          disconnection: {
            ...AT_CREST.disconnection,
            L: {
              instant: separated,
              bounces: [],
              arc: { leastCurrent: 1e-9, ...IDEAL },
            },
          },
          product: passive(0),
          duration: 0.13,
        });
        expect(kinds(simulation)).toEqual(["contactSeparates", "arcEnds"]);
        // Next crest of either polarity, earlier by the little resistive current of the tester.
        const crest = Math.ceil(separated / 0.01) * 0.01;
        expect(Math.abs(simulation.lastOpening! - crest)).toBeLessThan(2e-6);
        expect(
          Math.abs(Math.abs(across(simulation, simulation.lastOpening!)) / CREST - 1),
        ).toBeLessThan(1e-6);
      }),
      { numRuns: 30, seed: 4301 },
    );
  });

  it("below the least current no arc forms", () => {
    const L = { instant: 0.103, bounces: [], arc: { leastCurrent: 1, ...IDEAL } };
    const disconnection = { ...AT_CREST.disconnection, L };
    const simulation = simulate({ ...AT_CREST, disconnection, duration: 0.2 });
    expect(kinds(simulation)).toEqual(["poleOpens"]);
    expect(simulation.lastOpening).toBe(0.103);
  });

  it("a bouncing contact pulls the pins back to the mains and the last opening counts", () => {
    const L = { instant: 0.1, bounces: [0.002, 0.001] };
    const simulation = simulate({
      ...AT_CREST,
      disconnection: { ...AT_CREST.disconnection, L },
      duration: 0.2,
    });
    expect(kinds(simulation)).toEqual(["poleOpens", "poleCloses", "poleOpens"]);
    expect(simulation.lastOpening).toBeCloseTo(0.103, 12);
    const mains = (instant: number): number => CREST * Math.cos(2 * Math.PI * 50 * instant);
    expect(across(simulation, 0.1019)).toBeGreaterThan(CREST * 0.99);
    expect(across(simulation, 0.1020001)).toBeCloseTo(mains(0.1020001), 9);
    expect(across(simulation, 0.1025)).toBeCloseTo(mains(0.1025), 9);
    const opened = simulation.lastOpening!;
    expect(across(simulation, opened)).toBeCloseTo(mains(opened), 9);
    expect(across(simulation, 0.19) / mains(opened)).toBeGreaterThan(0.75);
  });

  it("source resistance and inductance leave the mains where they should", () => {
    // A loaded source: the bleeder's share, and the drop of a capacitive load, which is a rise.
    const mains = { ...MAINS, resistance: 100, inductance: 0.01, capacitance: 1e-9 };
    const simulation = simulate({ ...AT_CREST, mains, product: passive(1e4), duration: 0.09 });
    const omega = 2 * Math.PI * 50;
    const y = { re: 1e-4 + 1e-8, im: omega * (1e-7 + 1e-9) };
    const z = { re: 100, im: omega * 0.01 };
    const real = 1 + z.re * y.re - z.im * y.im;
    const imaginary = z.re * y.im + z.im * y.re;
    const size = CREST / Math.hypot(real, imaginary);
    let largest = 0;
    for (let k = 0; k < 4000; k += 1)
      largest = Math.max(largest, across(simulation, 0.05 + k * 5e-6));
    expect(largest / size).toBeCloseTo(1, 5);
  });
});

describe("products", () => {
  it("a rectifier conducts while the pins exceed its bulk and blocks when its current ends", () => {
    const simulation = simulate({ ...AT_CREST, product: rectifier, duration: 0.1 });
    const charge = (t: number): number => simulation.nodeVoltageAt("bulk", t);
    const events = simulation.events.filter(({ instant }) => instant > 0.03 && instant < 0.099);
    expect(events.length).toBeGreaterThan(10);
    for (const { kind, instant } of events) {
      // Just before it conducts and just after it blocks, pins and bulk differ by the two diodes.
      const at = kind === "rectifierConducts" ? instant - 1e-9 : instant + 1e-9;
      const volts = Math.abs(across(simulation, at));
      const minus = simulation.nodeVoltageAt("N", at);
      const bulk = charge(at) - minus;
      const slope = kind === "rectifierConducts" ? 5e-4 : 5e-4;
      expect(Math.abs(volts - 1.6 - bulk)).toBeLessThan(slope);
    }
    // The bulk loses its charge through the load alone while nothing conducts.
    const [blocks, conducts] = [
      events.find(({ kind }) => kind === "rectifierBlocks")!.instant,
      events.find(
        ({ kind, instant }, k) => kind === "rectifierConducts" && k > 0 && instant > 0.04,
      )!.instant,
    ];
    const middle = (blocks + Math.min(conducts, blocks + 0.005)) / 2;
    const fall = charge(middle) / charge(blocks + 1e-9);
    expect(fall).toBeCloseTo(Math.exp(-(middle - blocks) / (4.7e-5 * 3300)), 5);
  });

  it("after opening, the pins of a rectifier cannot rise above the bulk", () => {
    const simulation = simulate({
      ...AT_CREST,
      mains: { ...MAINS, phaseTurns: 0.4 },
      disconnection: { ...AT_CREST.disconnection, L: { instant: 0.11, bounces: [] } },
      product: rectifier,
      duration: 1,
    });
    for (let t = 0.12; t < 0.99; t += 0.01) {
      const bulk = Math.abs(simulation.nodeVoltageAt("bulk", t) - simulation.nodeVoltageAt("N", t));
      expect(Math.abs(across(simulation, t))).toBeLessThan(bulk + 1.61);
    }
  });

  it("a rectifier whose current fades to nothing blocks once and does not chatter", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 10, max: 470 }),
        fc.integer({ min: 0, max: 99 }),
        (bulk, turn) => {
          const product: Product = {
            ...rectifier,
            capacitance: 3.2e-9,
            bleeder: 0,
            bulk: bulk * 1e-6,
            load: 2e4,
            resistance: 10,
          };
          const simulation = simulate({
            ...AT_CREST,
            mains: { ...MAINS, phaseTurns: turn / 100 },
            disconnection: { ...AT_CREST.disconnection, L: { instant: 0.11, bounces: [] } },
            product,
            duration: 3,
          });
          const alone = simulation.events.filter(({ instant }) => instant > 0.11);
          expect(alone.length).toBeLessThanOrEqual(4);
        },
      ),
      { numRuns: 40 },
    );
  });

  it("an active discharge waits for its delay, then falls with its own time constant", () => {
    const product: Product = {
      kind: "activeDischarge",
      capacitance: 6.8e-7,
      bleeder: 0,
      delay: 0.12,
      discharge: { resistance: 2e4 },
      ...NO_STRAYS,
    };
    const simulation = simulate({ ...AT_CREST, product, duration: 0.5 });
    expect(simulation.events.at(-1)).toMatchObject({ kind: "dischargeBegins" });
    expect(simulation.events.at(-1)!.instant).toBeCloseTo(0.22, 12);
    expect(across(simulation, 0.2199) / CREST).toBeGreaterThan(0.99);
    const fall = across(simulation, 0.24) / across(simulation, 0.22);
    expect(fall).toBeCloseTo(Math.exp(-0.02 / (6.8e-7 * 2e4)), 3);
  });

  it("a constant-current discharge falls in a straight line and ends at zero", () => {
    for (const phaseTurns of [0, 0.5]) {
      const product: Product = {
        kind: "activeDischarge",
        capacitance: 1e-6,
        bleeder: 0,
        delay: 0.1,
        discharge: { current: 5e-3 },
        ...NO_STRAYS,
      };
      const mains = { ...MAINS, phaseTurns };
      const simulation = simulate({ ...AT_CREST, mains, product, duration: 0.5 });
      expect(kinds(simulation)).toEqual(["poleOpens", "dischargeBegins", "dischargeEnds"]);
      const start = Math.abs(across(simulation, 0.2));
      const ended = simulation.events[2]!.instant;
      expect((ended - 0.2) / ((start * 1e-6) / 5e-3)).toBeCloseTo(1, 3);
      expect(Math.abs(across(simulation, ended))).toBeLessThan(1e-6);
      expect(Math.abs(across(simulation, ended + 0.01))).toBeLessThan(0.05);
    }
  });

  it("reconnection starts the delay of an active discharge anew", () => {
    const product: Product = {
      kind: "activeDischarge",
      capacitance: 6.8e-7,
      bleeder: 0,
      delay: 0.1,
      discharge: { resistance: 2e4 },
      ...NO_STRAYS,
    };
    const L = { instant: 0.1, bounces: [0.08, 0.02] };
    const disconnection = { ...AT_CREST.disconnection, L };
    const simulation = simulate({ ...AT_CREST, disconnection, product, duration: 0.5 });
    expect(simulation.events.at(-1)!.instant).toBeCloseTo(0.3, 9);
  });

  it("a product that runs down keeps its phase at the opening and dies with its time constant", () => {
    const product: Product = {
      kind: "runDown",
      capacitance: 1e-8,
      bleeder: 0,
      share: 1,
      resistance: 100,
      timeConstant: 0.2,
      frequencyRatio: 0.96,
      ...NO_STRAYS,
    };
    const simulation = simulate({ ...AT_CREST, product, duration: 0.6 });
    expect(across(simulation, 0.1)).toBeCloseTo(CREST, 6);
    const expected = (t: number): number =>
      CREST * Math.exp(-t / 0.2) * Math.cos(2 * Math.PI * 48 * t);
    for (const t of [0.01, 0.05, 0.2, 0.4])
      expect(Math.abs(across(simulation, 0.1 + t) - expected(t))).toBeLessThan(0.1);
  });

  it("an open circuit follows the mains when connected and discharges at once when not", () => {
    const product: Product = {
      kind: "open",
      earthCapacitance: { L: 2e-11, N: 2e-11 },
      earthResistance: { L: 0, N: 0 },
    };
    const simulation = simulate({ ...AT_CREST, product, duration: 0.2 });
    expect(across(simulation, 0.08)).toBeCloseTo(CREST, 9);
    // 20 pF through 100 Mohm: 2 ms.
    expect(across(simulation, 0.102) / CREST).toBeGreaterThan(0.3);
    expect(Math.abs(across(simulation, 0.15) / CREST)).toBeLessThan(0.01);
  });

  it("energy on the pins never rises after the last opening of a passive product", () => {
    const bleeder = fc.integer({ min: 0, max: 100 }).map((steps) => steps * 1e5);
    const farad = fc.integer({ min: 1, max: 1000 }).map((nano) => nano * 1e-9);
    fc.assert(
      fc.property(bleeder, farad, fc.integer({ min: 0, max: 19 }), (ohm, capacitance, phase) => {
        const product: Product = {
          kind: "passive",
          capacitance,
          bleeder: ohm,
          earthCapacitance: { L: 1e-10, N: 1e-10 },
          earthResistance: { L: 0, N: 0 },
        };
        const N = { instant: 0.1 + phase * 1e-3, bounces: [] };
        const simulation = simulate({
          ...AT_CREST,
          disconnection: { ...AT_CREST.disconnection, N },
          product,
          duration: 0.6,
        });
        let before = Infinity;
        const floor = 0.2;
        for (let t = simulation.lastOpening!; t < 0.59; t += 0.02) {
          const volts = Math.abs(across(simulation, t));
          // The tester's bias holds the pins at a fraction of a volt: below that nothing is claimed.
          expect(volts).toBeLessThanOrEqual(Math.max(before, 3 + floor));
          before = volts;
        }
      }),
      { numRuns: 25, seed: 4302 },
    );
  });
});

function digest(scenario: Scenario): string {
  return createHash("sha256").update(simulate(scenario).codes()).digest("hex").slice(0, 16);
}

describe("codes", () => {
  const noisy: Scenario = {
    ...AT_CREST,
    product: rectifier,
    noise: { kind: "random", seed: 5, cut: 4 },
    sampling: { phase: 3e-5, jitter: 0 },
    interference: true,
    duration: 0.5,
  };

  it("do not depend on the size of the blocks they are asked in, jitter or not", () => {
    for (const jitter of [0, 1e-6]) {
      const simulation = simulate({ ...noisy, sampling: { phase: 3e-5, jitter } });
      const whole = simulation.codes();
      for (const size of [1, 7, 64, 1000]) {
        const again = simulate({ ...noisy, sampling: { phase: 3e-5, jitter } });
        for (let first = 0; first + size <= 3000; first += size) {
          const block = new Int32Array(size);
          again.fillCodes(0, first, block);
          expect(block).toEqual(whole.subarray(first, first + size));
        }
      }
    }
  });

  it("the same scenario gives the same bits, on this and on every other engine", () => {
    // Pinned: only the four operations and the square root lead to a code.
    expect(digest(noisy)).toBe(digest(noisy));
    expect(digest(noisy)).toBe("92e2589f7627ba88");
    expect(digest({ ...AT_CREST, sampling: { phase: 1e-5, jitter: 0 } })).toBe("9b83798a2719ca30");
  });

  it("bursts, arcs, 1/f noise and a bridge of diodes are the same bits as well", () => {
    const burst = {
      from: 0.02,
      to: 0.05,
      voltage: 9,
      lowest: 1e3,
      highest: 5e3,
      tones: 5,
      seed: 2,
    };
    const arc = { leastCurrent: 1e-3, voltage: 15, resistance: 1, leastDuration: 2e-5 };
    const rich: Scenario = {
      ...noisy,
      mains: { ...MAINS, resistance: 0.5, disturbances: [{ kind: "burst", ...burst }] },
      disconnection: { ...noisy.disconnection, L: { instant: 0.1, bounces: [], arc } },
      product: { ...rectifier, bulkEarthCapacitance: 1e-9 } as Product,
      noise: { kind: "random", seed: 5, cut: 4, corner: 200 },
    };
    expect(digest(rich)).toBe("2252f2943311cc94");
  });

  it("another seed gives other noise and the same noise-free voltage", () => {
    const other = simulate({ ...noisy, noise: { kind: "random", seed: 6, cut: 4 } });
    const one = simulate(noisy);
    expect(other.codes()).not.toEqual(one.codes());
    expect(other.sampledVoltageAt(0, 0.3)).toBe(one.sampledVoltageAt(0, 0.3));
  });

  it("after eleven seconds the phase of the mains is what it was, to the last code", () => {
    const late: Scenario = {
      ...AT_CREST,
      disconnection: { ...AT_CREST.disconnection, L: { instant: 11, bounces: [] } },
      duration: 11,
    };
    const simulation = simulate(late);
    const [early, end] = [new Int32Array(200), new Int32Array(200)];
    simulation.fillCodes(0, 200, early);
    simulation.fillCodes(0, 109_600, end);
    expect(end).toEqual(early);
    expect(across(simulation, 10.98)).toBeCloseTo(CREST, 9);
  });

  it("an overdriven buffer holds its code until it has recovered", () => {
    const document = demoDocument();
    document.buffer.overloadRecovery = "2 ms";
    delete document["filter"];
    const design = readDesign(document);
    const mains = {
      ...MAINS,
      disturbances: [{ kind: "level", from: 0.02, to: 0.04, factor: 2 } as const],
    };
    const codes = simulate({ ...AT_CREST, design, mains, duration: 0.09 }).codes();
    const held = simulate({ ...AT_CREST, mains, duration: 0.09 }).codes();
    const top = Math.max(...codes);
    const last = codes.lastIndexOf(top);
    // The code was at its end while the pins had long fallen below the swing.
    const without = simulate({
      ...AT_CREST,
      design: readDesign(withoutRecovery(document)),
      mains,
      duration: 0.09,
    }).codes();
    expect(last - without.lastIndexOf(top)).toBe(20);
    expect(held.length).toBe(codes.length);
  });
});

function withoutRecovery(document: EditableDesign): unknown {
  const copy = structuredClone(document);
  delete copy.buffer["overloadRecovery"];
  return copy;
}

describe("bad scenarios", () => {
  it("all faults are reported at once", () => {
    const broken: Scenario = {
      ...AT_CREST,
      duration: -1,
      mains: {
        ...MAINS,
        frequency: 0,
        inductance: 1e-3,
        disturbances: [{ kind: "level", from: 0.2, to: 0.1, factor: 1 }],
      },
      disconnection: { ...AT_CREST.disconnection, L: { instant: 0.1, bounces: [0.001, -1, 0.1] } },
      product: { ...passive(0), capacitance: 0 } as Product,
      tester: { ...AT_CREST.tester, channels: ["N"] },
      sampling: { phase: Number.NaN, jitter: 1e-6 },
    };
    expect(() => simulate(broken)).toThrow(InvalidInputError);
    try {
      simulate(broken);
    } catch (error) {
      const paths = (error as InvalidInputError).faults.map(({ path }) => path);
      expect(paths).toEqual([
        "duration",
        "disconnection.L.bounces[1]",
        "disconnection.L.bounces",
        "mains.frequency",
        "mains.capacitance",
        "mains.disturbances[0].to",
        "product.capacitance",
        "tester.channels",
        "sampling.phase",
        "noise",
      ]);
    }
  });

  it("a sequence of noise begins at a sample and holds numbers", () => {
    const noise = { kind: "sequence", first: 0.5, values: [1, Number.NaN] } as const;
    expect(() => simulate({ ...AT_CREST, noise })).toThrow(
      /first must be an integer, received 0.5 \(noise\.first\)[\s\S]*\(noise\.values\[1\]\)/,
    );
  });

  it("a contact that chatters is refused, not followed for ever", () => {
    const bounces = Array.from({ length: 5_002 }, () => 1e-6);
    const L = { instant: 0.1, bounces };
    const disconnection = { ...AT_CREST.disconnection, L };
    expect(() => simulate({ ...AT_CREST, disconnection })).toThrow(
      expect.objectContaining({
        constructor: OutsideDomainError,
        message: expect.stringMatching(/events per second must be at most 5000/),
      }),
    );
  });

  it("an oscillation too fast for its duration is refused, and a node that is not there", () => {
    const never = {
      basis: { start: 0, rate: Float64Array.of(0, 0), frequency: Float64Array.of(0, 1e9) },
      re: Float64Array.of(-2, 1),
      im: Float64Array.of(0, 0),
    };
    expect(() => firstCrossing(never, 0, 1)).toThrow(/periods of the fastest oscillation/);
    const simulation = simulate({ ...AT_CREST, duration: 0.1 });
    expect(() => simulation.nodeVoltageAt("nowhere", 0.05)).toThrow(/one of .*divider0/);
  });

  it("pins without any capacitance to earth once both poles are open are refused", () => {
    const N = { instant: 0.1, bounces: [] };
    const disconnection = { ...AT_CREST.disconnection, N };
    expect(() => simulate({ ...AT_CREST, disconnection })).toThrow(/capacitance to earth/);
  });
});
