// Falsified by: a campaign that is not confirmed from the folder that keeps it, or an altered block,
// failure, plan or build of it that passes.
import { cpSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { checkCampaign } from "../../../lib/command/check-campaign.ts";
import type { CampaignCheck } from "../../../lib/command/check-campaign.ts";
import type { KeptCampaign } from "../../../lib/command/evidence-campaign.ts";
import { reportFrom } from "../../../lib/command/evidence-faults.ts";
import { faultTableDocument } from "../../../lib/command/fault-table-document.ts";
import { faultsOfCampaign } from "../../../lib/command/faults-run.ts";
import { keepFirmware } from "../../../lib/command/evidence-firmware.ts";
import type { KeptFirmware } from "../../../lib/command/evidence-firmware.ts";
import { loadCampaign } from "../../../lib/command/load-campaign.ts";
import { campaignOf } from "../../../lib/command/verify-run.ts";
import type { EvidenceRecord } from "../../../lib/report/record-document.ts";

const example = (path: string): string =>
  fileURLToPath(new URL(`../../../examples/${path}`, import.meta.url));
const DESIGN = example("01-no-adjustment/design.json");
const FIRMWARE = [example("21-trigger-firmware/build/trigger.firmware.json")];
const folder = mkdtempSync(join(tmpdir(), "campaign-"));

let faults: CampaignCheck["faults"];
let campaign: KeptCampaign;
let kept: KeptFirmware;

beforeAll(async () => {
  const loaded = await loadCampaign({ design: DESIGN, firmware: FIRMWARE, claims: ["range"] });
  const options = { runs: 10, seed: 7, lane: "gate", workers: 1 } as const;
  const silent = { version: "1.2.3", progress: () => undefined, printError: () => undefined };
  const request = { path: DESIGN, flags: { firmware: FIRMWARE }, options, terminal: silent };
  campaign = await campaignOf(request, loaded);
  const only = ["input-clipped", "poles-swapped"];
  const run = { ...options, mostRuns: 10, path: DESIGN, firmware: FIRMWARE, only };
  const found = await faultsOfCampaign({ ...run, terminal: silent }, loaded, undefined);
  const table = faultTableDocument(found, { ...run, loaded, version: "1.2.3" });
  faults = { table, report: reportFrom(table, new Map()) };
  kept = await keepFirmware(FIRMWARE, loaded.built);
  mkdirSync(join(folder, "inputs"));
  cpSync(DESIGN, join(folder, "inputs/design.json"));
  for (const [path, bytes] of kept.copies) {
    mkdirSync(dirname(join(folder, path)), { recursive: true });
    writeFileSync(join(folder, path), bytes);
  }
});

afterAll(() => rmSync(folder, { recursive: true }));

function checked(altered: Partial<CampaignCheck> = {}) {
  // Of the record only what names the firmware and picks the blocks is read.
  const digest = { content: "0123456789abcdef".repeat(4), record: "" };
  const record = { firmware: kept.described, digest } as EvidenceRecord;
  const check = { folder, record, campaign, faults, all: true, progress: () => undefined };
  return checkCampaign({ ...check, ...altered });
}

describe("a campaign in its folder", () => {
  test("is confirmed without the compiler, whole and by a sample", async () => {
    const whole = await checked();
    expect(whole.differences).toEqual([]);
    const { length } = campaign.digests;
    expect(whole.checked).toContain(`${length} of ${length} blocks`);
    expect((await checked({ all: false })).differences).toEqual([]);
  });

  test("is refused where a block, a failure or the plan was altered", async () => {
    const [first = "", ...others] = campaign.digests;
    const other = first.replace(/^./, (digit) => (digit === "0" ? "1" : "0"));
    const block = await checked({ campaign: { ...campaign, digests: [other, ...others] } });
    expect(block.differences.join("\n")).toMatch(/block 0 went otherwise/);
    const plan = await checked({ campaign: { ...campaign, digests: [first] } });
    expect(plan.differences[0]).toMatch(/1 blocks in place of/);
    // The canary is there to fail.
    expect(campaign.failures.length).toBeGreaterThan(0);
    const failures = campaign.failures.map((failure) => ({
      ...failure,
      because: "another reason",
    }));
    const told = await checked({ campaign: { ...campaign, failures } });
    expect(told.differences).toHaveLength(failures.length);
    expect(told.differences[0]).toMatch(/because another reason; now: /);
  });

  test("is refused where what noticed a fault of the front end was altered", async () => {
    const { table } = faults!;
    const caught = table.faults.filter(({ noticedBy }) => noticedBy.length > 0);
    expect(caught.length).toBeGreaterThan(0);
    expect((await checked()).checked).toContain(`${caught.length} faults of the front end`);
    const altered = table.faults.map((fault) => ({
      ...fault,
      noticedBy: fault.noticedBy.map((one) => ({
        ...one,
        failure: { ...one.failure, because: "another reason" },
      })),
    }));
    const told = await checked({ faults: { ...faults!, table: { ...table, faults: altered } } });
    expect(told.differences).toHaveLength(caught.length);
    expect(told.differences[0]).toMatch(/noticed because another reason; now: /);
  });

  test("is refused where its build was altered, and a program in it is not run", async () => {
    const path = [...kept.copies.keys()].find((one) => one.endsWith(".trapping.wasm"))!;
    writeFileSync(join(folder, path), "another build");
    const altered = await checked();
    expect(altered.differences[0]).toMatch(/cannot be run again/);
    writeFileSync(join(folder, path), kept.copies.get(path)!);
    const digest = { content: "0".repeat(64), record: "" };
    const firmware = { ...kept.described, language: "TypeScript" };
    const record = { firmware, digest } as EvidenceRecord;
    expect((await checked({ record })).checked).toContain("none in the folder is run");
  });
});

test("the report on faults is the same bytes in whichever order the sources come", () => {
  const fault = (id: string, file: string) => ({
    id,
    says: "Wrong.",
    edits: [{ file, find: "1", replace: "2" }],
    caughtBy: ["range"],
  });
  const document = { format: "plumbvolt.faults/1", faults: [fault("x", "a.c"), fault("y", "b.c")] };
  const copies: [string, Buffer][] = [
    ["inputs/firmware/faults.json", Buffer.from(JSON.stringify(document))],
    ["inputs/firmware/a.c", Buffer.from("int a = 1;")],
    ["inputs/firmware/b.c", Buffer.from("int b = 1;")],
  ];
  const [row] = faults!.table.faults;
  const rows = ["x", "y"].map((id) => ({ ...row!, id, where: "firmware" as const }));
  const table = { ...faults!.table, faults: rows };
  const texts = [copies, copies.toReversed()].map((order) =>
    JSON.stringify(reportFrom(table, new Map(order))),
  );
  expect(texts[1]).toBe(texts[0]);
  expect(Object.keys(reportFrom(table, new Map(copies)).files)).toEqual(["a.c", "b.c"]);
});
