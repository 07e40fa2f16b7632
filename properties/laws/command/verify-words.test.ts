// Falsified by a last line that promises more than was played, a reason that is none, a journal
// that stands in the way of the next build, or a file that cannot be written told as a fault of the
// package.
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join, relative } from "node:path";
import { afterAll, expect, test } from "vitest";
import { runCommand } from "../../support/command-line.ts";

const folder = mkdtempSync(join(tmpdir(), "plumbvolt-words-"));
afterAll(() => rmSync(folder, { recursive: true }));
const file = (name: string): string => join(folder, name);

const examples = new URL("../../../examples/", import.meta.url).pathname;
const design = join(examples, "03-good-at-34-volts/design.json");
const firmware = join(examples, "21-trigger-firmware/build/trigger.firmware.json");
const few = ["--runs", "4", "--workers", "1"];
const verify = (claims: string, ...more: readonly string[]) =>
  runCommand("verify", design, "--firmware", firmware, "--claims", claims, ...few, ...more);

test("a list that was tried in part holds where tried, and the last line says so", async () => {
  const { out } = await verify("monotone");
  expect(out).toMatch(/^monotone .* holds where tried$/m);
  expect(out).toMatch(/^evidence; where tried, not for the whole of their lists: monotone$/m);
}, 60_000);

test("the canary alone is no evidence", async () => {
  const { code, out } = await verify("canary");
  expect(code).toBe(3);
  expect(out).toMatch(/a run, not evidence, because no claim was asked for but the canary/);
}, 60_000);

test("a shard says that it is one, and what it did not play is not called impossible", async () => {
  const { code, out } = await verify("range", "--shard", "2/2");
  expect(code).toBe(3);
  expect(out).toMatch(/^a part, not evidence: shard 2 of 2; plumbvolt merge joins the journals/m);
  expect(out).toMatch(/range: a run, not evidence, because edges: \d+ of 4 runs done/);
  expect(out).not.toContain("never occurred");
}, 60_000);

test("a shard that is none is refused with one fault", async () => {
  for (const shard of ["x", "3/2", "0/2", "1/2/3", "1/1001"]) {
    const { code, error } = await verify("range", "--shard", shard);
    expect(code).toBe(2);
    expect(error).toContain("1 fault");
    expect(error).toContain(`received "${shard}"`);
  }
});

test("a journal of other inputs is refused with what differs, and set aside where asked", async () => {
  const out = file("anew");
  await verify("range", "--out", out);
  const before = readFileSync(join(out, "journal.jsonl"), "utf8");
  const refused = await verify("range", "--out", out, "--seed", "7");
  expect(refused.code).toBe(2);
  expect(refused.error).toMatch(/with seed = 7, received one with \d+.*--anew/s);
  const again = await verify("range", "--out", out, "--seed", "7", "--anew");
  expect(again.code).not.toBe(2);
  expect(readFileSync(join(out, "journal.jsonl.before"), "utf8")).toBe(before);
}, 60_000);

test("a damaged line of a journal is told, and played again to the same record", async () => {
  const out = file("damaged");
  await verify("range", "--out", out);
  const record = readFileSync(join(out, "record.json"), "utf8");
  const journal = join(out, "journal.jsonl");
  writeFileSync(journal, readFileSync(journal, "utf8").replace('"failures":0', '"failures":1'));
  const merged = await runCommand("merge", journal, "--record", file("merged.json"));
  expect(merged.code).toBe(2);
  expect(merged.error).toMatch(/line \d+ does not have its checksum; run that shard again/);
  const { error } = await verify("range", "--out", out);
  expect(error).toMatch(/line \d+ does not have its checksum; what is missing is played again/);
  expect(readFileSync(join(out, "record.json"), "utf8")).toBe(record);
}, 60_000);

test("a place that cannot be written is bad input, told with its path", async () => {
  const taken = file("taken");
  writeFileSync(taken, "");
  const { code, error } = await verify("range", "--out", taken);
  expect(code).toBe(2);
  expect(error).toContain(taken);
  expect(error).toMatch(/received a file where a folder is needed/);
  const below = await verify("range", "--out", join(taken, "below"));
  expect(below.code).toBe(2);
  expect(below.error).toMatch(/received a path through something that is no folder/);
  const merged = await runCommand("merge", folder, "--record", file("none.json"));
  expect(merged.code).toBe(2);
  expect(merged.error).toMatch(/must be a readable file, received EISDIR/);
  expect(existsSync(file("none.json"))).toBe(false);
}, 60_000);

test("a refused configuration is told with what was given and where it comes from", async () => {
  const fast = file("fast.json");
  writeFileSync(fast, readFileSync(design, "utf8").replace('"10 kS/s"', '"1 MS/s"'));
  const flags = ["--firmware", firmware, "--claims", "range", ...few];
  const { code, error } = await runCommand("verify", fast, ...flags);
  expect(code).toBe(2);
  expect(error).toMatch(/tickRate = \d+, ticksPerSample = \d+; from timing\.sampleRate/);
}, 60_000);

test("a manifest that is not of what it names is refused", async () => {
  const text = readFileSync(firmware, "utf8");
  // Places as seen from the folder of the copy.
  const place = (name: string): string => relative(folder, join(dirname(firmware), name));
  const whole = text.replaceAll(
    /"file": "([^"]*\.(?:c|h|wasm|txt))"/g,
    (_, name: string) => `"file": ${JSON.stringify(place(name))}`,
  );
  const manifest = JSON.parse(whole) as Record<string, unknown>;
  const { package: files } = JSON.parse(text) as { readonly package: readonly object[] };
  const kept = { ...manifest, package: files };
  const refused: readonly (readonly [object, RegExp])[] = [
    [{ hash: "0".repeat(64) }, /hash must be that of what the manifest says/],
    [{ name: "other" }, /hash must be that of what the manifest says/],
    [{ port: "2.0" }, /version of the port must be "1\.0", received "2\.0" \(port\)/],
    [
      { package: [] },
      /file of the port must be the same in this package and in the build, received none/,
    ],
    [
      { package: [...files, { file: "gone.h", sha256: "0".repeat(64) }] },
      /file of the port must be the same .* received none \(gone\.h\)/,
    ],
    [{ colour: 1 }, /manifest .*copy\.firmware\.json[^]*field must be absent/],
  ];
  const copy = file("copy.firmware.json");
  for (const [change, expected] of refused) {
    writeFileSync(copy, JSON.stringify({ ...kept, ...change }));
    const flags = ["--firmware", copy, "--claims", "range", ...few];
    const { code, error } = await runCommand("verify", design, ...flags);
    expect(code).toBe(2);
    expect(error.replaceAll(/\s+/g, " ")).toMatch(expected);
  }
  writeFileSync(copy, JSON.stringify(kept));
  const { code } = await runCommand(
    "verify",
    design,
    "--firmware",
    copy,
    "--claims",
    "range",
    ...few,
  );
  expect(code).not.toBe(2);
}, 60_000);
