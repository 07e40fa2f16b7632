// Falsified by: a quantity of the design that changes nothing and is not excepted with a reason; a
// static curve of the voltage coefficient that does not satisfy the divider's own equations; a
// network at rest that differs from that curve; a filter that lags otherwise than its closed form.
import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import { occasionsOf } from "../../../lib/design/occasions.ts";
import { readDesign } from "../../../lib/design/read-design.ts";
import { quantitiesOf } from "../../../lib/design/quantities.ts";
import { DrawnValues, reasonWithoutEffect } from "../../../sim/drawn-values.ts";
import { drawFrontEnd } from "../../../sim/front-end.ts";
import { buildQuantiser, codeOf } from "../../../sim/quantiser.ts";
import { readingOf, samplesAbout } from "../../../sim/reading.ts";
import type { Scenario } from "../../../sim/scenario.ts";
import { lagged, valueAt } from "../../../sim/signal.ts";
import { simulate } from "../../../sim/simulate.ts";
import { StaticTransfer } from "../../../sim/static-transfer.ts";
import { AT_CREST, NO_STRAYS, TWO_POINT, demoDocument } from "./scenarios.ts";

/** A design that declares nearly every quantity there is. */
function fullDesign() {
  const document = demoDocument();
  document.divider.networks = {
    pair: {
      tolerance: "0.1 %",
      tempco: "10 ppm/K",
      drift: { limit: "0.02 %", after: "1 year", law: "linear" },
    },
  };
  document.divider.upper[0].network = "pair";
  document.divider.lower[0].voltageCoefficient = "2 ppm/V";
  document.divider.bias.drift = { limit: "0.01 %", after: "1 year", law: "linear" };
  document.board.nodeToSupply = "50 Gohm";
  document.buffer.gainTempco = "5 ppm/K";
  document.buffer.crossoverStep = "0.2 mV";
  document.adc.offsetTempco = "0.01 LSB/K";
  document.adc.gainTempco = "5 ppm/K";
  document.adc.rise = ["2 K", "8 K"];
  document.adc.memory = "0.02 %";
  document.timing.clockDrift = { limit: "10 ppm", after: "1 year", law: "linear" };
  document.timing.jitter = "1 us";
  document.adjustment.age = "1 year";
  return readDesign(document);
}

/** Everything a scenario gives before it is rounded, as one list of figures. */
function outcome(scenario: Scenario): number[] {
  const simulation = simulate(scenario);
  const drawn = new DrawnValues(scenario.design, scenario.quantities, scenario);
  const edges = occasionsOf(scenario.design).flatMap((occasion) => [
    ...buildQuantiser(drawFrontEnd(drawn, occasion)).edges.filter(Number.isFinite),
    new StaticTransfer(drawFrontEnd(drawn, occasion)).linearNode(100),
  ]);
  return [
    ...edges,
    ...simulation.constants.flatMap(({ multiplier, addend }) => [multiplier, addend]),
    ...[0, 0.05, 0.5, 1.1].map((instant) => simulation.sampledVoltageAt(0, instant)),
    simulation.clock.period,
  ];
}

function drawWrong(): DrawnValues {
  const quantities = { upper1_tolerance: 0.5, nothing: 1, adc_offset: Number.NaN };
  return new DrawnValues(TWO_POINT, quantities, { outsideLimits: false });
}

