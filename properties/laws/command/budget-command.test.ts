// Falsified by an exit code other than 0 for a design whose requirements all hold, 1 for one with a
// requirement that does not, 2 for input that cannot be used; by bad input that is silently passed
// over or reported on the wrong stream; or by JSON that its own schema refuses.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { Ajv2020 } from "ajv/dist/2020.js";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import type { BudgetDifference } from "../../../lib/report/budget-difference.ts";
import type { BudgetDocument } from "../../../lib/report/budget-document.ts";
import { budgetJsonSchema } from "../../../lib/report/budget-schema.ts";
import { designJsonSchema } from "../../../lib/design/design-json-schema.ts";
import { exampleDocument } from "../../support/example-designs.ts";
import type { Example } from "../../support/example-designs.ts";
import { runCommand, TEST_VERSION } from "../../support/command-line.ts";
import type { CommandRun } from "../../support/command-line.ts";

/** The statement is made for the top of the range only: what it says is not the matter here. */
const FEW = ["--at", "34,126", "--from", "430"];
const isBudget = new Ajv2020({ strict: true, allowUnionTypes: true }).compile(budgetJsonSchema());

const fileOf = (example: Example | "05-faulty"): string =>
  fileURLToPath(new URL(`../../../examples/${example}/design.json`, import.meta.url));
const GOOD = fileOf("03-good-at-34-volts");
const POOR = fileOf("02-two-point");
const FAULTY = fileOf("05-faulty");

/** Bad input says why on the error stream and prints no figure. */
function expectRefused({ code, out, error }: CommandRun): string {
  expect(code).toBe(2);
  expect(out).toBe("");
  expect(error).not.toBe("");
  return error;
}

let folder = "";
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "plumbvolt-"));
});
afterAll(() => rmSync(folder, { recursive: true }));

describe("budget of one design", () => {
  test("ends with 0 where every requirement holds, and prints the budget", async () => {
    const { code, out, error } = await runCommand("budget", GOOD, ...FEW);
    expect([code, error]).toEqual([0, ""]);
    expect(out).toContain("Requirements: 3 hold");
    expect(out).toMatch(/^ +34 +-0\.5\d+ /m);
    expect(out).not.toContain("as designed");
  });

  test("ends with 1 where a requirement does not hold", async () => {
    const { code, out, error } = await runCommand("budget", POOR, ...FEW);
    expect([code, error]).toEqual([1, ""]);
    expect(out).toContain("3 do not hold");
  });

  test("gives JSON that its schema accepts, with effects only where they are asked for", async () => {
    const { code, out } = await runCommand("budget", GOOD, "--json", ...FEW);
    expect(code).toBe(0);
    const document = JSON.parse(out) as BudgetDocument;
    expect(isBudget(document), JSON.stringify(isBudget.errors)).toBe(true);
    expect(document.rows.map(({ voltage }) => voltage)).toEqual([34, 126]);
    expect(document.producer).toEqual({ name: "plumbvolt", version: TEST_VERSION });
    expect(document.effects).toBeUndefined();
    const asked = await runCommand("budget", GOOD, "--json", "--effects", ...FEW);
    const { effects, ...rest } = JSON.parse(asked.out) as BudgetDocument;
    expect(rest).toEqual(document);
    expect(effects).toHaveLength(6);
    expect(isBudget({ ...rest, effects }), JSON.stringify(isBudget.errors)).toBe(true);
    const [first] = effects!;
    for (const wrong of [{ ...first, outcome: "notPossible" }, { ...first, extra: 1 }, {}])
      expect(isBudget({ ...rest, effects: [wrong] })).toBe(false);
  });

  test("adds the effects to the text, and what is not possible with its reason", async () => {
    const document = exampleDocument("01-no-adjustment");
    document.conditions.referenceAmbient = "-20 degC";
    const file = join(folder, "cold.json");
    writeFileSync(file, JSON.stringify(document));
    const { out } = await runCommand("budget", file, "--effects", "--at", "34", "--from", "430");
    const [, text] = out.split("What adjustment, temperature and time do to the error");
    expect(text).toMatch(/^ +34 +as designed( +-?\d\.\d+){4} +100\.0$/m);
    expect(text).toMatch(/^ +2 years after manufacture( +-?\d\.\d+){4} +100\.\d to 100\.\d$/m);
    expect(text).toMatch(/^Not possible ambient at -20 °C: ambient temperature must be inside/m);
    for (const line of out.split("\n")) expect(line.length).toBeLessThanOrEqual(100);
  });

  test("writes the JSON that it prints, the charts and the certificate into a folder", async () => {
    const place = join(folder, "out", "deep");
    const { out } = await runCommand("budget", GOOD, "--json", "--effects", "--out", place, ...FEW);
    const read = (name: string): string => readFileSync(join(place, name), "utf8");
    expect(read("budget.json")).toBe(`${out}\n`);
    expect(read("error-against-voltage.svg")).toContain("<svg");
    expect(read("largest-terms.svg")).toContain("<svg");
    const written = JSON.parse(read("certificate.json")) as { format: string };
    expect(written.format).toBe("plumbvolt.certificate/1");
  });
});

