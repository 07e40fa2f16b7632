// Falsified by: an arc that does not end where its source falls to the arc's voltage, or that adds
// voltage to the pins; a burst of noise whose size, band or distribution is not the one asked for,
// or that acts outside its time; a fault in either that is not reported.
import { describe, expect, it } from "vitest";
import { InvalidInputError } from "../../../lib/errors.ts";
import type { Disconnection, Disturbance, Scenario } from "../../../sim/scenario.ts";
import { simulate } from "../../../sim/simulate.ts";
import type { Simulation } from "../../../sim/simulate.ts";
import { AT_CREST, MAINS, passive } from "./scenarios.ts";

const CREST = 230 * Math.SQRT2;
const OMEGA = 2 * Math.PI * 50;

const across = (simulation: Simulation, instant: number): number =>
  simulation.voltageAt(["L", "N"], instant);

const mainsAt = (instant: number): number => CREST * Math.cos(OMEGA * instant);

interface Arc {
  readonly voltage: number;
  readonly resistance: number;
  readonly leastDuration: number;
}

function opening(instant: number, arc: Arc): Disconnection {
  const L = { instant, bounces: [], arc: { leastCurrent: 1e-3, ...arc } };
  return { ...AT_CREST.disconnection, L };
}

describe("an arc with a voltage", () => {
  const ohm = 1000;
  const farad = 1e-9;
  const arc = { voltage: 20, resistance: 2, leastDuration: 1e-5 };
  const ideal = { voltage: 0, resistance: 0, leastDuration: 0 };
  const henry = 1e-3;
  // An inductance keeps the current flowing while the arc's voltage appears.
  const mains = { ...MAINS, inductance: henry, capacitance: 1e-11 };
  const base: Scenario = { ...AT_CREST, mains, product: passive(ohm, farad), duration: 0.16 };

  it.each([
    [0.1, 1],
    [0.11, -1],
  ])("opened at %s s it ends where the source falls to its voltage", (instant, sign) => {
    const simulation = simulate({ ...base, disconnection: opening(instant, arc) });
    const [separates, ends] = simulation.events;
    expect([separates?.kind, ends?.kind]).toEqual(["contactSeparates", "arcEnds"]);
    // Algebra: the current is nothing where source = arc + what the capacitor and the inductance
    // still hold, R C u' and L i'.
    const held = (ohm * farad - henry / (ohm + arc.resistance)) * OMEGA * CREST;
    const end = (volts: number): number => instant + Math.acos((volts + held) / CREST) / OMEGA;
    expect(Math.abs(simulation.lastOpening! - end(arc.voltage))).toBeLessThan(5e-7);
    // An arc without voltage lives to the zero of the current, 0.2 ms later at 20 V.
    const longer = simulate({ ...base, disconnection: opening(instant, ideal) }).lastOpening!;
    expect(Math.abs(longer - end(0))).toBeLessThan(5e-7);
    expect(longer - simulation.lastOpening!).toBeCloseTo(Math.asin(20 / CREST) / OMEGA, 6);
    // While it burns the pins carry the source less the arc, divided by load and arc.
    const middle = instant + 0.002;
    const divided = ((mainsAt(middle) - sign * arc.voltage) * ohm) / (ohm + arc.resistance);
    expect(across(simulation, middle) / divided).toBeCloseTo(1, 3);
    expect(Math.abs(across(simulation, middle))).toBeLessThan(Math.abs(mainsAt(middle)));
  });

  it("in front of a capacitor it ends at once, or at the crest where it outlives the start", () => {
    // The arc's voltage turns the current of a capacitor round until the capacitor has given way.
    const run = (leastDuration: number): Simulation => {
      const disconnection = opening(0.103, { ...arc, leastDuration });
      return simulate({ ...AT_CREST, disconnection, product: passive(0), duration: 0.2 });
    };
    const brief = run(0);
    expect(brief.events.map(({ kind }) => kind)).toEqual(["contactSeparates", "arcEnds"]);
    expect(brief.lastOpening).toBe(0.103);
    expect(across(brief, 0.103)).toBeCloseTo(mainsAt(0.103), 6);
    // 20 V behind the source, so that the negative crest is 305 V on the pins.
    const longer = run(1e-5);
    expect(Math.abs(longer.lastOpening! - 0.11)).toBeLessThan(3e-6);
    expect(across(longer, longer.lastOpening!)).toBeCloseTo(20 - CREST, 2);
  });

  it("needs a resistance, and no figure below zero", () => {
    const broken = opening(0.1, { ...arc, resistance: 0 });
    expect(() => simulate({ ...base, disconnection: broken })).toThrow(
      /resistance must be greater than zero, received 0 \(disconnection\.L\.arc\.resistance\)/,
    );
    const negative = opening(0.1, { voltage: -1, resistance: -1, leastDuration: -1 });
    expect(() => simulate({ ...base, disconnection: negative })).toThrow(/3 faults/);
  });
});

