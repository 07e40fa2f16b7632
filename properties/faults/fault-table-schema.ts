import { array, description, exactOptional, literal } from "valibot";
import { picklist, pipe, safeParse, strictObject, string, title } from "valibot";
import { shapeFaults } from "../../lib/design/shape-faults.ts";
import { InvalidInputError } from "../../lib/errors.ts";
import { count, producer, sha256, writtenJsonSchema } from "../../lib/report/schema-parts.ts";
import type { JsonSchemaDocument } from "../../lib/report/schema-parts.ts";
import { judgedDrawSchema } from "../campaign/campaign-schema.ts";
import { FAULT_OPERATORS } from "./fault-operators.ts";
import { faultsSchema } from "./firmware-fault.ts";
import { survivorsSchema } from "./survivors.ts";

const noticed = strictObject({
  claim: string(),
  after: pipe(count, description("Runs to which the claim applied, the failing one included.")),
  failure: judgedDrawSchema,
});

const place = { file: string(), within: string(), becomes: string() };

const generated = strictObject({
  faults: array(
    strictObject({
      ...place,
      id: string(),
      says: string(),
      operator: picklist(FAULT_OPERATORS),
      line: count,
      text: string(),
      outcome: picklist(["caught", "survives", "accepted", "equivalent"]),
      accepted: exactOptional(string()),
      host: exactOptional(pipe(string(), description("The host's word against the module."))),
      noticedBy: array(noticed),
    }),
  ),
  refused: pipe(count, description("Changes that the compiler refuses.")),
  notBuilt: array(strictObject({ file: string(), line: count, because: string() })),
  stale: array(
    strictObject({
      ...place,
      line: string(),
      why: picklist(["no such fault", "it is noticed", "it changes nothing"]),
    }),
  ),
});

/** Shape of the document that holds faults against claims. */
export const faultTableSchema = pipe(
  strictObject({
    format: literal("plumbvolt.faultTable/1"),
    producer,
    design: strictObject({ sha256 }),
    firmware: strictObject({ name: string(), hash: string() }),
    runs: pipe(count, description("Draws of each space of scenarios.")),
    mostRuns: pipe(count, description("Draws up to which a claim went on for its own faults.")),
    seed: count,
    faults: array(
      strictObject({
        id: string(),
        says: string(),
        where: picklist(["firmware", "front end"]),
        refused: exactOptional(string()),
        accepted: exactOptional(string()),
        outcome: picklist(["caught", "survives", "accepted", "refused"]),
        noticedBy: array(noticed),
      }),
    ),
    claims: array(
      strictObject({
        id: string(),
        alone: pipe(array(string()), description("Faults that no other claim notices.")),
        missed: array(string()),
        followsFrom: array(string()),
      }),
    ),
    generated: exactOptional(
      pipe(generated, description("Faults that follow from the text of the sources.")),
    ),
    baseline: pipe(array(noticed), description("Claims that fail without any fault.")),
    verdict: picklist(["holds", "doesNotHold", "noVerdict"]),
    reasons: array(string()),
  }),
  title("plumbvolt fault table"),
  description("Faults put in on purpose, and the claims that notice them."),
);

/** Confirms a table as it was read. Throws InvalidInputError with every fault of its shape. */
export function requireFaultTable(document: unknown): void {
  const shaped = safeParse(faultTableSchema, document);
  if (!shaped.success) throw new InvalidInputError("fault table", shapeFaults(shaped.issues));
}

/** The JSON Schema of a table of faults, draft 2020-12. */
export function faultTableJsonSchema(): JsonSchemaDocument {
  return writtenJsonSchema(faultTableSchema);
}

/** The JSON Schema of a document of faults, draft 2020-12. */
export function faultsJsonSchema(): JsonSchemaDocument {
  return writtenJsonSchema(faultsSchema);
}

/** The JSON Schema of a document of survivors, draft 2020-12. */
export function survivorsJsonSchema(): JsonSchemaDocument {
  return writtenJsonSchema(survivorsSchema);
}
