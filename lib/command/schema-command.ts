import type { Command } from "commander";
import { Argument } from "commander";
import { designJsonSchema } from "../design/design-json-schema.ts";
import { budgetJsonSchema } from "../report/budget-schema.ts";
import { checkpointJsonSchema } from "../report/checkpoint-schema.ts";
import { decisionJsonSchema } from "../report/decision-schema.ts";
import { differenceJsonSchema } from "../report/difference-schema.ts";
import { sizingJsonSchema } from "../report/sizing-schema.ts";
import { whatIfJsonSchema } from "../report/what-if-schema.ts";
import { catalogueJsonSchema } from "../sizing/catalogue-schema.ts";
import { particularsJsonSchema } from "../uncertainty/read-particulars.ts";
import { recordJsonSchema } from "../report/record-schema.ts";
import { baselineJsonSchema } from "../../properties/campaign/campaign-baseline.ts";
import { campaignJsonSchema } from "../../properties/campaign/campaign-schema.ts";
import {
  faultTableJsonSchema,
  faultsJsonSchema,
  survivorsJsonSchema,
} from "../../properties/faults/fault-table-schema.ts";
import { promisesJsonSchema } from "../../sim/firmware/declared-promises.ts";
import { scenarioJsonSchema } from "../../sim/index.ts";
import type { Terminal } from "./terminal.ts";

const SCHEMAS = {
  design: designJsonSchema,
  baseline: baselineJsonSchema,
  budget: budgetJsonSchema,
  campaign: campaignJsonSchema,
  catalogue: catalogueJsonSchema,
  checkpoints: checkpointJsonSchema,
  decision: decisionJsonSchema,
  difference: differenceJsonSchema,
  "fault-table": faultTableJsonSchema,
  faults: faultsJsonSchema,
  particulars: particularsJsonSchema,
  promises: promisesJsonSchema,
  record: recordJsonSchema,
  scenario: scenarioJsonSchema,
  sizing: sizingJsonSchema,
  survivors: survivorsJsonSchema,
  "what-if": whatIfJsonSchema,
} as const;

/** Adds `schema` to the program: prints the JSON Schema of a document. */
export function addSchemaCommand(program: Command, terminal: Terminal): void {
  program
    .command("schema")
    .description("print the JSON Schema of a document")
    .addArgument(new Argument("<document>", "which document").choices(Object.keys(SCHEMAS)))
    .action((document: keyof typeof SCHEMAS) => {
      terminal.print(JSON.stringify(SCHEMAS[document](), undefined, 2));
    });
}
