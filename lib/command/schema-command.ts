import type { Command } from "commander";
import { Argument } from "commander";
import { designJsonSchema } from "../design/design-json-schema.ts";
import { budgetJsonSchema } from "../report/budget-schema.ts";
import type { Terminal } from "./terminal.ts";

/** Adds `schema` to the program: prints the JSON Schema of a document. */
export function addSchemaCommand(program: Command, terminal: Terminal): void {
  program
    .command("schema")
    .description("print the JSON Schema of a document")
    .addArgument(new Argument("<document>", "which document").choices(["design", "budget"]))
    .action((document: "design" | "budget") => {
      const schema = document === "design" ? designJsonSchema() : budgetJsonSchema();
      terminal.print(JSON.stringify(schema, undefined, 2));
    });
}
