// Falsified by: a bridge of four diodes whose bulk does not swing with the mains behind an earthed
// neutral; pins that leave the bulk's terminals by more than a diode after the opening; a bulk that
// charges otherwise than with both diodes of a pair at once; charge that is gained at a switching.
import { describe, expect, it } from "vitest";
import type { Product, Scenario } from "../../../sim/scenario.ts";
import { simulate } from "../../../sim/simulate.ts";
import type { Simulation } from "../../../sim/simulate.ts";
import { AT_CREST, MAINS } from "./scenarios.ts";

const CREST = 230 * Math.SQRT2;

const product = {
  kind: "rectifier",
  capacitance: 2.2e-7,
  bleeder: 1e6,
  bulk: 4.7e-5,
  load: 3300,
  forwardVoltage: 1.6,
  resistance: 1.5,
  earthCapacitance: { L: 2.2e-9, N: 2.2e-9 },
  earthResistance: { L: 0, N: 0 },
  bulkEarthCapacitance: 1e-9,
} as const satisfies Product;

function scenario(changes: Partial<Scenario> = {}): Scenario {
  return {
    ...AT_CREST,
    mains: { ...MAINS, resistance: 0.5, phaseTurns: 0.06 },
    product,
    disconnection: { ...AT_CREST.disconnection, N: { instant: 0.1, bounces: [] } },
    tester: { ground: "PE", channels: ["L", "N"], inputCapacitance: 25e-12, earthCapacitance: 0 },
    duration: 1,
    ...changes,
  };
}

interface Nodes {
  readonly l: number;
  readonly n: number;
  readonly plus: number;
  readonly minus: number;
}

function nodesAt(simulation: Simulation, instant: number): Nodes {
  const at = (node: string): number => simulation.nodeVoltageAt(node, instant);
  return { l: at("L"), n: at("N"), plus: at("bulk"), minus: at("bulkMinus") };
}

describe("a bridge of four diodes", () => {
  const simulation = simulate(scenario());

  it("the bulk swings with the mains: near neutral in one half wave, at the crest in the other", () => {
    // Behind an earthed neutral the conducting diode joins the bulk's end to L or to N (algebra).
    const crest = 0.06 - 0.0012;
    const [up, down] = [nodesAt(simulation, crest), nodesAt(simulation, crest + 0.01)];
    expect(up.minus - up.n).toBeGreaterThan(0.8);
    expect(up.minus - up.n).toBeLessThan(2);
    expect(down.plus).toBeLessThan(-0.7);
    expect(down.minus - down.l).toBeGreaterThan(0.7);
    expect(down.minus).toBeLessThan(2 - CREST * 0.98);
  });

  it("no pin ever leaves the bulk's terminals by more than a diode's drop", () => {
    for (let instant = 0; instant < 1; instant += 0.000613) {
      const { l, n, plus, minus } = nodesAt(simulation, instant);
      // Half the drop, and the conducting resistance at the largest charging current.
      const room = simulation.lastOpening! < instant ? 0.8001 : 60;
      expect(Math.max(l, n) - plus).toBeLessThan(room);
      expect(minus - Math.min(l, n)).toBeLessThan(room);
    }
  });

  it("after the opening the common mode is that of pins and bulk together", () => {
    // While a diode of each end conducts, all capacitances to earth share one voltage, and the
    // two dividers of the tester discharge their sum.
    const opened = simulation.lastOpening!;
    const charge = (instant: number): number => {
      const { l, n, minus } = nodesAt(simulation, instant);
      return 2.2e-9 * (l + n) + 1e-9 * minus + 25e-12 * (l + n);
    };
    // Nothing jumps when the poles open and when a diode starts or stops: charge is kept.
    for (const { instant } of simulation.events) {
      if (instant < opened) continue;
      const step = charge(instant) - charge(instant - 1e-9);
      expect(Math.abs(step)).toBeLessThan(1e-6 * Math.abs(charge(opened)));
    }
    const input = 1.003e8;
    const [from, to] = [opened + 0.01, opened + 0.06];
    let drained = 0;
    const steps = 2000;
    for (let k = 0; k < steps; k += 1) {
      const { l, n } = nodesAt(simulation, from + ((k + 0.5) / steps) * (to - from));
      drained += (((l + n) / input) * (to - from)) / steps;
    }
    // The bias of the two dividers adds a little of its own.
    expect(Math.abs((charge(from) - charge(to)) / drained - 1)).toBeLessThan(0.02);
  });

  it("with hardly any capacitance to earth it charges its bulk as one without", () => {
    const { bulkEarthCapacitance: _, ...floating } = product;
    const small = { ...product, bulkEarthCapacitance: 1e-12 };
    const [one, other] = [small, floating].map((chosen) =>
      simulate(scenario({ product: chosen, duration: 0.3 })),
    ) as [Simulation, Simulation];
    for (let instant = 0.02; instant < 0.3; instant += 0.0037) {
      const bulk = (one_: Simulation, minus: number): number =>
        one_.nodeVoltageAt("bulk", instant) - minus;
      const own = bulk(one, one.nodeVoltageAt("bulkMinus", instant));
      // The simple bridge counts its bulk from the pin its current returns to.
      const across = other.nodeVoltageAt("bulk", instant);
      const simple = [other.nodeVoltageAt("L", instant), other.nodeVoltageAt("N", instant)].map(
        (pin) => across - pin,
      );
      expect(Math.min(...simple.map((volts) => Math.abs(volts - own)))).toBeLessThan(0.3);
    }
  });

  it("a capacitance below zero is refused", () => {
    const broken = { ...product, bulkEarthCapacitance: -1e-9 };
    expect(() => simulate(scenario({ product: broken }))).toThrow(
      /bulkEarthCapacitance must be zero or above, received -1e-9/,
    );
  });
});
