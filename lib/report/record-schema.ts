import {
  array,
  description,
  exactOptional,
  literal,
  null_,
  picklist,
  pipe,
  record,
  regex,
  safeParse,
  strictObject,
  strictTuple,
  string,
  title,
  union,
} from "valibot";
import { count, designMark, figure, producer, sha256, writtenJsonSchema } from "./schema-parts.ts";
import type { JsonSchemaDocument } from "./schema-parts.ts";
import { InvalidInputError } from "../errors.ts";
import type { EvidenceRecord } from "./record-document.ts";

const verdict = picklist(["holds", "doesNotHold", "notProven", "noVerdict"]);
const side = strictObject({ proven: figure, witnessed: figure });
/** A relative path that leads nowhere outside its folder. */
const path = pipe(
  string(),
  regex(
    /^(?!.*(?:^|\/)\.\.?(?:\/|$))[A-Za-z0-9._-]+(?:\/[A-Za-z0-9._-]+)*$/,
    "a path inside the folder of the record",
  ),
);

const result = strictObject({
  id: string(),
  kind: picklist(["accuracy", "statement", "decision", "checkPoints", "claim", "fault"]),
  says: string(),
  verdict,
  found: string(),
  method: string(),
  margin: exactOptional(strictObject({ value: figure, unit: string() })),
  runs: exactOptional(count),
  seed: exactOptional(string()),
  classes: exactOptional(string()),
  reproduce: string(),
});

const requirement = strictObject({
  id: string(),
  text: string(),
  source: string(),
  origin: picklist(["user", "design", "statement", "limit"]),
  coveredBy: array(string()),
  absent: array(string()),
  verdict: picklist(["notCovered", "holds", "doesNotHold", "notProven", "noVerdict"]),
});

const row = strictObject({
  voltage: figure,
  band: strictObject({ lower: string(), upper: string() }),
  low: side,
  high: side,
  expandedUncertainty: exactOptional(figure),
  coverageInterval: exactOptional(strictObject({ lower: figure, upper: figure })),
});

const firmware = strictObject({
  name: string(),
  path: string(),
  sha256,
  language: picklist(["C", "TypeScript"]),
  target: exactOptional(string()),
  builds: exactOptional(strictObject({ compiler: string(), trapping: count, plain: count })),
});

const recordSchema = pipe(
  strictObject({
    format: literal("plumbvolt.record/1"),
    producer,
    engine: strictObject({ name: string(), version: string() }),
    date: pipe(string(), regex(/^\d{4}-\d{2}-\d{2}$/, "a date as YYYY-MM-DD")),
    design: designMark,
    firmware: exactOptional(firmware),
    options: strictObject({ trials: count, seed: count, limits: array(string()) }),
    conditions: record(string(), string()),
    measuringInterval: array(strictTuple([string(), string()])),
    statement: strictObject({
      text: string(),
      share: string(),
      volts: string(),
      from: string(),
      to: string(),
    }),
    smallestCapacitances: array(
      strictObject({ line: string(), share: figure, capacitance: figure }),
    ),
    products: array(
      strictObject({
        line: string(),
        capacitance: strictObject({ lower: figure, upper: union([figure, null_()]) }),
        reason: string(),
      }),
    ),
    rows: array(row),
    requirements: array(requirement),
    results: array(result),
    parts: array(
      strictObject({ part: string(), state: picklist(["present", "missing"]), words: string() }),
    ),
    conditionalOn: array(string()),
    fromMemory: array(string()),
    assumptions: array(string()),
    notModelled: array(string()),
    cautions: array(string()),
    shown: array(string()),
    notShown: array(string()),
    reproduce: array(string()),
    files: array(
      strictObject({
        path,
        role: picklist(["input", "result", "proof", "picture"]),
        bytes: count,
        sha256,
      }),
    ),
    digest: strictObject({ content: sha256, record: sha256 }),
  }),
  title("Record of the evidence for a residual-voltage tester"),
  description(
    "What was asked of a design, what was found, how, and what it rests on. Voltages in V, " +
      "capacitances in F. The digests are SHA-256 of the canonical form of RFC 8785: `content` " +
      "without `date` and `digest`, `record` with all but itself.",
  ),
);

/** JSON Schema of a record, draft 2020-12. */
export function recordJsonSchema(): JsonSchemaDocument {
  return writtenJsonSchema(recordSchema);
}

/** Reads a record. Throws InvalidInputError with every fault where it is none. */
export function readRecord(value: unknown): EvidenceRecord {
  const parsed = safeParse(recordSchema, value);
  if (parsed.success) return parsed.output as EvidenceRecord;
  throw new InvalidInputError(
    "record",
    parsed.issues.map((issue) => ({
      path: (issue.path ?? []).map(({ key }) => String(key)).join("."),
      quantity: "field",
      permitted: issue.expected ?? issue.message,
      received: issue.received,
    })),
  );
}
