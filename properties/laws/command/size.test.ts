// Falsified by a chosen design that `budget` does not accept, by a wrong exit code, by a fault
// without its place, or by a JSON document that its published schema refuses.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { parse } from "valibot";
import { afterAll, expect, test } from "vitest";
import { sizingDocumentSchema } from "../../../lib/report/sizing-schema.ts";
import { whatIfSchema } from "../../../lib/report/what-if-schema.ts";
import type { CatalogueDocument } from "../../../lib/sizing/catalogue-schema.ts";
import type { BudgetDocument } from "../../../lib/report/budget-document.ts";
import { runCommand } from "../../support/command-line.ts";

const folder = mkdtempSync(join(tmpdir(), "plumbvolt-size-"));
afterAll(() => rmSync(folder, { recursive: true }));

const example = new URL("../../../examples/31-sizing/", import.meta.url);
const template = new URL("template.json", example).pathname;

/** Two parts of a kind, so that the search takes a moment. */
function smallCatalogue(): string {
  const text = readFileSync(new URL("catalogue.json", example), "utf8");
  const { networks: _, ...catalogue } = JSON.parse(text) as CatalogueDocument;
  const pick = <Part>(list: readonly Part[] | undefined, ...places: number[]): Part[] =>
    places.map((place) => list![place]!);
  const { upper, lower } = catalogue;
  const small = {
    ...catalogue,
    upper: { ...upper, from: "10 Mohm", to: "10 Mohm", grades: pick(upper?.grades, 2, 3) },
    lower: { ...lower, rooms: ["6 %"], grades: pick(lower?.grades, 1, 2) },
    references: pick(catalogue.references, 1, 2),
    converters: pick(catalogue.converters, 5, 6),
    buffers: pick(catalogue.buffers, 2, 3),
    clamps: pick(catalogue.clamps, 2, 3),
    adjustments: pick(catalogue.adjustments, 0),
  };
  const path = join(folder, "catalogue.json");
  writeFileSync(path, JSON.stringify(small));
  return path;
}

test("the chosen design is written whole, and its own budget proves the requirement", async () => {
  const out = join(folder, "out");
  const catalogue = smallCatalogue();
  const asked = ["size", template, "--require", "9 % at 34 V", "--catalogue", catalogue];
  const { code, out: text } = await runCommand(...asked, "--out", out, "--json");
  expect(code).toBe(0);
  const document = parse(sizingDocumentSchema, JSON.parse(text));
  expect(document.combinations).toBe(64);
  expect(document.cheapest!.requirements.map(({ verdict }) => verdict)).toEqual(["holds"]);
  expect(document.byError.some(({ cost }) => cost === document.cheapest!.cost)).toBe(true);
  const budget = await runCommand("budget", join(out, "design.json"), "--at", "34", "--json");
  expect(budget.code).toBe(0);
  expect(readFileSync(join(out, "cost-against-error.svg"), "utf8")).toContain("<svg");
}, 60_000);

test("what single changes do is told as its published schema says", async () => {
  const out = join(folder, "what-if");
  const design = new URL("../03-good-at-34-volts/design.json", example).pathname;
  const asked = ["size", design, "--require", "5 % at 34 V", "--out", out, "--json"];
  const { code, out: text } = await runCommand(...asked);
  expect(code).toBe(0);
  expect(readFileSync(join(out, "what-if.json"), "utf8")).toBe(`${text}\n`);
  const { require, slacks, used } = parse(whatIfSchema, JSON.parse(text));
  expect(require).toEqual(["5 % at 34 V"]);
  expect(used).toBeLessThanOrEqual(1);
  // The budget of the same design proves the same share, to the tolerance of a proof. Five percent
  // of the indication x + e allow e up to 0.05 x / 0.95 above and 0.05 x / 1.05 below.
  const budget = await runCommand("budget", design, "--at", "34", "--json");
  const { rows } = JSON.parse(budget.out) as BudgetDocument;
  const { high, low } = rows.find(({ voltage }) => voltage === 34)!;
  const shares = [(high.proven * 0.95) / 1.7, (-low.proven * 1.05) / 1.7];
  expect(used! / Math.max(...shares)).toBeCloseTo(1, 2);
  expect(slacks.every(({ holdsAt }) => holdsAt! >= 1)).toBe(true);
  expect(readFileSync(join(out, "error-against-bits.svg"), "utf8")).toContain("<svg");
}, 60_000);

test("what cannot be met is answered with the nearest miss and its terms, exit 1", async () => {
  const catalogue = smallCatalogue();
  const asked = ["size", template, "--require", "0.01 % at 34 V", "--catalogue", catalogue];
  const { code, out: text } = await runCommand(...asked);
  expect(code).toBe(1);
  expect(text).toContain("No combination meets it. The nearest takes");
  expect(text).toContain("largest terms:");
}, 60_000);

test("a capacitance out of reach is answered with the one that can be reached", async () => {
  const catalogue = smallCatalogue();
  const asked = ["size", template, "--require", "9 % at 34 V", "--catalogue", catalogue];
  const { code, out: text } = await runCommand(...asked, "--capacitance", "100 nF");
  expect(code).toBe(1);
  expect(text).toContain("The error alone can be met, down to a product of");
}, 60_000);

test("bad input is refused with places, exit 2", async () => {
  const range = await runCommand(
    "size",
    template,
    "--require",
    "5 %",
    "--catalogue",
    smallCatalogue(),
  );
  expect(range.code).toBe(2);
  expect(range.error).toContain("(require[0])");
  const none = await runCommand(
    "size",
    template,
    "--require",
    "5 % at 34 V",
    "--catalogue",
    "none.json",
  );
  expect(none.code).toBe(2);
  expect(none.error).toContain("none.json");
});
