import { OutsideDomainError } from "../lib/errors.ts";
import { BULK_MINUS, BULK_PLUS, isBridge } from "./bridge.ts";
import { buildCircuit, dividerNode, nodeOfPin } from "./build-circuit.ts";
import { firstCrossing } from "./crossing.ts";
import type { FrontEnd } from "./front-end.ts";
import { contactCurrent, guardsOf } from "./guards.ts";
import type { Guard } from "./guards.ts";
import { mainsChanges } from "./mains-waveform.ts";
import type { SolvedNetworks } from "./network-solver.ts";
import type { Scenario } from "./scenario.ts";
import { withSamplingCharge } from "./sampling-charge.ts";
import { difference, lagged, valueAt } from "./signal.ts";
import type { Signal } from "./signal.ts";
import type { SimulationEvent } from "./simulation-event.ts";
import { solveCircuit } from "./solve-circuit.ts";
import type { CircuitSolution, NetworkState } from "./solve-circuit.ts";
import { closed, opened, startingState } from "./world-state.ts";
import type { WorldState } from "./world-state.ts";

/** The network between two events. */
export interface Segment {
  readonly start: number;
  readonly end: number;
  /** V against earth of every node. */
  readonly voltage: ReadonlyMap<string, Signal>;
  /** V at the converter's input of each channel, as the node of the divider sees it, lags done. */
  readonly sampled: readonly Signal[];
}

/** All that happens in a scenario, in closed form. */
export interface Timeline {
  readonly segments: readonly Segment[];
  readonly events: readonly SimulationEvent[];
  /** s of the last electrical opening of either pole; undefined where none opened. */
  readonly lastOpening: number | undefined;
}

/** More events than this in any second are chattering. */
export const MOST_EVENTS_PER_SECOND = 5_000;

const POLES = ["L", "N"] as const;

/** The signals alone: the matrices they came from are not kept for every segment. */
function voltagesOf(solution: CircuitSolution): Map<string, Signal> {
  return new Map(solution.nodes.map((node) => [node, solution.voltage(node)]));
}

/** Follows a scenario from event to event. */
class TimelineBuilder {
  private readonly scenario: Scenario;
  private readonly frontEnd: FrontEnd;
  private readonly world: WorldState;
  private readonly segments: Segment[] = [];
  private readonly events: SimulationEvent[] = [];
  private readonly changes: number[];

  constructor(scenario: Scenario, frontEnd: FrontEnd) {
    this.scenario = scenario;
    this.frontEnd = frontEnd;
    this.world = startingState(scenario);
    this.changes = scenario.mains === undefined ? [] : [...mainsChanges(scenario.mains)];
  }

  private readonly solved: SolvedNetworks = new Map();

  private solve(state?: NetworkState): CircuitSolution {
    const circuit = buildCircuit(this.scenario, this.world, this.frontEnd);
    const { instant } = this.world;
    const { solved } = this;
    return solveCircuit(circuit, { instant, solved, ...(state === undefined ? {} : { state }) });
  }

  private first(): CircuitSolution {
    const settled = this.solve();
    const { product, mains } = this.scenario;
    if (product.kind !== "rectifier" || mains === undefined) return settled;
    const state = this.stateOf(settled);
    const charged = Math.max(0, mains.voltage * Math.SQRT2 - product.forwardVoltage);
    const voltage = new Map(state.voltage);
    const [l, n] = [state.voltage.get("L") ?? 0, state.voltage.get("N") ?? 0];
    const minus = isBridge(product) ? Math.min(l, n) : n;
    voltage.set(BULK_MINUS, minus);
    voltage.set(BULK_PLUS, minus + charged);
    return this.solve({ ...state, voltage });
  }

  private stateOf(solution: CircuitSolution): NetworkState {
    const { instant } = this.world;
    const voltage = new Map(
      solution.nodes.map((node) => [node, valueAt(solution.voltage(node), instant)]),
    );
    const current = new Map<string, number>();
    for (const id of solution.inductors)
      current.set(id, valueAt(solution.inductorCurrent(id), instant));
    return { voltage, current };
  }

  private sampledSignals(solution: CircuitSolution): Signal[] {
    const ground = nodeOfPin(this.scenario.tester.ground);
    const earlier = this.segments.at(-1);
    return this.scenario.tester.channels.map((_, channel) => {
      let signal = difference(solution.voltage(dividerNode(channel)), solution.voltage(ground));
      signal = this.charged(signal, channel);
      const before = earlier?.sampled[channel];
      // Outputs of the low-passes in a row carry over; each is found from the chain before it.
      const started = before === undefined ? undefined : this.lagStates[channel]!;
      const states: Signal[] = [];
      for (const [index, timeConstant] of this.frontEnd.lags.entries()) {
        const last = started?.[index];
        const initial = last === undefined ? undefined : valueAt(last, this.world.instant);
        signal = lagged(signal, { timeConstant, ...(initial === undefined ? {} : { initial }) });
        states.push(signal);
      }
      this.lagStates[channel] = states;
      return signal;
    });
  }

  /** The node at the samples, where the sampling capacitor is a part; deviations carry over. */
  private charged(node: Signal, channel: number): Signal {
    const { charge } = this.frontEnd;
    if (charge === undefined) return node;
    const { instant } = this.world;
    const before = this.chargeStates[channel];
    const left =
      before === undefined
        ? undefined
        : valueAt(node, instant) + valueAt(before.sampled, instant) - valueAt(before.node, instant);
    const sampled = withSamplingCharge(node, charge, left);
    this.chargeStates[channel] = { node, sampled };
    return sampled;
  }

