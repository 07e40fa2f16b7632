// Falsified by a word in a file of the project that speaks of how the work was organised and not of
// the work, or of a machine that a reader does not have.
import { existsSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { filesIn, ROOT } from "../support/source-files.ts";

const FOLDERS = ["lib", "sim", "properties", "examples", "bench", "bin", "docs", ".ci"];
const ENDINGS = [".ts", ".mjs", ".json", ".md", ".c", ".h", ".svg", ".txt", "run"];

/** Written in parts, so that this file does not hold them. */
const WORDS = [
  ["ses", "sions?"],
  ["age", "nts?"],
  ["chat", "bots?"],
  ["assi", "stants?"],
  ["co-?", "workers?"],
  ["language ", "models?"],
  ["large ", "models?"],
].map((parts) => parts.join(""));

const PLACES = [
  ["/wo", "rk/"],
  ["/tm", "p/"],
  ["/ho", "me/"],
  ["/ro", "ot/"],
  ["local", "host"],
].map((parts) => parts.join(""));

const pattern = new RegExp(`\\b(?:${WORDS.join("|")})\\b|${PLACES.join("|")}`, "i");

test("no file speaks of the place it was written in", () => {
  const files = filesIn(
    FOLDERS.filter((folder) => existsSync(join(ROOT, folder))),
    ENDINGS,
  );
  expect(files.size).toBeGreaterThan(200);
  const found = [...files].flatMap(([path, text]) =>
    text
      .split("\n")
      .flatMap((line, index) =>
        pattern.test(line) ? [`${path}:${index + 1}: ${line.trim()}`] : [],
      ),
  );
  expect(found).toEqual([]);
});

test("the check sees such a word", () => {
  expect(pattern.test(`see the last ${["ses", "sion"].join("")}`)).toBe(true);
  expect(pattern.test(`at ${["/wo", "rk/main"].join("")}`)).toBe(true);
  expect(pattern.test("obsession with reagents")).toBe(false);
});
