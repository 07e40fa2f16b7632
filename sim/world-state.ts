import type { Diode } from "./bridge.ts";
import type { Mains, PoleOpening, Scenario } from "./scenario.ts";

/** A contact: an arcing one still conducts. */
export type ContactState = "closed" | "arcing" | "open";

/** What can be switched between two events. */
export interface WorldState {
  instant: number;
  readonly contact: { L: ContactState; N: ContactState };
  /** Scheduled movements of the contacts not yet carried out. */
  readonly pending: { readonly L: Movement[]; readonly N: Movement[] };
  /** Sign of the current towards the pin with which an arc began. */
  readonly arcSign: { L: number; N: number };
  /** s from when on an arc may end. */
  readonly arcMayEnd: { L: number; N: number };
  rectifier: "off" | "forward" | "reverse";
  /** Those that conduct, where each diode is simulated. */
  readonly diodes: Set<Diode>;
  discharge: "waiting" | "running" | "done";
  /** Sign of the voltage that a constant-current discharge began with. */
  dischargeSign: number;
  /** s since when the mains circuit is broken; undefined while it is closed. */
  isolatedSince: number | undefined;
  /** s of the last electrical opening of either pole so far. */
  lastOpening: number | undefined;
}

/** A scheduled movement of a contact. */
export interface Movement {
  readonly instant: number;
  readonly opens: boolean;
}

function movementsOf(opening: PoleOpening | undefined): Movement[] {
  if (opening === undefined) return [];
  const movements = [{ instant: opening.instant, opens: true }];
  let instant = opening.instant;
  for (const [index, duration] of opening.bounces.entries()) {
    instant += duration;
    movements.push({ instant, opens: index % 2 === 1 });
  }
  return movements;
}

/** The state at the start: connected and settled. */
export function startingState(scenario: Scenario): WorldState {
  const { L, N } = scenario.disconnection;
  return {
    instant: 0,
    contact: { L: "closed", N: "closed" },
    pending: { L: movementsOf(L), N: movementsOf(N) },
    arcSign: { L: 1, N: 1 },
    arcMayEnd: { L: 0, N: 0 },
    rectifier: "off",
    diodes: new Set(),
    discharge: "waiting",
    dischargeSign: 1,
    isolatedSince: undefined,
    lastOpening: undefined,
  };
}

/** Node on the mains side of a pole. */
export function supplyNode(mains: Mains, pole: "L" | "N"): "line" | "earth" {
  return (pole === "L") === mains.reversed ? "earth" : "line";
}

const POLES = ["L", "N"] as const;

/** A pole has opened for current. */
export function opened(world: WorldState, pole: "L" | "N"): void {
  world.contact[pole] = "open";
  world.lastOpening = world.instant;
  world.isolatedSince ??= world.instant;
}

/** A pole has closed. */
export function closed(world: WorldState, pole: "L" | "N"): void {
  world.contact[pole] = "closed";
  if (POLES.some((one) => world.contact[one] === "open")) return;
  world.isolatedSince = undefined;
  world.discharge = "waiting";
}
