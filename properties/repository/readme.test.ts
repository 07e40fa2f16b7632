// Falsified by a README whose code does not run, or whose commands are not the package's.
import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { join } from "node:path";
import { expect, test } from "vitest";

const root = fileURLToPath(new URL("../../", import.meta.url));
const readme = readFileSync(join(root, "README.md"), "utf8");
const scripts = (
  JSON.parse(readFileSync(join(root, "package.json"), "utf8")) as {
    scripts: Record<string, string>;
  }
).scripts;

/** Fenced blocks of one language. */
function blocks(language: string): string[] {
  const fence = new RegExp(`\`\`\`${language}\n([\\s\\S]*?)\`\`\``, "g");
  return [...readme.matchAll(fence)].map(([, code = ""]) => code);
}

test("the README opens with one paragraph that states the job", () => {
  const [title, job] = readme.split("\n\n");
  expect(title).toBe("# plumbvolt");
  expect(job).toMatch(/residual-voltage testers/);
});

test("the library example of the README runs and prints a proven error and three verdicts", () => {
  const [code] = blocks("ts");
  expect(code).toBeDefined();
  // Inside the checkout, so that the package's dependencies are found.
  const folder = mkdtempSync(join(root, "properties", "readme-"));
  try {
    const entry = join(root, "lib", "index.ts");
    const file = join(folder, "example.ts");
    writeFileSync(file, code!.replace('"plumbvolt"', JSON.stringify(entry)));
    const run = spawnSync(process.execPath, ["--import", "tsx", file], {
      cwd: root,
      encoding: "utf8",
    });
    expect(run.stderr).toBe("");
    const [figures = "", verdicts = ""] = run.stdout.split("\n");
    const [low, high] = figures.split(" ").map(Number);
    expect(low).toBeLessThan(0);
    expect(high).toBeGreaterThan(0);
    expect(verdicts.match(/holds/g)).toHaveLength(3);
  } finally {
    rmSync(folder, { recursive: true });
  }
});

test("the two commands of the README do what it says they do", () => {
  expect(blocks("sh").join("")).toMatch(/npm ci && npm start[\s\S]*npm cit/);
  expect(scripts["start"]).toBe(
    "node bin/plumbvolt.mjs budget examples/03-good-at-34-volts/design.json --out out",
  );
  expect(readme).toContain(scripts["start"]!.replace("node bin/plumbvolt.mjs", "plumbvolt"));
});
