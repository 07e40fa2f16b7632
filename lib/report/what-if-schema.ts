import {
  array,
  description,
  exactOptional,
  integer,
  literal,
  minValue,
  number,
  pipe,
  strictObject,
  string,
  title,
} from "valibot";
import { figure, producer, writtenJsonSchema } from "./schema-parts.ts";
import type { JsonSchemaDocument } from "./schema-parts.ts";

const share = pipe(figure, description("Proven share of the allowed error; 1 or less meets it."));
const multiple = pipe(figure, minValue(0));
const bits = pipe(number(), integer(), minValue(1));

/** Shape of the document that `plumbvolt size --json` prints without a catalogue. */
export const whatIfSchema = pipe(
  strictObject({
    format: literal("plumbvolt.whatIf/1"),
    producer,
    design: string(),
    require: array(string()),
    used: exactOptional(share),
    slacks: array(
      strictObject({
        part: string(),
        figure: string(),
        meaning: string(),
        holdsAt: exactOptional(
          pipe(multiple, description("Proven to hold with the limits times this; absent: never.")),
        ),
        failsAt: exactOptional(
          pipe(multiple, description("Fails with the limits times this; absent: not up to 1e6.")),
        ),
      }),
    ),
    parts: array(strictObject({ part: string(), used: exactOptional(share) })),
    resolutions: array(strictObject({ bits, used: exactOptional(share) })),
    enoughBits: exactOptional(bits),
  }),
  title("plumbvolt what-if"),
  description("What one change of a design does to the share of the allowed error it takes."),
);

/** The JSON Schema of what single changes of a design do, draft 2020-12. */
export function whatIfJsonSchema(): JsonSchemaDocument {
  return writtenJsonSchema(whatIfSchema);
}