describe("the front end drawn from the design", () => {
  it("every quantity of a design changes the simulation or is excepted with a reason", () => {
    const design = fullDesign();
    const declared = quantitiesOf(design);
    // Away from nominal, so that an ambient temperature meets tempcos that are not zero.
    const quantities = Object.fromEntries(
      declared.map(({ name, upper, lower, nominal }) => {
        const middle = nominal.toNumber();
        const end = upper.toNumber() === middle ? lower : upper;
        return [name, middle + 0.8 * (end.toNumber() - middle)];
      }),
    );
    const scenario = { ...AT_CREST, design, quantities };
    const base = outcome(scenario);
    const idle: string[] = [];
    const excepted: string[] = [];
    for (const { name, upper, lower } of declared) {
      // The applied voltage meets whole codes only: it is moved by some.
      const value = name.startsWith("applied")
        ? 20
        : 0.9 * lower.toNumber() + 0.1 * upper.toNumber();
      const changed = outcome({
        ...scenario,
        outsideLimits: true,
        quantities: { ...quantities, [name]: value },
      });
      const acts = changed.some((figure, index) => figure !== base[index]);
      const reason = reasonWithoutEffect(name);
      if (reason === undefined) {
        if (!acts) idle.push(name);
        continue;
      }
      excepted.push(name);
      expect(reason.length).toBeGreaterThan(10);
      expect(acts, name).toBe(false);
    }
    expect(declared.length).toBeGreaterThan(90);
    expect(excepted.length).toBeGreaterThan(5);
    expect(idle).toEqual([]);
  });

  it("the static curve satisfies the divider's equations with each part's own voltage", () => {
    const coefficient = fc.integer({ min: -200, max: 50 }).map((ppm) => ppm * 1e-6);
    const volts = fc.integer({ min: -430, max: 430 });
    const leak = fc.integer({ min: 0, max: 100 }).map((tenths) => tenths * 1e-12);
    fc.assert(
      fc.property(coefficient, coefficient, leak, volts, (first, second, across, pin) => {
        const frontEnd = {
          ...drawFrontEnd(new DrawnValues(TWO_POINT, {}, { outsideLimits: false }), "use"),
          upper: [
            { count: 5, ohm: 10e6, voltageCoefficient: first },
            { count: 3, ohm: 20e6, voltageCoefficient: second },
          ],
          acrossUpper: across,
          current: 3e-10,
        };
        const transfer = new StaticTransfer(frontEnd);
        const node = transfer.realNode(pin);
        // Current out of the node through everything but the upper leg.
        let out = (node - frontEnd.bias) * frontEnd.lower - frontEnd.current;
        for (const { siemens, volts: at } of frontEnd.leaks) out += siemens * (node - at);
        const string = out - across * (pin - node);
        // Each part obeys v = i r (1 + c |v|), solved here by bisection on its voltage.
        const partVoltage = (ohm: number, c: number): number => {
          let low = 0;
          let high = 2 * Math.abs(string) * ohm;
          for (let step = 0; step < 100; step += 1) {
            const v = (low + high) / 2;
            if (v < Math.abs(string) * ohm * (1 + c * v)) low = v;
            else high = v;
          }
          return low * Math.sign(string);
        };
        const total = frontEnd.upper.reduce(
          (sum, part) => sum + part.count * partVoltage(part.ohm, part.voltageCoefficient),
          0,
        );
        expect(total).toBeCloseTo(pin - node, 7);
        expect(transfer.pinOfReal(node)).toBeCloseTo(pin, 9);
      }),
      { numRuns: 200, seed: 4201 },
    );
  });

  it("a voltage coefficient of -50 ppm/V over ten parts makes 0.13 % between 34 V and 300 V", () => {
    // Design note on voltage coefficients; algebra: c V / n at both voltages.
    const plain = drawFrontEnd(new DrawnValues(TWO_POINT, {}, { outsideLimits: false }), "use");
    const upper = [{ count: 10, ohm: 10e6, voltageCoefficient: -50e-6 }];
    const transfer = new StaticTransfer({ ...plain, upper, bias: 0, current: 0, leaks: [] });
    const gain = (pin: number): number => transfer.realNode(pin) / pin;
    expect(100 * (gain(34) / gain(300) - 1)).toBeCloseTo(-0.133, 2);
  });

  it("the network at rest gives the node voltage of the static transfer", () => {
    fc.assert(
      fc.property(fc.integer({ min: -430, max: 430 }), (volts) => {
        const simulation = simulate({
          ...AT_CREST,
          mains: undefined as never,
          disconnection: { closedResistance: 0, openResistance: 0, openCapacitance: 0 },
          product: {
            kind: "imposed",
            terms: [{ amplitude: volts, rate: 0, frequency: 0, phaseTurns: 0 }],
            ...NO_STRAYS,
          },
          duration: 0.01,
        });
        const frontEnd = drawFrontEnd(
          new DrawnValues(TWO_POINT, {}, { outsideLimits: false }),
          "use",
        );
        const node = simulation.sampledVoltageAt(0, 0.005);
        expect(node).toBeCloseTo(new StaticTransfer(frontEnd).linearNode(volts), 12);
        expect(simulation.codes()[10]).toBe(codeOf(buildQuantiser(frontEnd), node));
      }),
      { numRuns: 40, seed: 4202 },
    );
  });

  it("a code worked out where it is asked for is the one that the table gives", () => {
    const limits = quantitiesOf(TWO_POINT);
    fc.assert(
      fc.property(
        fc.integer({ min: -1000, max: 1000 }),
        fc.array(fc.integer({ min: -200, max: 1300 }), { minLength: 20, maxLength: 20 }),
        (share, places) => {
          const quantities = Object.fromEntries(
            limits.map(({ name, lower, upper }, index) => {
              const [low, high] = [lower.toNumber(), upper.toNumber()];
              // Neighbours are drawn to opposite sides.
              const side = index % 2 === 0 ? share : -share;
              return [name, low + ((side + 1000) / 2000) * (high - low)];
            }),
          );
          const drawn = new DrawnValues(TWO_POINT, quantities, { outsideLimits: false });
          const frontEnd = drawFrontEnd(drawn, "use");
          const table = buildQuantiser(frontEnd);
          const few = buildQuantiser(frontEnd, undefined, { withoutTable: true });
          expect(few.edges).toHaveLength(0);
          for (const place of places) {
            const node = table.origin + place / 1000 / (table.slope / (table.edges.length - 1));
            const edge = table.edges[1 + (Math.abs(place) % (table.edges.length - 2))]!;
            for (const volts of [node, edge]) expect(codeOf(few, volts)).toBe(codeOf(table, volts));
          }
        },
      ),
      { numRuns: 60, seed: 4203 },
    );
  });

  it("a first-order filter reads an exponential high by 1 / (1 - tau_f / tau)", () => {
    const basis = {
      start: 2,
      rate: Float64Array.of(-1 / 0.4),
      frequency: Float64Array.of(0),
    };
    const input = { basis, re: Float64Array.of(50), im: Float64Array.of(0) };
    const output = lagged(input, { timeConstant: 0.01, initial: 0 });
    const share = valueAt(output, 3) / valueAt(input, 3);
    expect(share).toBeCloseTo(1 / (1 - 0.01 / 0.4), 12);
    expect(valueAt(output, 2)).toBeCloseTo(0, 12);
    // A pole on top of the driving exponential is moved by 1e-7: t/tau e^(-t/tau) is the limit.
    const same = lagged(input, { timeConstant: 0.4, initial: 0 });
    expect(valueAt(same, 2.4)).toBeCloseTo(50 * Math.exp(-1), 4);
  });

  it("an adjusted tester at its own temperature reads the adjustment voltages to a code", () => {
    for (const volts of [-300, 300]) {
      const simulation = simulate({
        ...AT_CREST,
        mains: undefined as never,
        disconnection: { closedResistance: 0, openResistance: 0, openCapacitance: 0 },
        product: {
          kind: "imposed",
          terms: [{ amplitude: volts, rate: 0, frequency: 0, phaseTurns: 0 }],
          ...NO_STRAYS,
        },
        quantities: { adc_gainError: 0.0015, upper1_tolerance: -0.01 },
        duration: 0.1,
      });
      const reading = readingOf(simulation, samplesAbout(500, TWO_POINT, 0.02));
      expect(Math.abs(reading.indication - volts)).toBeLessThan(0.95);
    }
  });

  it("drawn values outside their limits, and names that are not declared, are all refused", () => {
    expect(drawWrong).toThrow(/3 faults/);
    expect(drawWrong).toThrow(/quantities\.nothing/);
  });

  it("a part drawn to zero or below is refused", () => {
    const quantities = { upper1_tolerance: -1 };
    const drawn = new DrawnValues(TWO_POINT, quantities, { outsideLimits: true });
    expect(() => drawFrontEnd(drawn, "use")).toThrow(/drawn resistance must be greater than zero/);
  });
});
