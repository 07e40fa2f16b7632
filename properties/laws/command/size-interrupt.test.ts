// Falsified by an interrupt of the running process that loses what was found, by a result that does
// not say it is none of the whole space, by combinations that are not proven, by a wrong exit code.
import { spawn } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { parse } from "valibot";
import { afterAll, expect, test } from "vitest";
import { sizingDocumentSchema } from "../../../lib/report/sizing-schema.ts";
import { exampleCatalogue, leanQuestion } from "../../support/lean-sizing.ts";

/** Imports of the program below are relative to this folder. */
const here = fileURLToPath(new URL(".", import.meta.url));
const folder = mkdtempSync(join(tmpdir(), "plumbvolt-interrupt-"));
afterAll(() => rmSync(folder, { recursive: true }));

/** A search of seconds with proofs of milliseconds. */
function writeQuestion(): readonly string[] {
  const { template, catalogue } = leanQuestion();
  const { networks: _, ...all } = exampleCatalogue();
  const wide = { ...all, adjustments: catalogue.adjustments };
  writeFileSync(join(folder, "template.json"), JSON.stringify(template));
  writeFileSync(join(folder, "catalogue.json"), JSON.stringify(wide));
  return [join(folder, "template.json"), "--catalogue", join(folder, "catalogue.json")];
}

/** The command in a process of its own, which tells of its progress though no terminal listens. */
const PROGRAM = `
import { main } from "../../../lib/command/main.ts";
const write = (text) => process.stdout.write(text + "\\n");
const progress = (text) => process.stderr.write(text + "\\n");
const look = { colour: false, width: 100, version: "test" };
process.exitCode = await main(["node", "plumbvolt", ...process.argv.slice(1)], {
  print: write, printError: progress, progress, ...look,
});`;

interface Ended {
  readonly code: number | null;
  readonly signal: NodeJS.Signals | null;
  readonly text: string;
  readonly told: string;
}

/** Interrupts the search as soon as it has come so far that something is found. */
async function interrupted(...words: readonly string[]): Promise<Ended> {
  const program = ["--import", "tsx", "--input-type=module", "--eval", PROGRAM];
  const child = spawn(process.execPath, [...program, "--", ...words], { cwd: here });
  let [text, told, isSent] = ["", "", false];
  child.stdout.setEncoding("utf8").on("data", (more: string) => (text += more));
  child.stderr.setEncoding("utf8").on("data", (more: string) => {
    told += more;
    if (!isSent && told.includes("cheapest")) isSent = child.kill("SIGINT");
  });
  return new Promise((resolve, reject) => {
    child.once("error", reject);
    child.once("close", (code, signal) => resolve({ code, signal, text, told }));
  });
}

// A signal ends a process of Windows at once, whatever it would do about it.
test.skipIf(process.platform === "win32")(
  "an interrupt ends the search with the best so far, says so, and exits with 3",
  async () => {
    const asked = ["--require", "8 % at 34 V", "--out", folder];
    const { code, signal, text, told } = await interrupted("size", ...writeQuestion(), ...asked);
    expect([code, signal], told).toEqual([3, null]);
    expect(text).toMatch(/^Ended early: \d+ of \d+ structures searched; cheaper .* may exist\.$/m);
    expect(text).toContain("Cheapest found so far, cost ");
    expect(text).not.toContain("Cheapest that meets it");
    const json: unknown = JSON.parse(readFileSync(join(folder, "sizing.json"), "utf8"));
    const { complete, searched, cheapest } = parse(sizingDocumentSchema, json);
    expect(complete).toBe(false);
    expect(searched.structures).toBeGreaterThan(0);
    expect(searched.structures).toBeLessThan(searched.ofStructures);
    expect(cheapest!.requirements.map(({ verdict }) => verdict)).toEqual(["holds"]);
  },
  60_000,
);
