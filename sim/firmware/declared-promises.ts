import { toJsonSchema } from "@valibot/to-json-schema";
import { description, number, optional, pipe, safeParse, strictObject, string } from "valibot";
import { union } from "valibot";
import type { InferOutput } from "valibot";
import { FaultList } from "../../lib/design/fault-list.ts";
import { shapeFaults } from "../../lib/design/shape-faults.ts";
import { InvalidInputError } from "../../lib/errors.ts";
import type { Dimension } from "../../lib/quantity/dimension.ts";

const figure = union([string(), number()], "text with a unit, or a number in SI units");

function promised(says: string) {
  return optional(pipe(figure, description(says)));
}

/** What a firmware promises, as it stands in a document: any of the entries. */
export const declaredPromisesSchema = strictObject({
  bounce: promised("Longest time over which contacts may bounce."),
  latency: promised("Time from the last opening until it is confirmed or reported below trigger."),
  instant: optional(
    pipe(
      strictObject({ lower: figure, upper: figure }),
      description("How early and how late the reported opening may lie."),
    ),
  ),
  triggerLevel: promised("Voltage below which a disconnection need not be found."),
  smallestCapacitance: promised("Smallest capacitance of a product in scope."),
  reclosureShare: promised(
    "Share of the crest by which a re-closure has to move the pins to be seen.",
  ),
  restingShare: promised(
    "Share of the crest from which on a converter that sticks may pass for a held voltage.",
  ),
});

/** JSON Schema (draft 2020-12) of a document of promises; units are checked on reading. */
export function promisesJsonSchema(): Record<string, unknown> {
  const schema = toJsonSchema(declaredPromisesSchema, {
    target: "draft-2020-12",
    typeMode: "input",
    errorMode: "ignore",
  });
  return { ...schema, title: "plumbvolt document of what a firmware promises, version 1" };
}

/** Promises as they are written, with units. */
export type DeclaredPromises = InferOutput<typeof declaredPromisesSchema>;

/** Promises in SI units; what a firmware does not declare is absent. */
export interface PromisedFigures {
  readonly bounce?: number;
  readonly latency?: number;
  readonly instant?: { readonly lower: number; readonly upper: number };
  readonly triggerLevel?: number;
  readonly smallestCapacitance?: number;
  readonly reclosureShare?: number;
  readonly restingShare?: number;
}

const DIMENSIONS = {
  bounce: "time",
  latency: "time",
  triggerLevel: "voltage",
  smallestCapacitance: "capacitance",
  reclosureShare: "ratio",
  restingShare: "ratio",
} as const satisfies Readonly<Record<string, Dimension>>;

type Single = keyof typeof DIMENSIONS;

/** Promises of nought: every other one has to be above it. */
const MAY_BE_NONE: readonly Single[] = ["bounce", "smallestCapacitance"];

function requireBelow(faults: FaultList, path: string, given: number, received: string | number) {
  const ranges: Partial<Record<string, [boolean, string]>> = {
    bounce: [given >= 0, "zero or above"],
    smallestCapacitance: [given >= 0, "zero or above"],
    reclosureShare: [given <= 1, "at most 1"],
    restingShare: [given <= 1, "at most 1"],
  };
  const [isInside, permitted] = ranges[path] ?? [true, ""];
  if (isInside) return;
  faults.add({ path, quantity: "promise", permitted, received: JSON.stringify(received) });
}

/**
 * Reads what a firmware promises. Numbers are in SI units, text carries its unit. Throws
 * InvalidInputError with every fault: unknown entries, wrong units, values outside their range.
 */
export function readDeclaredPromises(document: unknown): PromisedFigures {
  const shaped = safeParse(declaredPromisesSchema, document);
  if (!shaped.success) throw new InvalidInputError("promises", shapeFaults(shaped.issues));
  const written = shaped.output;
  const faults = new FaultList();
  const figures: Partial<Record<Single, number>> = {};
  for (const [name, dimension] of Object.entries(DIMENSIONS) as [Single, Dimension][]) {
    const given = written[name];
    if (given === undefined) continue;
    const value = MAY_BE_NONE.includes(name)
      ? faults.value(given, name, dimension)
      : faults.positive(given, name, dimension);
    figures[name] = value.toNumber();
    requireBelow(faults, name, value.toNumber(), given);
  }
  const { instant } = written;
  const ends = instant && {
    lower: faults.value(instant.lower, "instant.lower", "time").toNumber(),
    upper: faults.value(instant.upper, "instant.upper", "time").toNumber(),
  };
  if (ends !== undefined && !(ends.lower < ends.upper)) {
    const permitted = "above instant.lower";
    const received = JSON.stringify(instant!.upper);
    faults.add({ path: "instant.upper", quantity: "promise", permitted, received });
  }
  faults.throwIfAny("promises");
  return { ...figures, ...(ends === undefined ? {} : { instant: ends }) };
}
