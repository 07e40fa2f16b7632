// Falsified by: a plan that its own schema refuses, accepted ranges printed wider than they were
// found, a table without room for results or without the cautions, or an exit code that hides a plan
// that does not work.
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { Ajv2020 } from "ajv/dist/2020.js";
import { describe, expect, test } from "vitest";
import { CAUTIONS } from "../../../lib/report/assumptions.ts";
import type { CheckpointDocument } from "../../../lib/report/checkpoint-document.ts";
import { checkpointJsonSchema } from "../../../lib/report/checkpoint-schema.ts";
import { runCommand } from "../../support/command-line.ts";

const POOR = fileURLToPath(
  new URL("../../../examples/04-percent-of-range/design.json", import.meta.url),
);
const isPlan = new Ajv2020({ strict: true, allowUnionTypes: true }).compile(checkpointJsonSchema());

const run = (...argv: readonly string[]) => runCommand("checkpoints", POOR, ...argv);

const flat = (text: string): string => text.replaceAll(/\s+/g, " ");

describe("plumbvolt checkpoints", () => {
  test("prints the same plan as page, JSON and CSV", async () => {
    const folder = mkdtempSync(join(tmpdir(), "plumbvolt-"));
    try {
      const json = await run("--json", "--out", folder);
      expect(json.code).toBe(0);
      const document = JSON.parse(json.out) as CheckpointDocument;
      expect(isPlan(document), JSON.stringify(isPlan.errors)).toBe(true);
      const csv = readFileSync(join(folder, "checkpoints.csv"), "utf8");
      const lines = csv.trim().split("\n");
      // A head, the points and the check in time, all with as many cells.
      expect(lines).toHaveLength(document.points.length + 2);
      const [head, ...rows] = lines.map((line) => line.replaceAll(/"[^"]*"/g, "text").split(","));
      for (const row of rows) expect(row).toHaveLength(head!.length);
      for (const [index, { accepted, voltage }] of document.points.entries()) {
        expect(rows[index]!.slice(0, 3).map(Number)).toEqual([
          voltage,
          accepted.lower,
          accepted.upper,
        ]);
        expect(rows[index]!.slice(3, 5)).toEqual(["", ""]);
      }
      const page = await run();
      const text = flat(page.out);
      for (const caution of CAUTIONS) expect(text).toContain(flat(caution));
      expect(page.out.split("\n").every((line) => line.length <= 100)).toBe(true);
      for (const { voltage, accepted } of document.points) {
        const row = page.out.split("\n").find((line) => new RegExp(`^ *${voltage} `).test(line));
        const [, from, to] = row!.trim().split(/\s+/).map(Number);
        expect(from).toBeGreaterThanOrEqual(accepted.lower);
        expect(to).toBeLessThanOrEqual(accepted.upper);
        expect(row).toContain("________");
      }
      expect(text).toContain("Proven after manufacture for");
    } finally {
      rmSync(folder, { recursive: true });
    }
  });

  test("ends with 1 where a statement leaves no room", async () => {
    const { code, out } = await run("--statement", "1 % + 1 V", "--calibration", "0.1 % + 10 mV");
    expect(code).toBe(1);
    expect(flat(out)).toContain("Not possible: at some points nothing is left");
    expect(out).toContain("no room");
  });

  test.each([
    [["--statement", "5 % at 34 V"], "without a place"],
    [["--statement", "many", "--calibration", "0"], "2 faults"],
    [["--readings", "1.5"], "number of readings"],
    [["--beyond", "half"], "a number"],
    [["--pins", "/nowhere.json"], "readable .json"],
  ])("%j is refused", async (options, words) => {
    const { code, out, error } = await run(...options);
    expect(code).toBe(2);
    expect(error).toContain(words);
    expect(out).toBe("");
  });
});
