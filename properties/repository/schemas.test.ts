// Falsified by a published schema that is not the one the package reads with.
import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import {
  budgetJsonSchema,
  catalogueJsonSchema,
  checkpointJsonSchema,
  decisionJsonSchema,
  designJsonSchema,
  differenceJsonSchema,
  particularsJsonSchema,
  sizingJsonSchema,
  whatIfJsonSchema,
} from "../../lib/index.ts";
import { recordJsonSchema } from "../../lib/report/record-schema.ts";
import { promisesJsonSchema } from "../../sim/firmware/declared-promises.ts";
import { scenarioJsonSchema } from "../../sim/index.ts";
import { baselineJsonSchema } from "../campaign/campaign-baseline.ts";
import { campaignJsonSchema } from "../campaign/campaign-schema.ts";
import {
  faultTableJsonSchema,
  faultsJsonSchema,
  survivorsJsonSchema,
} from "../faults/fault-table-schema.ts";

const published = (name: string): unknown =>
  JSON.parse(readFileSync(new URL(`../../schemas/${name}.schema.json`, import.meta.url), "utf8"));

test("the published schemas are those of the code", () => {
  expect(published("design")).toEqual(JSON.parse(JSON.stringify(designJsonSchema())));
  expect(published("catalogue")).toEqual(JSON.parse(JSON.stringify(catalogueJsonSchema())));
  expect(published("baseline")).toEqual(JSON.parse(JSON.stringify(baselineJsonSchema())));
  expect(published("budget")).toEqual(JSON.parse(JSON.stringify(budgetJsonSchema())));
  expect(published("checkpoints")).toEqual(JSON.parse(JSON.stringify(checkpointJsonSchema())));
  expect(published("decision")).toEqual(JSON.parse(JSON.stringify(decisionJsonSchema())));
  expect(published("difference")).toEqual(JSON.parse(JSON.stringify(differenceJsonSchema())));
  expect(published("particulars")).toEqual(JSON.parse(JSON.stringify(particularsJsonSchema())));
  expect(published("campaign")).toEqual(JSON.parse(JSON.stringify(campaignJsonSchema())));
  expect(published("promises")).toEqual(JSON.parse(JSON.stringify(promisesJsonSchema())));
  expect(published("record")).toEqual(JSON.parse(JSON.stringify(recordJsonSchema())));
  expect(published("sizing")).toEqual(JSON.parse(JSON.stringify(sizingJsonSchema())));
  expect(published("what-if")).toEqual(JSON.parse(JSON.stringify(whatIfJsonSchema())));
  expect(published("fault-table")).toEqual(JSON.parse(JSON.stringify(faultTableJsonSchema())));
  expect(published("faults")).toEqual(JSON.parse(JSON.stringify(faultsJsonSchema())));
  expect(published("survivors")).toEqual(JSON.parse(JSON.stringify(survivorsJsonSchema())));
  expect(published("scenario")).toEqual(JSON.parse(JSON.stringify(scenarioJsonSchema())));
});
