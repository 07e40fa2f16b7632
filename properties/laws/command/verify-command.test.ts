// Falsified by: a campaign that is killed or interrupted and comes to other bytes when it goes on, an
// interruption that loses what is done, or a fault of the package that is told as a claim's verdict.
import { spawn } from "node:child_process";
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { InvalidInputError, InvariantBrokenError } from "../../../lib/errors.ts";
import { openCampaignPool } from "../../../lib/command/campaign-pool.ts";
import type { CampaignRecord } from "../../campaign/campaign-record.ts";

const root = fileURLToPath(new URL("../../..", import.meta.url));
const program = join(root, "bin", "plumbvolt.mjs");
const design = join(root, "examples", "02-two-point", "design.json");

let folder = "";
const file = (...names: string[]): string => join(folder, ...names);

function writeDouble(name: string, body: string): string {
  const double = pathToFileURL(join(root, "properties", "support", "plain-firmware.ts")).href;
  writeFileSync(file(name), `import { plainFirmware } from ${JSON.stringify(double)};\n${body}`);
  return file(name);
}

interface Ended {
  readonly code: number | null;
  readonly signal: string | null;
  readonly stderr: string;
}

/** Lines of a journal that are complete. */
function linesOf(out: string): string[] {
  const path = join(out, "journal.jsonl");
  return existsSync(path) ? readFileSync(path, "utf8").split("\n").slice(0, -1) : [];
}

/** Runs the command as a process of its own; ends it once its journal has so many lines. */
function runProcess(
  words: readonly string[],
  end?: { out: string; lines: number; by: "SIGKILL" | "SIGINT" },
) {
  return new Promise<Ended>((resolve) => {
    const child = spawn(process.execPath, [program, ...words], {
      stdio: ["ignore", "ignore", "pipe"],
    });
    let stderr = "";
    child.stderr.on("data", (text) => (stderr += String(text)));
    const timer = setInterval(() => {
      if (end === undefined || linesOf(end.out).length < end.lines) return;
      clearInterval(timer);
      child.kill(end.by);
    }, 5);
    child.on("close", (code, signal) => {
      clearInterval(timer);
      resolve({ code, signal, stderr });
    });
  });
}

let firmware = "";
const asked = (out: string, workers = "1"): string[] => {
  const campaign = "--claims soundness --runs 150 --seed 3".split(" ");
  return [
    "verify",
    design,
    "--firmware",
    firmware,
    ...campaign,
    "--workers",
    workers,
    "--out",
    out,
  ];
};
const recordOf = (out: string): string => readFileSync(join(out, "record.json"), "utf8");
let whole = "";

beforeAll(async () => {
  mkdirSync(join(root, "out"), { recursive: true });
  folder = mkdtempSync(join(root, "out", "verify-"));
  firmware = writeDouble("firmware.ts", "export const firmware = plainFirmware();\n");
  await runProcess(asked(file("whole")));
  whole = recordOf(file("whole"));
}, 120_000);

afterAll(() => rmSync(folder, { recursive: true }));

describe("verify as a process", () => {
  it("killed in the middle, it goes on from its journal to the bytes of an undisturbed run", async () => {
    const out = file("killed");
    const killed = await runProcess(asked(out), { out, lines: 4, by: "SIGKILL" });
    expect(killed.signal).toBe("SIGKILL");
    expect(existsSync(join(out, "record.json"))).toBe(false);
    const kept = linesOf(out);
    expect(kept.length).toBeLessThan(linesOf(file("whole")).length);
    await runProcess(asked(out));
    expect(linesOf(out).slice(0, kept.length)).toEqual(kept);
    expect(recordOf(out)).toBe(whole);
  });

  it("interrupted, it keeps what is done, says so and ends with 3", async () => {
    const out = file("interrupted");
    const { code, stderr } = await runProcess(asked(out), { out, lines: 4, by: "SIGINT" });
    expect(code).toBe(3);
    expect(stderr).toContain("interrupted: what is done is kept");
    const record = JSON.parse(recordOf(out)) as CampaignRecord;
    expect(record.exitCode).toBe(3);
    expect(record.evidence).toMatch(
      /a run, not evidence, because soundness: \w+: \d+ of \d+ runs done/,
    );
    expect(linesOf(out).length).toBeGreaterThanOrEqual(4);
    await runProcess(asked(out));
    expect(recordOf(out)).toBe(whole);
  });

  it("with two workers it comes to the same bytes", async () => {
    await runProcess(asked(file("two"), "2"));
    expect(recordOf(file("two"))).toBe(whole);
  });

  it("a fault of the package ends with 4 and no verdict, whether a worker meets it or not", async () => {
    // An object that the port does not describe: even its trace cannot be read.
    const broken = writeDouble(
      "broken.ts",
      `export const firmware = { ...plainFirmware(), open: () =>
        Object.defineProperty(plainFirmware().open(), "trace", { get() { throw Error("no"); } }) };\n`,
    );
    for (const workers of ["1", "2"]) {
      const words = asked(file(`fault-${workers}`), workers).map((word) =>
        word === firmware ? broken : word,
      );
      const { code, stderr } = await runProcess(words);
      expect(code).toBe(4);
      expect(stderr).toMatch(/no verdict, because of a fault in plumbvolt itself/);
      expect(existsSync(file(`fault-${workers}`, "record.json"))).toBe(false);
    }
  });
});

describe("workers of a campaign", () => {
  it("an error keeps its class on the way from a worker", async () => {
    const pool = openCampaignPool(1);
    const order = (place: { design: string; firmware: string[] }, claims: string[]) =>
      pool.run({ place, seed: 1, corpus: {}, key: { claims, method: "edges", block: 0, runs: 1 } });
    try {
      const good = { design, firmware: [firmware] };
      await expect(order(good, ["nobody"])).rejects.toThrow(InvariantBrokenError);
      await expect(order({ ...good, firmware: ["gone.c"] }, ["opening"])).rejects.toThrow(
        InvalidInputError,
      );
    } finally {
      await pool.close();
    }
  });
});
