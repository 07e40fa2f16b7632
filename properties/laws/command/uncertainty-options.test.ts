// Falsified by a seed or a number of trials that does not reach the figures, by a budget for a
// calibrated unit that is no narrower than that of the type, or by an option passed over in silence.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import type { BudgetDocument, BudgetRow } from "../../../lib/report/budget-document.ts";
import { runCommand } from "../../support/command-line.ts";

const example = (name: string): string =>
  fileURLToPath(new URL(`../../../examples/03-good-at-34-volts/${name}`, import.meta.url));
const DESIGN = example("design.json");
const PARTICULARS = example("particulars.json");

async function run(...options: readonly string[]) {
  const few = [...(options.includes("--at") ? [] : ["--at", "34"]), "--from", "430"];
  return runCommand("budget", DESIGN, ...few, ...options);
}

async function rowOf(...options: readonly string[]): Promise<BudgetRow> {
  const { out } = await run("--json", "--trials", "20000", ...options);
  return (JSON.parse(out) as BudgetDocument).rows[0]!;
}

let folder = "";
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "plumbvolt-"));
});
afterAll(() => rmSync(folder, { recursive: true }));

describe("trials and seed", () => {
  test("decide the interval, and nothing that is proven", async () => {
    const [one, same, other] = [
      await rowOf("--at", "440", "--seed", "1"),
      await rowOf("--at", "440", "--seed", "1"),
      await rowOf("--at", "440", "--seed", "2"),
    ];
    expect(one).toEqual(same);
    expect(one.trials).toBe(20_000);
    // The ends move in steps of the display, but are wide enough apart to move.
    expect(other.coverageInterval).not.toEqual(one.coverageInterval);
    expect(other.expandedUncertainty).toBe(one.expandedUncertainty);
    expect(other.high).toEqual(one.high);
  });

  test.each([
    ["--trials", "many"],
    ["--trials", "0"],
    ["--seed", "-1"],
  ])("refuse %s %s", async (option, value) => {
    const { code, out, error } = await run(option, value);
    expect([code, out]).toEqual([2, ""]);
    expect(error).toContain(option);
  });
});

describe("the three budgets", () => {
  test("a calibrated unit is known better than the type, and a result no better than the unit", async () => {
    const given = ["--particulars", PARTICULARS];
    const type = await rowOf();
    const unit = await rowOf("--for", "unit", ...given);
    const result = await rowOf("--for", "result", ...given);
    expect(unit.expandedUncertainty!).toBeLessThan(type.expandedUncertainty!);
    expect(result.expandedUncertainty!).toBeGreaterThan(0);
    // Three questions, three answers; the proven figures are of the type in each.
    expect(new Set([type, unit, result].map((row) => row.expandedUncertainty)).size).toBe(3);
    expect([unit.high, result.high]).toEqual([type.high, type.high]);
  });

  test("say on the terminal of what they speak", async () => {
    const { out } = await run("--for", "unit", "--particulars", PARTICULARS);
    expect(out.replaceAll(/\s+/g, " ")).toContain("certificate 0417 (invented)");
  });

  test.each([
    ["a subject that is none", ["--for", "batch"], "--for"],
    ["a unit without its certificate", ["--for", "unit"], "--particulars"],
    ["particulars for the type", ["--particulars", PARTICULARS], "--particulars"],
    ["a file that is not there", ["--for", "unit", "--particulars", "none.json"], "none.json"],
  ])("refuse %s", async (_, options, named) => {
    const { code, out, error } = await run(...options);
    expect([code, out]).toEqual([2, ""]);
    expect(error).toContain(named);
  });

  test("report every fault of the particulars at once", async () => {
    const faulty = JSON.parse(readFileSync(PARTICULARS, "utf8")) as {
      certificate: { coverageFactor: number; points: { expandedUncertainty: string }[] };
    };
    faulty.certificate.coverageFactor = -2;
    faulty.certificate.points[0]!.expandedUncertainty = "3 kg";
    const file = join(folder, "faulty.json");
    writeFileSync(file, JSON.stringify(faulty));
    const { code, error } = await run("--for", "unit", "--particulars", file);
    expect(code).toBe(2);
    expect(error).toContain("certificate.coverageFactor");
    expect(error).toContain("certificate.points[0].expandedUncertainty");
  });
});
