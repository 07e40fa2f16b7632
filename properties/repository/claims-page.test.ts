// Falsified by: a page on claims whose example does not run as it stands, is longer than thirty
// lines, is broken by a right firmware or kept by a wrong one; a claim that is not listed as it is.
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { afterAll, beforeAll, expect, test } from "vitest";
import type { Claim, Subject } from "../index.ts";
import { ALL_CLAIMS, DEFAULT_PROMISES, voltageBoundsOf } from "../index.ts";
import { demoDesign } from "../laws/sim/scenarios.ts";
import { plainFirmware } from "../support/plain-firmware.ts";
import type { Firmware } from "../../sim/firmware/port.ts";

const page = readFileSync(new URL("../../docs/claims.md", import.meta.url), "utf8");
const blocks = [...page.matchAll(/```ts\n([\s\S]*?)```/g)].map(([, text]) => text!);

const root = fileURLToPath(new URL("../..", import.meta.url));
let folder = "";

beforeAll(() => {
  // Inside the project, so that the example finds what it imports.
  mkdirSync(join(root, "out"), { recursive: true });
  folder = mkdtempSync(join(root, "out", "claims-page-"));
  const entry = pathToFileURL(join(root, "properties", "index.ts")).href;
  const sim = pathToFileURL(join(root, "sim", "index.ts")).href;
  const lib = pathToFileURL(join(root, "lib", "index.ts")).href;
  for (const [name, text] of [
    ["claim.ts", blocks[0]!],
    ["run.ts", blocks[1]!],
    ["own.ts", blocks[2]!],
  ] as const) {
    const placed = text
      .replaceAll('"plumbvolt/properties"', JSON.stringify(entry))
      .replaceAll('"plumbvolt/sim"', JSON.stringify(sim))
      .replaceAll('"plumbvolt"', JSON.stringify(lib));
    writeFileSync(join(folder, name), placed);
  }
});

afterAll(() => {
  rmSync(folder, { recursive: true });
});

interface Page {
  readonly smallestMargin: (subject: Subject, firmware: Firmware, runs: number) => number;
}

test("the claim on the page is kept by a right firmware and broken by a wrong one", async () => {
  const { smallestMargin } = (await import(join(folder, "run.ts"))) as Page;
  const { unpluggedInASag: claim } = (await import(join(folder, "claim.ts"))) as {
    readonly unpluggedInASag: Claim;
  };
  expect(claim.id).toBe("R-17");
  const design = demoDesign("03-good-at-34-volts");
  const subject = { design, promises: DEFAULT_PROMISES, bounds: voltageBoundsOf(design) };
  const right = smallestMargin(subject, plainFirmware().open(), 40);
  expect(right).toBeGreaterThan(0);
  expect(right).toBeLessThan(1);
  expect(smallestMargin(subject, plainFirmware("offByTwoVolts").open(), 40)).toBeLessThan(0);
});

test("the page says how the claim is played to C", async () => {
  const { isKept } = (await import(join(folder, "own.ts"))) as { readonly isKept: boolean };
  expect(isKept).toBe(true);
}, 60_000);

test("the claim takes no more than thirty lines", () => {
  const lines = blocks[0]!.trimEnd().split("\n");
  const claimed = lines.filter((line) => line !== "" && !line.startsWith("import"));
  expect(claimed.length).toBeGreaterThan(10);
  expect(claimed.length).toBeLessThanOrEqual(30);
});

test("every claim is listed on the page with its sentence, in the order of the record", () => {
  const list = page.slice(page.indexOf("## The claims there are"));
  const listed = [...list.matchAll(/^\| `([a-z-]+)` +\| (.*?) +\|$/gm)].map(([, id, says]) => [
    id,
    says,
  ]);
  expect(listed).toEqual(ALL_CLAIMS.map(({ id, says }) => [id, says]));
});
