// Falsified by: a decision that its own schema refuses, a command whose exit code does not tell what
// happened, an option passed over, or a page without the cautions.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { Ajv2020 } from "ajv/dist/2020.js";
import { describe, expect, test } from "vitest";
import type { DecisionDocument, WayRow } from "../../../lib/report/decision-document.ts";
import { decisionJsonSchema } from "../../../lib/report/decision-schema.ts";
import { CAUTIONS } from "../../../lib/report/assumptions.ts";
import { runCommand } from "../../support/command-line.ts";

const GOOD = fileURLToPath(
  new URL("../../../examples/03-good-at-34-volts/design.json", import.meta.url),
);
const isDecision = new Ajv2020({ strict: true, allowUnionTypes: true }).compile(
  decisionJsonSchema(),
);

const run = (...argv: readonly string[]) => runCommand("decide", GOOD, ...argv);

const flat = (text: string): string => text.replaceAll(/\s+/g, " ");

describe("plumbvolt decide", () => {
  test("prints the same decision as page, JSON and file", async () => {
    const folder = mkdtempSync(join(tmpdir(), "plumbvolt-"));
    try {
      const parts = join(folder, "pins.json");
      writeFileSync(parts, JSON.stringify({ parts: [{ name: "lead", capacitance: "20 pF" }] }));
      const asked = "--limit=iec-60335-1-22.5|--capacitance=0.22 uF +/-20 %|--risk=1 %";
      const known = `--indication=31 V|--prior=20 V, 5 V, lot 7|--pins=${parts}`;
      const options = `${asked}|${known}|--optimum|--earth=4.7 nF +/-10 %`.split("|");
      const json = await run(...options, "--json", "--out", folder);
      expect(json.code).toBe(0);
      const document = JSON.parse(json.out) as DecisionDocument;
      expect(isDecision(document), JSON.stringify(isDecision.errors)).toBe(true);
      expect(readFileSync(join(folder, "decision.json"), "utf8").trim()).toBe(json.out.trim());
      expect(document.product.capacitance.lower).toBeCloseTo(0.176e-6, 15);
      expect(document.product.capacitance.upper).toBeCloseTo(0.264e-6, 15);
      expect(document.pins.parts.map(({ name }) => name)).toEqual(["divider", "lead"]);
      expect(document.measurand).toEqual({ definition: "unloaded", reason: "stated by the line" });
      expect(document.threeConductors?.pairs.map(({ pair }) => pair)).toEqual([
        "L-N",
        "L-PE",
        "N-PE",
      ]);
      const way = document.ways[0] as WayRow;
      expect(way.rules.map(({ rule }) => rule.kind)).toContain("specificRisk");
      expect(way.provenVerdict).toBe("pass");
      const chart = readFileSync(join(folder, "error-against-resistance.svg"), "utf8");
      expect(chart).toContain("Error against input resistance");
      const statements = readFileSync(join(folder, "statements-against-voltage.svg"), "utf8");
      expect(statements).toContain("Accuracy statements against voltage");
      expect(chart).not.toMatch(/NaN|Infinity|undefined/);
      const page = await run(...options);
      const text = flat(page.out);
      for (const caution of CAUTIONS) expect(text).toContain(flat(caution));
      expect(text).toContain("source: lot 7");
      expect(text).toContain("not met by every unit");
      expect(page.out.split("\n").every((line) => line.length <= 100)).toBe(true);
      // The acceptance limit is printed no higher than it was proven.
      const [, printed] = /Proven: below ([\d.]+) V/.exec(text) ?? [];
      expect(Number(printed)).toBeLessThanOrEqual(way.proven[0]!.acceptBelow);
      expect(way.proven[0]!.acceptBelow - Number(printed)).toBeLessThan(0.001);
    } finally {
      rmSync(folder, { recursive: true });
    }
  });

  test("ends with 1 where a reading is not surely accepted", async () => {
    const { code, out } = await run("--limit", "34 V", "--indication", "33.9 V");
    expect(code).toBe(1);
    expect(out).toContain("not proven");
    expect(out).toContain("assumed: not declared");
  });

  test("ends with 1 where no way can be decided by a voltage", async () => {
    const { code, out } = await run("--limit", "45 uC at 1 s");
    expect(code).toBe(1);
    expect(out).toContain("capacitance between the pins must be declared");
  });

  test("says once after which time a share of the initial voltage counts", async () => {
    const { out } = await run("--limit", "iec-60950-1-2.1.1.7/type-a", "--json");
    const { text } = (JSON.parse(out) as DecisionDocument).line;
    expect(text).toBe("37 % of the initial voltage after 1 s");
  });

  test("names a recalled line as such, with the advice to check", async () => {
    const { out } = await run("--limit", "iec-61558-1-plug", "--measurand", "as-loaded");
    expect(flat(out)).toContain("recalled and not read in the standard");
    expect(flat(out)).toContain("as loaded by the tester (asked for)");
  });

  test.each([
    [["--limit", "nonsense"], "limit line must be"],
    [["--limit", "34 V", "--capacitance", "3 V", "--prior", "1 V"], "2 faults"],
    [["--limit", "34 V", "--capacitance", "0.3 uF to 0.1 uF"], "not above the upper one"],
    [["--limit", "34 V", "--capacitance", "0.3 uF +/-100 %"], "below 100 %"],
    [["--limit", "34 V", "--risk", "60 %", "--openings", "0"], "2 faults"],
    [["--limit", "34 V", "--indication", "12 A"], "--indication"],
    [["--limit", "34 V", "--pins", "/nowhere.json"], "readable .json"],
    [["--limit", "34 V", "--measurand", "guessed"], "--measurand"],
    [[], "--limit"],
  ])("%j is refused", async (options, words) => {
    const { code, out, error } = await run(...options);
    expect(code).toBe(2);
    expect(error).toContain(words);
    expect(out).toBe("");
  });
});
