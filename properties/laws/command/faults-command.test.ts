// Falsified by a fault, written or generated, that is not built into the firmware, by a table that its published schema
// refuses, by an exit code that is not the verdict's, by a run that does not go on where it stopped,
// and by bad input that is not told with all its faults.
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { parse } from "valibot";
import { afterAll, expect, test } from "vitest";
import { faultTableSchema } from "../../faults/fault-table-schema.ts";
import type { FaultOperator } from "../../faults/fault-operators.ts";
import { generatedFaults } from "../../faults/generated-faults.ts";
import { sourcesOfManifest } from "../../../sim/firmware/firmware-files.ts";
import { runCommand } from "../../support/command-line.ts";

const folder = mkdtempSync(join(tmpdir(), "plumbvolt-faults-"));
afterAll(() => rmSync(folder, { recursive: true }));

const example = new URL("../../../examples/", import.meta.url).pathname;
const design = join(example, "02-two-point/design.json");
const manifest = join(example, "21-trigger-firmware/build/trigger.firmware.json");
const asked = ["faults", design, "--firmware", manifest, "--claims", "range,conversion"];

test("a fault of the firmware and one of the front end are noticed, twice with the same bytes", async () => {
  const out = join(folder, "out");
  const few = ["--only", "no-range-flag,input-clipped", "--runs", "8", "--workers", "1"];
  const { code, out: text } = await runCommand(...asked, ...few, "--out", out, "--json");
  expect(code).toBe(0);
  const { faults, verdict } = parse(faultTableSchema, JSON.parse(text));
  expect(verdict).toBe("holds");
  expect(faults.map(({ id, outcome }) => [id, outcome])).toEqual([
    ["no-range-flag", "caught"],
    ["input-clipped", "caught"],
  ]);
  expect(faults[0]!.noticedBy.map(({ claim }) => claim)).toEqual(["range"]);
  expect(readFileSync(join(out, "fault-table.json"), "utf8")).toBe(`${text}\n`);
  const report = readFileSync(join(out, "mutation-report.json"), "utf8");
  // The journal knows every block: nothing is played, and nothing differs.
  const again = await runCommand(...asked, ...few, "--out", out, "--json");
  expect(again.out).toBe(text);
  expect(readFileSync(join(out, "mutation-report.json"), "utf8")).toBe(report);
}, 60_000);

test("a fault that nothing notices ends with exit 1 and is named", async () => {
  const few = ["--only", "late-latch", "--runs", "4", "--workers", "1"];
  const document = join(folder, "faults.json");
  const own = { id: "late-latch", says: "Late.", caughtBy: ["range"] };
  const edits = [
    { file: "windows.c", find: "#define SPAN_SHARE 8", replace: "#define SPAN_SHARE 9" },
  ];
  const faults = [{ ...own, edits }];
  writeFileSync(document, JSON.stringify({ format: "plumbvolt.faults/1", faults }));
  const { code, out } = await runCommand(...asked, ...few, "--faults", document);
  expect(code).toBe(1);
  expect(out).toContain("NOTHING NOTICES IT");
  expect(out).toContain("0 of 1 faults are noticed");
}, 60_000);

test("generated faults are built, played and put into both documents", async () => {
  const sources = sourcesOfManifest(manifest);
  const generated = generatedFaults(sources.sources).lines.flat();
  const idOf = (name: string, operator: FaultOperator): string =>
    generated.find((fault) => fault.within === name && fault.operator === operator)!.id;
  const scaled = idOf("wide_units_of_mean", "arithmetic");
  const agreed = idOf("PERIODS_TO_AGREE", "constant");
  const out = join(folder, "generated");
  const few = ["--generated", "--only", `${scaled},${agreed}`, "--runs", "8", "--workers", "1"];
  const { code, out: text } = await runCommand(...asked, ...few, "--out", out, "--json");
  // The one that survives has its written reason beside the firmware.
  expect(code).toBe(0);
  const table = parse(faultTableSchema, JSON.parse(text));
  expect(table.generated!.faults.map(({ id, outcome }) => [id, outcome]).toSorted()).toEqual(
    [
      [scaled, "caught"],
      [agreed, "accepted"],
    ].toSorted(),
  );
  expect(table.generated!.faults.find(({ id }) => id === scaled)!.noticedBy).toHaveLength(1);
  const { files } = JSON.parse(readFileSync(join(out, "mutation-report.json"), "utf8"));
  for (const [id, file, status] of [
    [scaled, "convert.c", "Killed"],
    [agreed, "trigger.c", "Ignored"],
  ] as const) {
    const [mutant] = files[file].mutants;
    expect(mutant).toMatchObject({ id, status });
    const fault = generated.find((one) => one.id === id)!;
    expect(mutant.location.start.line).toBe(fault.line);
    expect(mutant.replacement).toBe(fault.becomes);
  }

  // Without the reasons the same fault is one that nothing notices.
  const copy = join(folder, "without-reasons");
  const filter = (from: string): boolean => !from.endsWith("survivors.json");
  cpSync(join(example, "21-trigger-firmware"), copy, { recursive: true, filter });
  const bare = join(copy, "build/trigger.firmware.json");
  const again = asked.map((word) => (word === manifest ? bare : word));
  const alike = few.map((word) => (word.includes(agreed) ? agreed : word));
  const unreasoned = await runCommand(...again, ...alike, "--json");
  expect(unreasoned.code).toBe(1);
  const alone = parse(faultTableSchema, JSON.parse(unreasoned.out));
  expect(alone.generated!.faults.map(({ outcome }) => outcome)).toEqual(["survives"]);
  expect(alone.reasons.join()).toContain("no reason is written");
}, 60_000);

test("faults are not generated from firmware that is no C", async () => {
  const firmware = join(example, "22-typescript-firmware/firmware.ts");
  const told = await runCommand("faults", design, "--firmware", firmware, "--generated");
  expect(told.code).toBe(2);
  expect(told.error).toMatch(/faults are generated from C sources/);
});

test("bad input is told with every fault, exit 2", async () => {
  const few = ["--runs", "0", "--workers", "many"];
  const flags = await runCommand(...asked, ...few);
  expect(flags.code).toBe(2);
  expect(flags.error).toMatch(/--runs[^]*--workers/);
  const unknown = await runCommand(...asked, "--only", "no-such-fault,nor-this");
  expect(unknown.code).toBe(2);
  expect(unknown.error).toMatch(/no-such-fault[^]*nor-this/);
  const document = join(folder, "moved.json");
  const edits = [{ file: "windows.c", find: "nowhere", replace: "" }];
  const faults = [{ id: "moved", says: "Gone.", edits, caughtBy: ["range", "rnage"] }];
  writeFileSync(document, JSON.stringify({ format: "plumbvolt.faults/1", faults }));
  const moved = await runCommand(...asked, "--faults", document);
  expect(moved.code).toBe(2);
  expect(moved.error).toContain("moved.edits[0].find");
  expect(moved.error).toMatch(/received "rnage" \(moved\.caughtBy\[1\]\)/);
});
