import type { Design } from "../../../lib/design/design.ts";
import type { Scenario } from "../../../sim/index.ts";
import type { Handling } from "../../arbitraries/handling.ts";
import type { Draw, Parameter } from "../../arbitraries/parameter.ts";
import type { ProductKind } from "../../arbitraries/product.ts";
import { scenarioSpace } from "../../arbitraries/scenario-space.ts";
import type { ScenarioSpace, SpaceOptions } from "../../arbitraries/scenario-space.ts";
import type { Subject } from "../episode.ts";

/** s that are played after the stated instant. */
export const AFTERWARDS = 0.05;

/** Products whose voltage only falls. */
export const PASSIVE: readonly ProductKind[] = ["passive, switch off", "passive with bleeder"];

/** Openings of passive products with everything that a contact may do. */
export function openings(
  { design, promises }: Subject,
  options: Partial<SpaceOptions> = {},
): ScenarioSpace {
  const after = design.conditions.instant.toNumber() + AFTERWARDS;
  return scenarioSpace(design, {
    kind: "opening",
    products: PASSIVE,
    after,
    contact: "ideal",
    smallestCapacitance: promises.smallestCapacitance,
    ...options,
  });
}

/** A space with further parameters, and its scenarios changed by them. */
export function changed(
  space: ScenarioSpace,
  more: readonly Parameter[],
  change: (scenario: Scenario, draw: Draw) => Scenario,
): ScenarioSpace {
  return {
    ...space,
    parameters: [...more, ...space.parameters],
    classed: [...more, ...space.classed],
    scenarioOf: (draw) => change(space.scenarioOf(draw), draw),
  };
}

/** A space with further parameters, by which its samples are handled on their way. */
export function handled(
  space: ScenarioSpace,
  more: readonly Parameter[],
  handling: (draw: Draw) => Handling,
): ScenarioSpace {
  return { ...changed(space, more, (scenario) => scenario), handling };
}

/** A parameter that is one of several named things. */
export function oneOf(name: string, meaning: string, names: readonly string[]): Parameter {
  return {
    name,
    meaning,
    strata: names.map((one, index) => ({ name: one, least: index, most: index })),
    words: (value) => names[value]!,
  };
}

/** Instant of the reading after the opening that a design states, s. */
export function statedInstant({ conditions }: Design): number {
  return conditions.instant.toNumber();
}
