import { readFileSync } from "node:fs";
import type { DesignDocument } from "../../lib/design/document-schema.ts";
import type { CatalogueDocument } from "../../lib/sizing/catalogue-schema.ts";
import type { SizingResult } from "../../lib/sizing/size.ts";
import type { SizingQuestion, SizingSpace } from "../../lib/sizing/space.ts";

const folder = new URL("../../examples/31-sizing/", import.meta.url);
const read = (name: string): unknown => JSON.parse(readFileSync(new URL(name, folder), "utf8"));

/** The catalogue of the example, to be changed. */
export const exampleCatalogue = (): CatalogueDocument =>
  read("catalogue.json") as CatalogueDocument;

/** A template with few stages, so that one proof takes a millisecond. */
function leanTemplate(): unknown {
  const { board, interference, filter, timing, ...lean } = read("template.json") as DesignDocument;
  if ([board, interference, filter, timing].includes(undefined))
    throw new Error("the template has lost a stage that is to be left out");
  return lean;
}

/** A search of some thousand combinations that takes a second; the catalogue may be changed. */
export function leanQuestion(): SizingQuestion & { readonly catalogue: CatalogueDocument } {
  const catalogue = exampleCatalogue();
  const upper = catalogue.upper!;
  upper.from = "6.8 Mohm";
  upper.to = "10 Mohm";
  upper.grades = upper.grades.slice(1);
  catalogue.networks = catalogue.networks!.slice(0, 1);
  catalogue.references = catalogue.references!.slice(1);
  catalogue.converters = [4, 6, 7, 8].map((place) => catalogue.converters![place]!);
  catalogue.lower!.grades = catalogue.lower!.grades.slice(1);
  catalogue.lower!.rooms = ["12 %"];
  catalogue.buffers = catalogue.buffers!.slice(1);
  catalogue.adjustments = catalogue.adjustments!.slice(0, 1);
  return { template: leanTemplate(), catalogue, require: ["8 % at 34 V"] };
}

/** What must not depend on how a search is run. */
export const foundBy = ({ byError, byCapacitance, cheapest }: SizingResult): unknown => ({
  byError,
  byCapacitance,
  cheapest,
});

/** Every combination of a space. */
export function* everyChoice(space: SizingSpace) {
  for (const structure of space.structures) {
    if (structure.excluded() !== undefined) continue;
    let choices: readonly (readonly number[])[] = [[]];
    for (const { length } of structure.plan.kinds)
      choices = choices.flatMap((choice) => Array.from({ length }, (_, next) => [...choice, next]));
    for (const choice of choices) yield { structure, choice };
  }
}