describe("budget of two designs", () => {
  test("ends as the second design would, and prints what changes", async () => {
    const better = await runCommand("budget", POOR, GOOD, ...FEW);
    expect([better.code, better.error]).toEqual([0, ""]);
    expect(better.out).toContain("Requirements: 3 verdicts change");
    const worse = await runCommand("budget", GOOD, POOR, "--json", "--out", folder, ...FEW);
    expect([worse.code, worse.error]).toEqual([1, ""]);
    const difference = JSON.parse(worse.out) as BudgetDifference;
    expect(difference.format).toBe("plumbvolt.difference/1");
    expect(difference.rows.map(({ voltage, order }) => [voltage, order])).toEqual([
      [34, "larger"],
      [126, "larger"],
    ]);
    expect(readFileSync(join(folder, "difference.json"), "utf8")).toBe(`${worse.out}\n`);
  });

  test("reports the faults of both files together, each with its file", async () => {
    const error = expectRefused(await runCommand("budget", FAULTY, join(folder, "none.json")));
    expect(error).toContain("designs: 6 faults");
    expect(error).toContain(`(${FAULTY}: filter.dielectric)`);
    expect(error).toContain(`received ENOENT (${join(folder, "none.json")})`);
  });

  test("has no effects and no third design", async () => {
    const refused = expectRefused(await runCommand("budget", POOR, GOOD, "--effects", ...FEW));
    expect(refused).toContain("must be given with one design, received two designs (--effects)");
    expect(expectRefused(await runCommand("budget", POOR, GOOD, GOOD))).toContain(
      "too many arguments",
    );
  });

  test("wants voltages that both designs measure", async () => {
    const error = expectRefused(await runCommand("budget", POOR, GOOD, "--at", "34,500"));
    expect(error).toMatch(/2 faults\n.*T2, .*received "500" \(--at\)\n.*T3, .*received "500"/);
  });
});

describe("bad input", () => {
  test("is reported with every fault of the design", async () => {
    const error = expectRefused(await runCommand("budget", FAULTY));
    expect(error).toContain("design: 5 faults");
    for (const place of [
      "conditions.ambient",
      "divider.upper[0].resistance",
      "divider.upper[0].voltageCoefficient",
      "filter.dielectric",
    ])
      expect(error).toContain(`(${place})`);
    expect(error.match(/^ {2}- .* must be .*, received .*/gm)).toHaveLength(5);
  });

  test("is an option that is mistyped, one without its value, or no design at all", async () => {
    expect(expectRefused(await runCommand("budget", GOOD, "--jsn"))).toContain("'--jsn'");
    expect(expectRefused(await runCommand("budget", GOOD, "--at"))).toContain("argument missing");
    expect(expectRefused(await runCommand("budget"))).toContain(
      "missing required argument 'design'",
    );
    expect(expectRefused(await runCommand("bugdet", GOOD))).toContain("unknown command 'bugdet'");
  });

  test("is every option that cannot be read, all at once", async () => {
    const options = ["--at", "34,-441 V,12 A,", "--percent", "1 V"];
    const error = expectRefused(await runCommand("budget", GOOD, ...options));
    expect(error).toContain("options: 4 faults");
    expect(error).toContain('inside the measuring interval -440 V to 440 V, received "-441 V"');
    expect(error).toContain('received "12 A" (--at)');
    expect(error).toContain('received "" (--at)');
    expect(error).toContain('received "1 V" (--percent)');
  });

  test("is a file that is no design: missing, no JSON, or of another kind", async () => {
    const text = join(folder, "text.json");
    writeFileSync(text, "not JSON");
    expect(expectRefused(await runCommand("budget", text))).toContain(
      "received text that is no JSON",
    );
    expect(expectRefused(await runCommand("budget", "design.yaml"))).toContain(
      "another kind of file",
    );
    expect(expectRefused(await runCommand("budget", join(folder, "no.json")))).toContain("ENOENT");
  });
});

describe("the other commands", () => {
  test("schema prints the JSON Schema of either document", async () => {
    for (const [document, schema] of [
      ["design", designJsonSchema()],
      ["budget", budgetJsonSchema()],
    ] as const) {
      const { code, out } = await runCommand("schema", document);
      expect(code).toBe(0);
      expect(JSON.parse(out)).toEqual(JSON.parse(JSON.stringify(schema)));
    }
    const ajv = new Ajv2020({ strict: true, strictTuples: false, allowUnionTypes: true });
    const isDesign = ajv.compile(designJsonSchema());
    expect(isDesign(exampleDocument("02-two-point"))).toBe(true);
    expect(isDesign({ ...exampleDocument("02-two-point"), extra: 1 })).toBe(false);
    expectRefused(await runCommand("schema", "firmware"));
  });

  test("help and version are no faults, and the help states the exit codes", async () => {
    expect(await runCommand("--version")).toEqual({ code: 0, out: TEST_VERSION, error: "" });
    const { code, out } = await runCommand("budget", "--help");
    expect(code).toBe(0);
    expect(out).toMatch(/Exit code: 0 when .* 1 when .*\s.*2\s+for bad input/);
    expect(out).toContain("the requirements of the second decide");
  });
});