  private readonly chargeStates: { readonly node: Signal; readonly sampled: Signal }[] = [];

  private readonly lagStates: Signal[][] = [];

  private log(kind: SimulationEvent["kind"], pole?: "L" | "N"): void {
    const { instant } = this.world;
    this.events.push({ instant, kind, ...(pole === undefined ? {} : { pole }) });
    const earlier = this.events[this.events.length - MOST_EVENTS_PER_SECOND];
    if (earlier === undefined || instant - earlier.instant > 1) return;
    throw new OutsideDomainError({
      path: "product",
      quantity: "events per second",
      permitted: `at most ${MOST_EVENTS_PER_SECOND}`,
      received: `more, up to ${instant} s`,
      hint: "something chatters: look at the contact, the rectifier and their resistances",
    });
  }

  /** Next scheduled instant, s. */
  private scheduled(): number {
    const { world, scenario } = this;
    let next = scenario.duration;
    for (const pole of POLES) {
      const movement = world.pending[pole][0];
      if (movement !== undefined) next = Math.min(next, movement.instant);
    }
    if (this.changes[0] !== undefined) next = Math.min(next, this.changes[0]);
    return Math.min(next, this.dischargeInstant());
  }

  private dischargeInstant(): number {
    const { product } = this.scenario;
    const { isolatedSince, discharge } = this.world;
    if (product.kind !== "activeDischarge" || discharge !== "waiting") return Infinity;
    return isolatedSince === undefined ? Infinity : isolatedSince + product.delay;
  }

  private carryOutScheduled(solution: CircuitSolution): void {
    const { world } = this;
    for (const pole of POLES) {
      const movement = world.pending[pole][0];
      if (movement === undefined || movement.instant > world.instant) continue;
      world.pending[pole].shift();
      if (movement.opens) this.separate(solution, pole);
      else {
        closed(world, pole);
        this.log("poleCloses", pole);
      }
    }
    while (this.changes[0] !== undefined && this.changes[0] <= world.instant) {
      this.changes.shift();
      this.log("mainsChanges");
    }
    if (this.dischargeInstant() <= world.instant) {
      const across = difference(solution.voltage("L"), solution.voltage("N"));
      world.discharge = "running";
      world.dischargeSign = valueAt(across, world.instant) < 0 ? -1 : 1;
      this.log("dischargeBegins");
    }
  }

  private separate(solution: CircuitSolution, pole: "L" | "N"): void {
    const { world, scenario } = this;
    const arc = scenario.disconnection[pole]?.arc;
    const current =
      arc === undefined ? 0 : valueAt(contactCurrent(scenario, solution, pole), world.instant);
    if (arc !== undefined && Math.abs(current) > arc.leastCurrent) {
      world.contact[pole] = "arcing";
      world.arcSign[pole] = current < 0 ? -1 : 1;
      world.arcMayEnd[pole] = world.instant + arc.leastDuration;
      this.log("contactSeparates", pole);
      return;
    }
    opened(world, pole);
    this.log("poleOpens", pole);
  }

  /** The bulk capacitor keeps its own voltage, whichever pin it is counted from. */
  private keepBulk(state: NetworkState, before: WorldState["rectifier"]): NetworkState {
    const { product } = this.scenario;
    if (product.kind !== "rectifier" || isBridge(product)) return state;
    const minus = (direction: WorldState["rectifier"]): number =>
      state.voltage.get(direction === "reverse" ? "L" : "N") ?? 0;
    const voltage = new Map(state.voltage);
    const charge = state.voltage.get("bulk")! - minus(before);
    voltage.set("bulk", minus(this.world.rectifier) + charge);
    return { ...state, voltage };
  }

  build(): Timeline {
    const { world, scenario } = this;
    let solution = this.first();
    for (;;) {
      const start = world.instant;
      const sampled = this.sampledSignals(solution);
      const last = this.scheduled();
      let happening: { readonly guard: Guard; readonly instant: number } | undefined;
      for (const guard of guardsOf(scenario, world, solution)) {
        const from = Math.max(start, guard.from ?? start);
        const until = happening?.instant ?? last;
        if (from > until) continue;
        const instant = firstCrossing(guard.signal, from, until);
        if (instant !== undefined && (happening === undefined || instant < happening.instant))
          happening = { guard, instant };
      }
      world.instant = happening?.instant ?? last;
      if (world.instant > start || world.instant >= scenario.duration)
        this.segments.push({ start, end: world.instant, voltage: voltagesOf(solution), sampled });
      if (happening === undefined && world.instant >= scenario.duration) break;
      const before = world.rectifier;
      const state = this.stateOf(solution);
      if (happening === undefined) this.carryOutScheduled(solution);
      else this.log(happening.guard.happen(), happening.guard.pole);
      solution = this.solve(this.keepBulk(state, before));
    }
    return { segments: this.segments, events: this.events, lastOpening: world.lastOpening };
  }
}

/** Follows a scenario from its start to its end, event by event. */
export function buildTimeline(scenario: Scenario, frontEnd: FrontEnd): Timeline {
  return new TimelineBuilder(scenario, frontEnd).build();
}
