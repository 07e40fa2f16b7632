// Falsified by: an example on the page about deciding that does not run, prints something else than
// the page says, or is no file that the command reads.
import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { expect, test } from "vitest";
import { readPinParts } from "../../lib/decision/read-pin-parts.ts";

const page = readFileSync(new URL("../../docs/deciding.md", import.meta.url), "utf8");
const block = (language: string): string =>
  new RegExp(`\`\`\`${language}\\n([\\s\\S]*?)\`\`\``).exec(page)?.[1] ?? "";

test("the example of the library prints what the page says", () => {
  const index = new URL("../../lib/index.ts", import.meta.url).href;
  expect(block("ts")).toContain('from "plumbvolt"');
  const folder = mkdtempSync(join(tmpdir(), "page-"));
  try {
    const file = join(folder, "example.mts");
    writeFileSync(file, block("ts").replace('"plumbvolt"', JSON.stringify(index)));
    const cwd = fileURLToPath(new URL("../..", import.meta.url));
    const printed = execFileSync(process.execPath, ["--import", "tsx", file], {
      cwd,
      encoding: "utf8",
    });
    expect(printed).toBe(block("text"));
  } finally {
    rmSync(folder, { recursive: true });
  }
});

test("the file of parts between the pins is one", () => {
  const parts = readPinParts(JSON.parse(block("json")));
  expect(parts.map(({ name }) => name)).toEqual(["lead, 1 m", "socket"]);
});
