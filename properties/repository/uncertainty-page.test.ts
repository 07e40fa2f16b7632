// Falsified by: the example of the page that does not run or prints something else than the page
// says.
import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { expect, test } from "vitest";

const page = readFileSync(new URL("../../docs/uncertainty.md", import.meta.url), "utf8");
const block = (language: string): string =>
  new RegExp(`\`\`\`${language}\\n([\\s\\S]*?)\`\`\``).exec(page)?.[1] ?? "";
const library = (name: string): string =>
  new URL(`../../lib/uncertainty/${name}.ts`, import.meta.url).href;

test("the example on the page prints what the page says", () => {
  const imports = [
    `import { evaluateUncertainty } from "${library("evaluate-uncertainty")}";`,
    `import { sensitivityShares } from "${library("sensitivity-shares")}";`,
  ];
  const [first = "", ...rest] = block("ts").split("\n");
  expect(first).toBe('import { evaluateUncertainty, sensitivityShares } from "plumbvolt";');
  const folder = mkdtempSync(join(tmpdir(), "page-"));
  try {
    const file = join(folder, "example.mts");
    writeFileSync(file, [...imports, ...rest].join("\n"));
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
