import { toJsonSchema } from "@valibot/to-json-schema";
import {
  array,
  boolean,
  finite,
  integer,
  literal,
  maxLength,
  maxValue,
  minLength,
  minValue,
  number,
  object,
  omit,
  optional,
  picklist,
  pipe,
  strictObject,
  string,
  union,
  variant,
} from "valibot";
import type { InferInput, InferOutput } from "valibot";
import { designDocumentSchema } from "../design/document-schema.ts";

const { divider, networks, buffer, currents, reference, adc, adjustment } = {
  ...designDocumentSchema.entries,
  ...designDocumentSchema.entries.divider.entries,
  divider: designDocumentSchema.entries.divider,
};

const figure = union([string(), number()], "text with a unit, or a number in SI units");
const most = 64;

/** What every part of the catalogue says: who it is and what it costs, in any one unit. */
const item = {
  id: pipe(string(), minLength(1, "a name"), maxLength(60, "a name of up to 60 characters")),
  cost: pipe(number(), finite("a finite number"), minValue(0, "zero or more")),
};

const resistor = omit(strictObject(divider.entries.upper.item.entries), [
  "name",
  "count",
  "resistance",
  "network",
]).entries;
const shared = networks.wrapped.value.entries;
const current = omit(strictObject(currents.wrapped.item.entries), ["name"]).entries;
const [none, gain, twoPoint] = adjustment.options;

const series = picklist(
  ["E6", "E12", "E24", "E48", "E96", "E192"],
  '"E6", "E12", "E24", "E48", "E96" or "E192"',
);

const count = pipe(
  number(),
  integer("a whole number"),
  minValue(1, "1 to 100"),
  maxValue(100, "1 to 100"),
);

function listOf<Entries extends Parameters<typeof object>[0]>(entries: Entries) {
  return pipe(
    array(strictObject({ ...item, ...entries })),
    minLength(1, "one part or more"),
    maxLength(most, `up to ${most} parts`),
  );
}

/**
 * Parts to choose from. Figures are written as in a design document; a kind of part that is absent
 * is taken from the template as it is, at no cost.
 */
export const catalogueSchema = strictObject({
  $schema: optional(string()),
  format: literal("plumbvolt.catalogue/1"),
  name: pipe(string(), minLength(1, "a name")),
  notes: optional(union([string(), array(string())])),
  /** Strings of equal resistors for the upper leg; the cost is that of one resistor. */
  upper: optional(
    strictObject({
      series,
      /** Least and largest resistance of one resistor. */
      from: figure,
      to: figure,
      /** Numbers of resistors in the string. */
      counts: pipe(array(count), minLength(1, "one number or more")),
      grades: listOf(resistor),
    }),
  ),
  /** Single resistors for the lower leg. */
  lower: optional(
    strictObject({
      series,
      /** Shares of the measuring interval kept free; each gives one divider value. */
      rooms: pipe(array(figure), minLength(1, "one share or more")),
      grades: listOf(resistor),
    }),
  ),
  /** Both legs on one substrate; the cost is that of the whole network. */
  networks: optional(
    listOf({
      ...shared,
      /** What each leg has of its own: tracking in place of tolerance and temperature coefficient. */
      upper: strictObject(resistor),
      lower: strictObject(resistor),
    }),
  ),
  references: optional(listOf(reference.entries)),
  converters: optional(listOf(adc.entries)),
  /** Buffers with their input bias current. */
  buffers: optional(listOf({ ...buffer.wrapped.entries, bias: strictObject(current) })),
  /** Whether doing without a buffer is a choice too. */
  withoutBuffer: optional(boolean()),
  /** Clamps by their leakage. */
  clamps: optional(listOf(current)),
  /** Adjustments with their process. */
  adjustments: optional(
    pipe(
      array(
        variant("kind", [
          strictObject({ ...item, ...none.entries }),
          strictObject({ ...item, ...gain.entries }),
          strictObject({ ...item, ...twoPoint.entries }),
        ]),
      ),
      minLength(1, "one adjustment or more"),
      maxLength(most, `up to ${most} adjustments`),
    ),
  ),
});

/** A catalogue as a person writes it. */
export type CatalogueDocument = InferInput<typeof catalogueSchema>;

/** A catalogue whose shape has been checked. */
export type ShapedCatalogue = InferOutput<typeof catalogueSchema>;

/** JSON Schema (draft 2020-12) of a parts catalogue; units and relations are checked on reading. */
export function catalogueJsonSchema(): Record<string, unknown> {
  const schema = toJsonSchema(catalogueSchema, {
    target: "draft-2020-12",
    typeMode: "input",
    errorMode: "ignore",
  });
  return { ...schema, title: "plumbvolt parts catalogue, version 1" };
}
