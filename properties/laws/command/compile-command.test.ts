// Falsified by: a build that is made again though nothing changed, a manifest that is accepted after
// its sources changed, promises that are lost on the way, a worker that needs the sources, or words
// of the compiler on standard output.
import {
  copyFileSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  rmSync,
  writeFileSync,
} from "node:fs";
import { readFileSync, statSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import { loadCampaign } from "../../../lib/command/load-campaign.ts";
import { cFirmware } from "../../../sim/index.ts";
import { DEFAULT_PROMISES } from "../../claims/promises.ts";
import { runCommandText } from "../../support/command-line.ts";

const root = fileURLToPath(new URL("../../..", import.meta.url));
const design = join(root, "examples", "03-good-at-34-volts", "design.json");
const harness = join(root, "properties", "support", "harness-firmware", "harness.c");

const HARNESS = "harness.trapping.wasm";
const WIDE = "uint32_t product(uint16_t one);";

let folder = "";
let cacheBefore: string | undefined;

const file = (name: string): string => join(folder, name);
const manifest = (): string => file("build/harness.firmware.json");

beforeAll(async () => {
  mkdirSync(join(root, "out"), { recursive: true });
  folder = mkdtempSync(join(root, "out", "compile-"));
  cacheBefore = process.env["PLUMBVOLT_CACHE"];
  process.env["PLUMBVOLT_CACHE"] = file("cache");
  copyFileSync(harness, file("harness.c"));
  writeFileSync(file("promises.json"), JSON.stringify({ latency: "18 ms", triggerLevel: 25 }));
});

afterAll(() => {
  if (cacheBefore === undefined) delete process.env["PLUMBVOLT_CACHE"];
  else process.env["PLUMBVOLT_CACHE"] = cacheBefore;
  rmSync(folder, { recursive: true });
});

describe("compile", () => {
  it("writes a manifest with what the firmware promises, and says what it does not", async () => {
    const asked = [
      "compile",
      file("harness.c"),
      "--int",
      "16",
      "--promises",
      file("promises.json"),
    ];
    const spoken = vi.spyOn(console, "log");
    const { code, text } = await runCommandText(...asked);
    expect(code).toBe(0);
    // Standard output belongs to the document: the compiler adds nothing to it.
    expect(spoken).not.toHaveBeenCalled();
    spoken.mockRestore();
    expect(text).toMatch(/int of 16 bits, signed char/);
    expect(text).toMatch(/declared: latency, triggerLevel; the usual ones for the rest/);
    const { subject, source, declared } = await loadCampaign({ design, firmware: [manifest()] });
    expect(subject.promises).toEqual({ ...DEFAULT_PROMISES, latency: 0.018, triggerLevel: 25 });
    expect(declared).toEqual(["latency", "triggerLevel"]);
    expect(source.identity.target).toEqual({ int: 16, char: "signed" });
  });

  it("lints for an int of 16 bits, and calls that lint", async () => {
    const code = "uint32_t product(uint16_t one) { return one + (1 << 16); }";
    writeFileSync(file("short.c"), `${readFileSync(harness, "utf8")}\n${WIDE}\n${code}\n`);
    const { text, code: exit } = await runCommandText("compile", file("short.c"), "--int", "16");
    expect(exit).toBe(0);
    expect(text).toMatch(
      /int of 16 bits, signed char, as declared; the simulation has an int of 32/,
    );
    expect(text).toMatch(/lint, no verdict: short\.c:\d+: shift count >= width of type/);
    const { text: wide } = await runCommandText("compile", file("short.c"));
    expect(wide).not.toContain("lint");
  });

  it("takes the same sources from the cache, with the promises of the moment", async () => {
    const entries = readdirSync(file("cache"));
    const holds = (name: string): boolean => existsSync(join(folder, "cache", name, HARNESS));
    expect(entries.filter(holds)).toHaveLength(1);
    const wasm = join(folder, "cache", entries.find(holds)!, HARNESS);
    const made = statSync(wasm).mtimeMs;
    const first = readFileSync(file("build/harness.trapping.wasm"));
    const { code, text } = await runCommandText("compile", file("harness.c"), "--int", "16");
    expect(code).toBe(0);
    expect(text).toMatch(/none declared/);
    expect(readdirSync(file("cache"))).toEqual(entries);
    expect(statSync(wasm).mtimeMs).toBe(made);
    expect(readFileSync(file("build/harness.trapping.wasm"))).toEqual(first);
  });

  it("a user of the library compiles, opens and starts the same firmware", async () => {
    const target = { int: 16, char: "signed" } as const;
    const source = await cFirmware({ sources: [file("harness.c")], target });
    const { source: loaded } = await loadCampaign({ design, firmware: [manifest()] });
    expect(source.identity).toEqual(loaded.identity);
    expect(source.open().trace).toEqual([]);
  });

  it("names every fault of a document of promises", async () => {
    writeFileSync(
      file("wrong.json"),
      JSON.stringify({
        latency: "18 V",
        bounce: -1,
        restingShare: "150 %",
        instant: { lower: "2 ms", upper: "1 ms" },
      }),
    );
    const { code, text } = await runCommandText(
      "compile",
      file("harness.c"),
      "--promises",
      file("wrong.json"),
    );
    expect(code).toBe(2);
    for (const path of ["(latency)", "(bounce)", "(restingShare)", "(instant.upper)"])
      expect(text).toContain(path);
  });

  it("firmware that was built needs neither sources nor files to be handed to a worker", async () => {
    const loaded = await loadCampaign({ design, firmware: [manifest()] });
    const { built, subject } = loaded;
    // What a message between threads makes of it.
    const place = structuredClone({
      design,
      firmware: [file("gone.c")],
      bounds: subject.bounds,
      promises: subject.promises,
      built: built!,
    });
    const again = await loadCampaign(place);
    expect(again.source.identity).toEqual(loaded.source.identity);
    expect(again.source.open().trace).toEqual([]);
  });

  it("a manifest whose source has changed since is refused, with the source named", async () => {
    writeFileSync(file("harness.c"), `${readFileSync(harness, "utf8")}\n/* changed */\n`);
    const { code, text } = await runCommandText("verify", design, "--firmware", manifest());
    expect(code).toBe(2);
    expect(text).toMatch(/harness\.c\)\. Hint: the build is stale: compile the firmware again/);
  });

  it("C that does not compile is told with the compiler's words, file and line", async () => {
    writeFileSync(
      file("wrong.c"),
      '#include "plumbvolt_port.h"\n\nint broken(void) { return x; }\n',
    );
    const { code, text } = await runCommandText("compile", file("wrong.c"));
    expect(code).toBe(2);
    expect(text).toMatch(/undeclared identifier 'x'.*\(wrong\.c:3\)/);
  });
});
