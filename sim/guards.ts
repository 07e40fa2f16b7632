import { DIODES, diodeSignal, isBridge, READY } from "./bridge.ts";
import type { PoleOpening, Product, Scenario } from "./scenario.ts";
import { addConstant, addScaled, difference, zeroSignal } from "./signal.ts";
import type { Signal } from "./signal.ts";
import type { SimulationEvent } from "./simulation-event.ts";
import type { CircuitSolution } from "./solve-circuit.ts";
import { opened, supplyNode } from "./world-state.ts";
import type { WorldState } from "./world-state.ts";

/** An event that depends on the state: it happens when the signal becomes positive. */
export interface Guard {
  readonly signal: Signal;
  /** Changes the world and says what it was. */
  readonly happen: () => SimulationEvent["kind"];
  readonly pole?: "L" | "N";
  /** s before which it does not happen. */
  readonly from?: number;
}

type Rectifier = Extract<Product, { kind: "rectifier" }>;

const POLES = ["L", "N"] as const;

function negated(signal: Signal): Signal {
  const result = zeroSignal(signal.basis);
  addScaled(result, -1, signal);
  return result;
}

/** Current through an arc with a resistance of its own, towards the pin, A. */
function arcCurrent(scenario: Scenario, parts: ArcParts): Signal {
  const { arc, pole, sign, solution } = parts;
  const supply = supplyNode(scenario.mains!, pole);
  const across = addConstant(
    difference(solution.voltage(supply), solution.voltage(pole)),
    -sign * arc.voltage,
  );
  const signal = zeroSignal(across.basis);
  addScaled(signal, 1 / arc.resistance, across);
  return signal;
}

interface ArcParts {
  readonly arc: NonNullable<PoleOpening["arc"]>;
  readonly pole: "L" | "N";
  readonly sign: number;
  readonly solution: CircuitSolution;
}

/** Current through a closed contact towards its pin, A. */
export function contactCurrent(
  scenario: Scenario,
  solution: CircuitSolution,
  pole: "L" | "N",
): Signal {
  const { closedResistance } = scenario.disconnection;
  const into = solution.currentInto(pole);
  if (closedResistance === 0) return into;
  // The contact is itself a resistor at the pin: its current is what flows through it.
  const supply = supplyNode(scenario.mains!, pole);
  const signal = zeroSignal(into.basis);
  addScaled(
    signal,
    1 / closedResistance,
    difference(solution.voltage(supply), solution.voltage(pole)),
  );
  return signal;
}

/** Guards of a bridge whose diodes conduct each for itself. */
function bridgeGuards(product: Rectifier, world: WorldState, solution: CircuitSolution): Guard[] {
  return DIODES.map((diode) => {
    const conducts = world.diodes.has(diode);
    return {
      signal: diodeSignal(product, solution, { diode, conducts }),
      happen: () => {
        if (conducts) world.diodes.delete(diode);
        else world.diodes.add(diode);
        return conducts ? "rectifierBlocks" : "rectifierConducts";
      },
    };
  });
}

function rectifierGuards(
  product: Rectifier,
  world: WorldState,
  solution: CircuitSolution,
): Guard[] {
  if (isBridge(product)) return bridgeGuards(product, world, solution);
  const { rectifier } = world;
  const bulk = solution.voltage("bulk");
  const [l, n] = [solution.voltage("L"), solution.voltage("N")];
  const drop = product.forwardVoltage;
  if (rectifier === "off") {
    const charge = difference(bulk, n);
    const across = difference(l, n);
    const guard = (signal: Signal, direction: "forward" | "reverse"): Guard => ({
      signal: addConstant(difference(signal, charge), -drop - READY),
      happen: () => {
        world.rectifier = direction;
        return "rectifierConducts";
      },
    });
    return [guard(across, "forward"), guard(negated(across), "reverse")];
  }
  const into = difference(rectifier === "forward" ? l : n, bulk);
  return [
    {
      signal: negated(addConstant(into, -drop)),
      happen: () => {
        world.rectifier = "off";
        return "rectifierBlocks";
      },
    },
  ];
}

/** Everything that may happen by itself in the present state. */
export function guardsOf(
  scenario: Scenario,
  world: WorldState,
  solution: CircuitSolution,
): Guard[] {
  const guards: Guard[] = [];
  for (const pole of POLES) {
    if (world.contact[pole] !== "arcing") continue;
    const sign = world.arcSign[pole];
    const arc = scenario.disconnection[pole]!.arc!;
    const current =
      arc.resistance > 0
        ? arcCurrent(scenario, { arc, pole, sign, solution })
        : contactCurrent(scenario, solution, pole);
    const signal = zeroSignal(current.basis);
    addScaled(signal, -sign, current);
    guards.push({
      signal,
      pole,
      from: world.arcMayEnd[pole],
      happen: () => {
        opened(world, pole);
        return "arcEnds";
      },
    });
  }
  const { product } = scenario;
  if (product.kind === "rectifier") guards.push(...rectifierGuards(product, world, solution));
  if (product.kind === "activeDischarge" && world.discharge === "running") {
    const across = difference(solution.voltage("L"), solution.voltage("N"));
    if (!("current" in product.discharge)) return guards;
    guards.push({
      signal: world.dischargeSign > 0 ? negated(across) : across,
      happen: () => {
        world.discharge = "done";
        return "dischargeEnds";
      },
    });
  }
  return guards;
}
