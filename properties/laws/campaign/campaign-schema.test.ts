// Falsified by a record of a real campaign that its schema refuses, a field of it that may be absent,
// other or of another type without being named, or by promises that schema and reader judge apart.
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { Ajv2020 } from "ajv/dist/2020.js";
import type { InferOutput } from "valibot";
import { afterAll, beforeAll, describe, expect, expectTypeOf, test } from "vitest";
import { InvalidInputError } from "../../../lib/errors.ts";
import { promisesJsonSchema, readDeclaredPromises } from "../../../sim/index.ts";
import type { CampaignRecord } from "../../campaign/campaign-record.ts";
import { campaignJsonSchema, readCampaignRecord } from "../../campaign/campaign-schema.ts";
import type { campaignSchema } from "../../campaign/campaign-schema.ts";
import { runCommand } from "../../support/command-line.ts";

/** The schema library's types say nothing about writing. */
type Readonlyly<Type> = Type extends readonly unknown[] | object
  ? { readonly [Key in keyof Type]: Readonlyly<Type[Key]> }
  : Type;

// The oracle: an established JSON Schema validator, told that it is draft 2020-12.
const validator = new Ajv2020({ strict: true, allowUnionTypes: true });
const accepts = validator.compile(campaignJsonSchema());

const root = fileURLToPath(new URL("../../..", import.meta.url));
const example = (...names: string[]): string => join(root, "examples", ...names);
let folder = "";
const records: CampaignRecord[] = [];

async function recordOf(firmware: string, claims: string, lane: string): Promise<CampaignRecord> {
  const asked = `--runs 2 --seed 3 --workers 1 --lane ${lane} --claims ${claims} --json`.split(" ");
  const words = ["verify", example("02-two-point", "design.json"), "--firmware", firmware];
  return JSON.parse((await runCommand(...words, ...asked)).out) as CampaignRecord;
}

beforeAll(async () => {
  mkdirSync(join(root, "out"), { recursive: true });
  folder = mkdtempSync(join(root, "out", "schema-"));
  const late = join(folder, "late.ts");
  const double = pathToFileURL(join(root, "properties", "support", "plain-firmware.ts")).href;
  const text = `import { plainFirmware } from ${JSON.stringify(double)};\n`;
  writeFileSync(late, `${text}export const firmware = plainFirmware("late");\n`);
  const built = example("21-trigger-firmware", "build", "trigger.firmware.json");
  records.push(await recordOf(late, "opening", "gate"), await recordOf(built, "range", "gate"));
});

afterAll(() => rmSync(folder, { recursive: true }));

/** Copies of a document with one place changed, at every place, and where that is. */
function changedEverywhere(value: unknown, path = ""): { path: string; changed: unknown }[] {
  if (typeof value !== "object" || value === null) return [{ path, changed: { odd: true } }];
  // Names are free in draws, and all their values alike.
  const isFree = /\.(draw|corpus)$/.test(path);
  const entries = Object.entries(value).slice(0, isFree ? 1 : Array.isArray(value) ? 2 : 99);
  const inside = entries.flatMap(([key, one]) =>
    changedEverywhere(one, `${path}.${key}`).map(({ path: place, changed }) => {
      const copy = Array.isArray(value) ? [...(value as unknown[])] : { ...value };
      return { path: place, changed: Object.assign(copy, { [key]: changed }) };
    }),
  );
  if (Array.isArray(value) || isFree) return inside;
  return [...inside, { path: `${path}.odd`, changed: { ...value, odd: 1 } }];
}

describe("the schema of a campaign's record", () => {
  test("has the very type of the record", () => {
    type Read = Readonlyly<InferOutput<typeof campaignSchema>>;
    expectTypeOf<Read>().toEqualTypeOf<Readonlyly<CampaignRecord>>();
  });

  test("takes real records of both languages, with failures and without", () => {
    const [late, range] = records;
    expect(late!.failures.map(({ claim }) => claim)).toContain("opening");
    expect(range!.firmware.identity.target).toBeDefined();
    for (const record of records) {
      expect(readCampaignRecord(record)).toEqual(record);
      expect(accepts(record), JSON.stringify(accepts.errors)).toBe(true);
    }
  });

  test("refuses a record with anything else in any place, and names the place", () => {
    const changes = changedEverywhere(records[0]);
    expect(changes.length).toBeGreaterThan(140);
    for (const { path, changed } of changes) {
      expect(accepts(changed), path).toBe(false);
      const asPath = path.slice(1).replaceAll(/\.(\d+)(?=\.|$)/g, "[$1]");
      expect(() => readCampaignRecord(changed), path).toThrow(`(${asPath}`);
    }
  });
});

describe("the schema of promises", () => {
  const accepted = validator.compile(promisesJsonSchema());

  test.each([
    [{ bounce: "8 ms", latency: 0.02, instant: { lower: "-1 ms", upper: "1 ms" } }, true],
    [{ reclosureShare: "20 %", restingShare: 0.75, smallestCapacitance: "1.2 nF" }, true],
    [{ triggerLevel: "20 V" }, true],
    [{ patience: "1 s" }, false],
    [{ instant: { lower: "-1 ms" } }, false],
    [{ bounce: true }, false],
  ])("and their reader agree on %j", (document, isGood) => {
    expect(accepted(document)).toBe(isGood);
    const read = () => readDeclaredPromises(document);
    if (isGood) expect(read).not.toThrow();
    else expect(read).toThrow(InvalidInputError);
  });
});
