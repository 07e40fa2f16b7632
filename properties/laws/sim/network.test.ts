// Falsified by: any voltage or current of a random network, or of a random sequence of networks,
// that leaves what a general-purpose ODE library gives by more than 1e-9 of the largest voltage; a
// charge that is lost when nodes are joined; energy that appears from nowhere; a network of zero
// or shorted parts that is solved instead of refused.
import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import { OutsideDomainError } from "../../../lib/errors.ts";
import { constantTerm, emptyCircuit } from "../../../sim/circuit.ts";
import type { Circuit } from "../../../sim/circuit.ts";
import { valueAt } from "../../../sim/signal.ts";
import { solveCircuit } from "../../../sim/solve-circuit.ts";
import type { NetworkState } from "../../../sim/solve-circuit.ts";
import { integrate } from "./ode-oracle.ts";

const NODES = ["a", "b", "c", "d"];

/** 1 to 100 in whole tenths: two decades keep the explicit reference library quick. */
const size = fc.integer({ min: 10, max: 1000 }).map((tenths) => tenths / 10);
const amplitude = fc.integer({ min: -300, max: 300 });
const node = fc.constantFrom(...NODES, "earth");
const pair = fc.tuple(node, node).filter(([a, b]) => a !== b);

const network = (inductors: number) =>
  fc
    .record({
      grounding: fc.tuple(size, size, size, size),
      capacitors: fc.array(fc.tuple(pair, size), { maxLength: 4 }),
      resistors: fc.array(fc.tuple(pair, size), { minLength: 1, maxLength: 7 }),
      currents: fc.array(fc.tuple(pair, amplitude, fc.integer({ min: 0, max: 40 })), {
        maxLength: 2,
      }),
      source: fc.tuple(amplitude, amplitude, fc.integer({ min: 1, max: 40 }), size, size),
      chokes: fc.array(fc.tuple(pair, size, size), { minLength: inductors, maxLength: inductors }),
    })
    .map((drawn): Circuit => {
      const circuit = emptyCircuit();
      for (const [index, farad] of drawn.grounding.entries())
        circuit.capacitors.push({ a: NODES[index]!, b: "earth", farad: farad * 1e-8 });
      // Every node leaks a little: a constant current into a floating part would be a ramp.
      for (const name of NODES) circuit.resistors.push({ a: name, b: "earth", siemens: 1e-8 });
      for (const [[a, b], farad] of drawn.capacitors)
        circuit.capacitors.push({ a, b, farad: farad * 1e-8 });
      for (const [[a, b], ohm] of drawn.resistors)
        circuit.resistors.push({ a, b, siemens: 1 / (ohm * 1e5) });
      for (const [[from, into], value, frequency] of drawn.currents) {
        const im = frequency === 0 ? 0 : value * 1e-6;
        circuit.currents.push({
          from,
          into,
          terms: [{ rate: 0, frequency, re: value * 1e-6, im }, constantTerm(1e-6)],
        });
      }
      const [re, im, frequency, ohm, farad] = drawn.source;
      circuit.fixed.set("source", [
        { rate: -3, frequency, re, im },
        { rate: 0, frequency: 0, re: 10, im: 0 },
      ]);
      circuit.resistors.push({ a: "source", b: "a", siemens: 1 / (ohm * 1e5) });
      circuit.capacitors.push({ a: "source", b: "b", farad: farad * 1e-9 });
      for (const [index, [[a, b], henry, series]] of drawn.chokes.entries())
        circuit.inductors.push({
          id: `choke${index}`,
          a,
          b,
          henry: henry * 100,
          ohm: series * 1e3,
        });
      return circuit;
    });

const starts = fc.tuple(amplitude, amplitude, amplitude, amplitude).map((volts): NetworkState => ({
  voltage: new Map(NODES.map((name, k) => [name, volts[k]!] as const)),
  current: new Map(),
}));

const DURATION = 0.02;

/** The source has been where it starts, so that its capacitor takes no charge at once. */
function unbroken(circuit: Circuit, state: NetworkState): NetworkState {
  const held = circuit.fixed.get("source")!.reduce((sum, { re }) => sum + re, 0);
  return { ...state, voltage: new Map([...state.voltage, ["source", held]]) };
}

function stateAt(solution: ReturnType<typeof solveCircuit>, t: number): NetworkState {
  return {
    voltage: new Map(NODES.map((name) => [name, valueAt(solution.voltage(name), t)])),
    current: new Map(
      solution.inductors.map((id) => [id, valueAt(solution.inductorCurrent(id), t)]),
    ),
  };
}

function worst(one: NetworkState, other: NetworkState, ohm: number): number {
  let largest = 0;
  for (const [name, volts] of one.voltage)
    largest = Math.max(largest, Math.abs(volts - other.voltage.get(name)!));
  for (const [name, ampere] of one.current)
    largest = Math.max(largest, ohm * Math.abs(ampere - other.current.get(name)!));
  return largest;
}

function at(of: NetworkState, name: string): number {
  return name === "earth" ? 0 : of.voltage.get(name)!;
}

/** V: largest voltage of any start or source. */
const SCALE = 400;

