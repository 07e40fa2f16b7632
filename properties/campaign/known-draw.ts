import type { Fault } from "../../lib/errors.ts";
import { spanOf } from "../arbitraries/parameter.ts";
import type { Draw } from "../arbitraries/parameter.ts";
import type { ScenarioSpace } from "../arbitraries/scenario-space.ts";

/** A draw that came from outside, and what is wrong with it. */
export interface KnownDraw {
  /** With every parameter of the space, in the order of the space. */
  readonly draw: Draw;
  readonly faults: readonly Fault[];
}

/**
 * Holds a draw from a document against the space it is meant for: every parameter has to be there
 * with an integer of its span, and nothing else. Parameters that need not be mentioned may be left
 * out, so that a draw that says nothing of parts serves every design. `path` is the place of the
 * draw in its document.
 */
export function knownDraw({ parameters }: ScenarioSpace, given: Draw, path: string): KnownDraw {
  const faults: Fault[] = [];
  const draw: Record<string, number> = {};
  for (const parameter of parameters) {
    const { name, meaning, silentAt } = parameter;
    const value = Object.hasOwn(given, name) ? given[name] : silentAt;
    const [least, most] = spanOf(parameter);
    if (value !== undefined && Number.isInteger(value) && value >= least && value <= most) {
      draw[name] = value;
      continue;
    }
    faults.push({
      path: `${path}.${name}`,
      quantity: meaning,
      permitted: `an integer from ${least} to ${most}`,
      received: value === undefined ? "none" : String(value),
    });
  }
  const names = new Set(parameters.map(({ name }) => name));
  for (const name of Object.keys(given))
    if (!names.has(name))
      faults.push({
        path: `${path}.${name}`,
        quantity: "parameter",
        permitted: "one that the scenarios of the claim have for this design",
        received: JSON.stringify(name),
      });
  return { draw, faults };
}