describe("a burst of noise on the mains", () => {
  const burst = {
    kind: "burst",
    from: 0.05,
    to: 0.85,
    voltage: 12,
    lowest: 1000,
    highest: 4000,
    tones: 24,
    seed: 3,
  } as const;
  const scenario = (disturbances: readonly Disturbance[]): Scenario => ({
    ...AT_CREST,
    disconnection: { closedResistance: 0, openResistance: 0, openCapacitance: 0 },
    mains: { ...MAINS, disturbances },
    duration: 1,
  });
  const noisy = simulate(scenario([burst]));
  const noise = (simulation: Simulation, instant: number): number =>
    across(simulation, instant) - mainsAt(instant);
  const COUNT = 16_384;
  const STEP = 0.8 / COUNT;
  const values = Array.from({ length: COUNT }, (_, k) => noise(noisy, 0.05 + (k + 0.5) * STEP));

  it("has the effective value asked for and a distribution close to normal", () => {
    const moment = (power: number): number =>
      values.reduce((sum, value) => sum + value ** power, 0) / COUNT;
    expect(Math.abs(Math.sqrt(moment(2)) / 12 - 1)).toBeLessThan(0.01);
    // Algebra: equal sines at unrelated frequencies have a kurtosis of 3 - 3 / (2 n).
    expect(Math.abs(moment(4) / moment(2) ** 2 - (3 - 1.5 / 24))).toBeLessThan(0.15);
    expect(Math.abs(moment(1))).toBeLessThan(0.1);
  });

  it("has its power spread evenly over its band and none outside", () => {
    /** Share of the power between two frequencies: sums of squares of Fourier coefficients. */
    const power = (low: number, high: number): number => {
      let sum = 0;
      for (let k = Math.ceil(low * 0.8); k < high * 0.8; k += 1) {
        let [c, s] = [0, 0];
        for (const [n, value] of values.entries()) {
          // A raised cosine keeps the ends of the record from leaking.
          const window = 1 - Math.cos((2 * Math.PI * (n + 0.5)) / COUNT);
          c += window * value * Math.cos((2 * Math.PI * k * n) / COUNT);
          s += window * value * Math.sin((2 * Math.PI * k * n) / COUNT);
        }
        sum += (2 * (c * c + s * s)) / (COUNT * COUNT * 1.5);
      }
      return sum / 144;
    };
    expect(power(1000, 2000)).toBeCloseTo(1 / 3, 1);
    expect(power(4020, 4200)).toBeLessThan(1e-4);
    expect(power(800, 980)).toBeLessThan(1e-4);
  });

  it("acts inside its time only, and another seed is another burst", () => {
    for (const instant of [0.01, 0.0499, 0.86, 0.99])
      expect(Math.abs(noise(noisy, instant))).toBeLessThan(1e-9);
    const other = simulate(scenario([{ ...burst, seed: 4 }]));
    expect(noise(other, 0.3)).not.toBe(noise(noisy, 0.3));
    expect(simulate(scenario([burst])).codes()).toEqual(noisy.codes());
    expect(noisy.events.map(({ kind }) => kind)).toEqual(["mainsChanges", "mainsChanges"]);
  });

  it("reports every figure that is not permitted", () => {
    const broken = { ...burst, to: 0.01, voltage: -1, lowest: 0, highest: 2e6, tones: 0, seed: -1 };
    try {
      simulate(scenario([broken]));
      expect.unreachable();
    } catch (error) {
      const paths = (error as InvalidInputError).faults.map(({ path }) => path);
      const names = ["to", "voltage", "lowest", "highest", "tones", "seed"];
      expect(paths).toEqual(names.map((name) => `mains.disturbances[0].${name}`));
    }
  });
});