describe("linear networks between events", () => {
  it("a network of resistors and capacitors agrees with an ODE library to 1e-9", () => {
    fc.assert(
      fc.property(network(0), starts, (circuit, state) => {
        const solution = solveCircuit(circuit, { instant: 5, state: unbroken(circuit, state) });
        const reference = integrate(circuit, state, DURATION);
        expect(worst(stateAt(solution, 5 + DURATION), reference, 0)).toBeLessThan(1e-9 * SCALE);
      }),
      { numRuns: 60, seed: 4101 },
    );
  });

  it("a network with chokes agrees with an ODE library to 1e-9", () => {
    fc.assert(
      fc.property(network(2), starts, (circuit, state) => {
        const solution = solveCircuit(circuit, { instant: 0, state: unbroken(circuit, state) });
        const reference = integrate(circuit, state, DURATION);
        expect(worst(stateAt(solution, DURATION), reference, 1e5)).toBeLessThan(1e-9 * SCALE);
      }),
      { numRuns: 60, seed: 4102 },
    );
  });

  it("a random sequence of networks agrees with an ODE library to 1e-9 at its end", () => {
    fc.assert(
      fc.property(fc.array(network(1), { minLength: 2, maxLength: 4 }), starts, (list, begin) => {
        let state = begin;
        let reference = begin;
        let instant = 0;
        for (const circuit of list) {
          const from = unbroken(circuit, state);
          const solution = solveCircuit(circuit, { instant, state: from });
          reference = integrate(circuit, reference, DURATION / 4);
          instant += DURATION / 4;
          state = stateAt(solution, instant);
        }
        expect(worst(state, reference, 1e5)).toBeLessThan(1e-9 * SCALE);
      }),
      { numRuns: 25, seed: 4103 },
    );
  });

  it("charge is shared, never lost, when two nodes are joined; energy only falls", () => {
    const farads = fc.tuple(size, size, size, size);
    fc.assert(
      fc.property(farads, starts, fc.boolean(), ([c1, c2, c3, c4], state, withBridge) => {
        const circuit = emptyCircuit();
        const entries = [
          { a: "a", b: "earth", farad: c1 * 1e-9 },
          { a: "b", b: "earth", farad: c2 * 1e-9 },
          { a: "c", b: "earth", farad: c3 * 1e-9 },
          { a: "d", b: "earth", farad: 1e-9 },
          ...(withBridge ? [{ a: "b", b: "c", farad: c4 * 1e-8 }] : []),
        ];
        circuit.capacitors.push(...entries);
        circuit.joins.push(["a", "b"]);
        const after = stateAt(solveCircuit(circuit, { instant: 0, state }), 0);
        const charge = (of: NetworkState, names: readonly string[]): number =>
          entries.reduce((sum, { a, b, farad }) => {
            const q = farad * (at(of, a) - at(of, b));
            return sum + (names.includes(a) ? q : 0) - (names.includes(b) ? q : 0);
          }, 0);
        const energy = (of: NetworkState): number =>
          entries.reduce((sum, { a, b, farad }) => {
            const volts = at(of, a) - at(of, b);
            return sum + (farad * volts * volts) / 2;
          }, 0);
        const scale = 1e-6 * SCALE;
        expect(after.voltage.get("a")).toBeCloseTo(after.voltage.get("b")!, 9);
        expect(Math.abs(charge(after, ["a", "b"]) - charge(state, ["a", "b"]))).toBeLessThan(
          1e-13 * scale,
        );
        expect(Math.abs(charge(after, ["c"]) - charge(state, ["c"]))).toBeLessThan(1e-13 * scale);
        expect(energy(after)).toBeLessThanOrEqual(energy(state) * (1 + 1e-12));
      }),
      { numRuns: 200, seed: 4104 },
    );
  });

  it("the energy that two joined capacitors lose is C1 C2 / (C1 + C2) times half the square", () => {
    const circuit = emptyCircuit();
    circuit.capacitors.push(
      { a: "a", b: "earth", farad: 1e-7 },
      { a: "b", b: "earth", farad: 3e-7 },
    );
    circuit.joins.push(["a", "b"]);
    const voltage = new Map([
      ["a", 300],
      ["b", -100],
    ]);
    const solution = solveCircuit(circuit, { instant: 0, state: { voltage, current: new Map() } });
    const volts = valueAt(solution.voltage("a"), 0);
    expect(volts).toBeCloseTo(0, 12);
    const before = (1e-7 * 300 ** 2 + 3e-7 * 100 ** 2) / 2;
    const lost = (((1e-7 * 3e-7) / 4e-7) * 400 ** 2) / 2;
    expect(before - (4e-7 * volts * volts) / 2).toBeCloseTo(lost, 15);
  });

  it("slow rates keep their accuracy beside rates thirteen decades faster", () => {
    // A microfarad discharges in minutes through 600 Mohm beside a picofarad behind 10 ohm: the
    // slow rate is 1 / (R C) to within the loading, which is known in closed form.
    const circuit = emptyCircuit();
    circuit.capacitors.push(
      { a: "a", b: "earth", farad: 1e-6 },
      { a: "b", b: "earth", farad: 1e-12 },
    );
    circuit.resistors.push(
      { a: "a", b: "earth", siemens: 1 / 6e8 },
      { a: "a", b: "b", siemens: 0.1 },
    );
    const { basis } = solveCircuit(circuit, { instant: 0 });
    const slow = Math.max(...basis.rate);
    expect(slow * 6e8 * (1e-6 + 1e-12)).toBeCloseTo(-1, 11);
  });

  it("with a choke the slow rate stays right to 1e-10 beside one twelve decades faster", () => {
    // A filter behind 0.4 ohm and an open contact of 1.5 pF; rates found with 60 digits.
    const circuit = emptyCircuit();
    circuit.fixed.set("source", []);
    circuit.resistors.push(
      { a: "source", b: "line", siemens: 1 / 0.4 },
      { a: "L", b: "earth", siemens: 1e-8 },
      { a: "inner", b: "earth", siemens: 1e-6 },
      { a: "L", b: "d", siemens: 1e-8 },
      { a: "d", b: "earth", siemens: 1 / 267e3 },
    );
    circuit.capacitors.push(
      { a: "line", b: "L", farad: 1.5e-12 },
      { a: "L", b: "earth", farad: 1e-7 },
      { a: "d", b: "earth", farad: 4e-12 },
      { a: "inner", b: "earth", farad: 2.2e-7 },
    );
    circuit.inductors.push({ id: "choke", a: "L", b: "inner", henry: 1e-3, ohm: 0.5 });
    const { basis } = solveCircuit(circuit, { instant: 0 });
    const rates = [...basis.rate].sort((one, other) => other - one);
    const expected = [-3.187401704870271, -250.7788933095897, -938829.5882782927];
    for (const [k, rate] of expected.entries()) expect(rates[k]! / rate).toBeCloseTo(1, 10);
    const ring = Math.max(...basis.frequency);
    expect((2 * Math.PI * ring) / 120603.65844241754).toBeCloseTo(1, 12);
  });

  it("a part that nothing discharges keeps its voltage, chokes or not", () => {
    for (const withChoke of [false, true]) {
      const circuit = emptyCircuit();
      circuit.capacitors.push(
        { a: "a", b: "earth", farad: 1e-9 },
        { a: "b", b: "earth", farad: 3e-9 },
        { a: "c", b: "earth", farad: 1e-9 },
      );
      circuit.resistors.push({ a: "a", b: "b", siemens: 1e-4 });
      if (withChoke) circuit.inductors.push({ id: "choke", a: "b", b: "c", henry: 1e-3, ohm: 10 });
      else circuit.resistors.push({ a: "b", b: "c", siemens: 0.1 });
      const voltage = new Map([
        ["a", 100],
        ["b", 200],
        ["c", -50],
      ]);
      const state = { voltage, current: new Map<string, number>() };
      const solution = solveCircuit(circuit, { instant: 0, state });
      for (const t of [1, 100, 1e4])
        expect(valueAt(solution.voltage("a"), t)).toBeCloseTo(650 / 5, 9);
    }
  });

  it("a node without capacitance is the weighted mean of its neighbours", () => {
    const circuit = emptyCircuit();
    circuit.fixed.set("source", [constantTerm(90)]);
    circuit.resistors.push(
      { a: "source", b: "m", siemens: 1 / 2e5 },
      { a: "m", b: "earth", siemens: 1e-5 },
    );
    circuit.currents.push({ from: "earth", into: "m", terms: [constantTerm(1e-6)] });
    const solution = solveCircuit(circuit, { instant: 0 });
    expect(valueAt(solution.voltage("m"), 3)).toBeCloseTo(30 + 1e-6 / 1.5e-5, 12);
  });

  it("shorted sources, floating nodes and hopeless stiffness are refused", () => {
    const shorted = emptyCircuit();
    shorted.fixed.set("x", [constantTerm(1)]);
    shorted.fixed.set("y", [constantTerm(2)]);
    shorted.joins.push(["x", "y"]);
    expect(() => solveCircuit(shorted, { instant: 0 })).toThrow(OutsideDomainError);
    const floating = emptyCircuit();
    floating.capacitors.push({ a: "a", b: "b", farad: 1e-9 });
    expect(() => solveCircuit(floating, { instant: 0 })).toThrow(/capacitance to earth/);
    const stiff = emptyCircuit();
    stiff.capacitors.push(
      { a: "a", b: "earth", farad: 1e-3 },
      { a: "b", b: "earth", farad: 1e-15 },
    );
    stiff.resistors.push({ a: "a", b: "earth", siemens: 1e-12 }, { a: "a", b: "b", siemens: 1e3 });
    expect(() => solveCircuit(stiff, { instant: 0 })).toThrow(/fastest rate/);
    const critical = emptyCircuit();
    critical.capacitors.push({ a: "a", b: "earth", farad: 1 });
    critical.inductors.push({ id: "choke", a: "a", b: "earth", henry: 1, ohm: 2 });
    expect(() => solveCircuit(critical, { instant: 0 })).toThrow(/damping/);
  });
});
