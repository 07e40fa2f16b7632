import { safeParse } from "valibot";
import type { Design } from "../lib/design/design.ts";
import type { DesignDocument } from "../lib/design/document-schema.ts";
import { readDesign } from "../lib/design/read-design.ts";
import { shapeFaults } from "../lib/design/shape-faults.ts";
import { InvalidInputError } from "../lib/errors.ts";
import { faultsOf } from "./check-scenario.ts";
import { ScenarioReader } from "./scenario-reader.ts";
import type { ShapedScenario } from "./scenario-reader.ts";
import { scenarioDocumentSchema } from "./scenario-schema.ts";
import type { ScenarioDocument } from "./scenario-schema.ts";
import type { Scenario } from "./scenario.ts";

/** How a document's references are followed. */
export interface ReadScenarioOptions {
  /** Loads the design document at the path a scenario names. */
  readonly loadDesign?: (path: string) => unknown;
}

function designOf(document: ShapedScenario, options: ReadScenarioOptions): Design {
  if (typeof document.design !== "string") return readDesign(document.design);
  if (options.loadDesign !== undefined) return readDesign(options.loadDesign(document.design));
  throw new InvalidInputError("scenario", [
    {
      path: "design",
      quantity: "design",
      permitted: "a design document where no way to load one is given",
      received: JSON.stringify(document.design),
    },
  ]);
}

/**
 * Reads a scenario document: shape first, then every figure with its unit, then the relations
 * between them. Numbers are SI values; text carries its unit.
 *
 * Throws InvalidInputError with every fault of the stage that failed, each with its path.
 */
export function readScenario(document: unknown, options: ReadScenarioOptions = {}): Scenario {
  const shaped = safeParse(scenarioDocumentSchema, document);
  if (!shaped.success) throw new InvalidInputError("scenario", shapeFaults(shaped.issues));
  const design = designOf(shaped.output, options);
  const reader = new ScenarioReader();
  const scenario = reader.scenario(shaped.output, design);
  reader.faults.throwIfAny("scenario");
  const faults = faultsOf(scenario);
  if (faults.length > 0) throw new InvalidInputError("scenario", faults);
  return scenario;
}

/**
 * A scenario as a document that {@link readScenario} reads back to the same scenario. The design
 * is given as its document or as the path of it.
 */
export function scenarioDocument(
  scenario: Scenario,
  design: string | DesignDocument,
): ScenarioDocument {
  const { design: _, ...rest } = scenario;
  const plain = JSON.parse(JSON.stringify(rest)) as Omit<ScenarioDocument, "format" | "design">;
  return { format: "plumbvolt.scenario/1", ...plain, design } as ScenarioDocument;
}
