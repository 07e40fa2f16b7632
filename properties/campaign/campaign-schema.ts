import { array, boolean, description, exactOptional, integer, literal } from "valibot";
import { maxValue, minLength, minValue, nullable, number, picklist, pipe, record } from "valibot";
import { safeParse, strictObject, string, title } from "valibot";
import { shapeFaults } from "../../lib/design/shape-faults.ts";
import { InvalidInputError } from "../../lib/errors.ts";
import { count, figure, sha256, writtenJsonSchema } from "../../lib/report/schema-parts.ts";
import type { JsonSchemaDocument } from "../../lib/report/schema-parts.ts";
import { METHODS } from "./block.ts";
import type { CampaignRecord } from "./campaign-record.ts";
import { LANES } from "./plan.ts";

const whole = pipe(number(), integer("a whole number"));
const share = pipe(figure, minValue(0, "zero or above"), maxValue(1, "at most 1"));

/** A scenario: whole numbers by the names of the parameters of the claim's space. */
export const drawSchema = record(string(), whole);

/** A scenario with what a claim says of it. */
export const judgedDrawSchema = strictObject({
  draw: drawSchema,
  margin: pipe(figure, description("Below zero: broken; a share of what is allowed.")),
  because: string(),
  at: pipe(nullable(figure), description("s; null where no moment is special.")),
});

const method = picklist(METHODS);

const methodCount = strictObject({
  method,
  asked: count,
  done: count,
  notApplicable: count,
  unplayable: count,
  failures: count,
  worst: nullable(judgedDrawSchema),
});

const claimResult = strictObject({
  id: string(),
  says: string(),
  verdict: picklist(["holds", "doesNotHold", "noVerdict"]),
  reasons: array(string()),
  canary: boolean(),
  methods: array(methodCount),
  coverage: strictObject({
    runs: count,
    classes: array(strictObject({ name: string(), hits: count, least: count })),
    pairs: count,
    pairsShort: count,
  }),
  repeats: strictObject({
    oneIn: count,
    repeated: count,
    differing: count,
    compared: count,
    unlike: count,
  }),
  worst: nullable(judgedDrawSchema),
  listed: pipe(
    nullable(strictObject({ of: string(), members: count, run: count, notApplicable: count })),
    description("How much of a finite list was gone through; null for a claim without one."),
  ),
  strength: pipe(
    strictObject({
      unaided: nullable(figure),
      fromWitness: nullable(figure),
      reason: nullable(string()),
    }),
    description(
      "Worst error found over the proven bound, without help and from the budget's witnesses.",
    ),
  ),
  statement: string(),
  failure: nullable(
    strictObject({
      met: judgedDrawSchema,
      smallest: judgedDrawSchema,
      reductions: count,
      method,
      words: array(string()),
    }),
  ),
});

const promises = pipe(
  strictObject({
    bounce: figure,
    latency: figure,
    instant: strictObject({ lower: figure, upper: figure }),
    triggerLevel: figure,
    smallestCapacitance: figure,
    reclosureShare: share,
    restingShare: share,
  }),
  description("What the firmware was held to, in SI units."),
);

const identity = strictObject({
  name: string(),
  language: picklist(["c", "typescript"]),
  hash: string(),
  target: exactOptional(
    strictObject({ int: picklist([16, 32]), char: picklist(["signed", "unsigned"]) }),
  ),
  tools: exactOptional(string()),
});

/** A failing scenario that can be played again. */
export const failureSchema = strictObject({
  claim: pipe(string(), minLength(1)),
  draw: drawSchema,
  because: string(),
  at: nullable(figure),
});

/** Shape of the record that `plumbvolt verify` writes; unknown fields are refused. */
export const campaignSchema = pipe(
  strictObject({
    format: literal("plumbvolt.campaign/1"),
    version: string(),
    design: strictObject({ path: string(), sha256 }),
    firmware: strictObject({ paths: pipe(array(string()), minLength(1)), identity }),
    promises,
    claims: array(string()),
    lane: picklist(LANES),
    runs: count,
    seed: count,
    corpus: record(string(), array(drawSchema)),
    engine: string(),
    evidence: string(),
    exitCode: picklist([0, 1, 3]),
    results: array(claimResult),
    failures: array(failureSchema),
    digests: array(sha256),
  }),
  title("Record of a campaign that holds a firmware to its claims"),
  description(
    "The claims, how each was tried and how often, what was found, and scenarios that can be " +
      "played again. A draw is whole numbers by the names of the parameters of the claim's space. " +
      "Digests are SHA-256 of what every block of runs said, in the order of the plan.",
  ),
);

/** JSON Schema of the record of a campaign, draft 2020-12. */
export function campaignJsonSchema(): JsonSchemaDocument {
  return writtenJsonSchema(campaignSchema);
}

/** Reads the record of a campaign. Throws InvalidInputError with every fault where it is none. */
export function readCampaignRecord(value: unknown): CampaignRecord {
  const parsed = safeParse(campaignSchema, value);
  if (parsed.success) return parsed.output;
  throw new InvalidInputError("record", shapeFaults(parsed.issues));
}
