// Falsified by an example of the guide that does not run or prints something else than its page
// says, a page without the words of caution, or a list of requirements that is none.
import { execFile } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import { expect, test } from "vitest";
import { readRecordRequirements } from "../../lib/report/read-record-requirements.ts";

const root = fileURLToPath(new URL("../../", import.meta.url));
const PAGES = ["design", "guarantee", "firmware", "evidence"] as const;

function pageOf(name: string): string {
  return readFileSync(join(root, "docs", "guide", `${name}.md`), "utf8");
}

function block(page: string, language: string): string {
  return new RegExp(`\`\`\`${language}\n([\\s\\S]*?)\`\`\``).exec(page)?.[1] ?? "";
}

/** Runs the code of a page from the project's folder, with the sources in place of the package. */
async function printed(code: string): Promise<string> {
  const folder = mkdtempSync(join(root, "properties", "guide-"));
  try {
    const file = join(folder, "example.mts");
    const source = code
      .replace('"plumbvolt/sim"', JSON.stringify(join(root, "sim", "index.ts")))
      .replace('"plumbvolt"', JSON.stringify(join(root, "lib", "index.ts")));
    writeFileSync(file, source);
    const run = promisify(execFile)(process.execPath, ["--import", "tsx", file], { cwd: root });
    return (await run).stdout;
  } finally {
    rmSync(folder, { recursive: true });
  }
}

test.each(PAGES)("the example of the page %s prints what the page says", async (name) => {
  const page = pageOf(name);
  const code = block(page, "ts");
  expect(code).toMatch(/from "plumbvolt(?:\/sim)?"/);
  expect(await printed(code)).toBe(block(page, "text"));
});

test.each(PAGES)("the page %s says whose decision it is", (name) => {
  expect(pageOf(name)).toMatch(/can kill[\s\S]*licensed or competent person decide/);
});

test("the list of requirements on the page is one", () => {
  const list = readRecordRequirements(JSON.parse(block(pageOf("evidence"), "json")));
  expect(list.map(({ id }) => id)).toEqual(["S-4", "S-9"]);
});
