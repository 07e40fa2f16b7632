// Falsified by: a corpus or a record whose draws mean nothing that ends as a fault of the package, a
// fault of it that is not named, draws that are replayed as others, or shards that lose the corpus.
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { CampaignRecord } from "../../campaign/campaign-record.ts";
import { runCommand } from "../../support/command-line.ts";

const root = fileURLToPath(new URL("../../..", import.meta.url));
const design = join(root, "examples", "02-two-point", "design.json");
const asked = "--runs 12 --seed 3 --claims opening --workers 1".split(" ");

let folder = "";
const file = (...names: string[]): string => join(folder, ...names);
const verify = (...words: string[]) =>
  runCommand("verify", design, "--firmware", file("firmware.ts"), ...asked, ...words);
const write = (name: string, document: unknown): string => {
  writeFileSync(file(name), JSON.stringify(document));
  return file(name);
};
const readRecord = (name: string) =>
  JSON.parse(readFileSync(file(name, "record.json"), "utf8")) as CampaignRecord;
let failure: CampaignRecord["failures"][number];

beforeAll(async () => {
  mkdirSync(join(root, "out"), { recursive: true });
  folder = mkdtempSync(join(root, "out", "corpus-"));
  const double = pathToFileURL(join(root, "properties", "support", "plain-firmware.ts")).href;
  const text = `import { plainFirmware } from ${JSON.stringify(double)};\n`;
  writeFileSync(file("firmware.ts"), `${text}export const firmware = plainFirmware("late");\n`);
  await verify("--out", file("first"));
  failure = readRecord("first").failures.find(({ claim }) => claim === "opening")!;
});

afterAll(() => rmSync(folder, { recursive: true }));

/** The failure with only what a reader has to be told. */
function shortDraw(): Record<string, number> {
  const kept = Object.entries(failure.draw).filter(
    ([name, value]) => !(name.startsWith("part ") && value === 0),
  );
  return Object.fromEntries(kept);
}

describe("draws of a corpus", () => {
  it("that mean nothing are refused, with every fault of every draw", async () => {
    const { phase, level, ...rest } = failure.draw;
    const wrong = { ...rest, level: level! + 0.5, frequency: 1, nobody: 4 };
    const failures = [
      { claim: "opening", draw: wrong, because: "", at: null },
      { claim: "opened", draw: {}, because: "", at: null },
    ];
    expect(phase).toBeDefined();
    const path = write("wrong.json", { format: "plumbvolt.corpus/1", failures });
    const { code, error } = await verify("--corpus", path);
    expect(code).toBe(2);
    for (const [place, words] of [
      ["failures[0].draw.phase", /must be an integer from 0 to \d+, received none/],
      ["failures[0].draw.level", /must be an integer from \d+ to \d+, received \d+\.5/],
      ["failures[0].draw.frequency", /must be an integer from 45000 to 66000, received 1/],
      ["failures[0].draw.nobody", /must be one that the scenarios of the claim have/],
      ["failures[1].claim", /claim must be one of .*, received "opened"/],
    ] as const) {
      const line = error.split("\n").find((one) => one.includes(`(${place})`));
      expect(line, place).toMatch(words);
    }
  });

  it("need a document that is one", async () => {
    const { code, error } = await verify("--corpus", write("shape.json", { failures: [{}] }));
    expect(code).toBe(2);
    for (const place of ["(format)", "(failures[0].claim)", "(failures[0].draw)"])
      expect(error).toContain(place);
    expect((await verify("--corpus", file("gone.json"))).code).toBe(2);
  });

  it("are played first and fail again; parts at their nominal values may be left out", async () => {
    const { because, at } = failure;
    const failures = [{ claim: "opening", draw: shortDraw(), because, at }];
    expect(Object.keys(shortDraw()).length).toBeLessThan(Object.keys(failure.draw).length);
    const path = write("short.json", { format: "plumbvolt.corpus/1", failures });
    expect((await verify("--corpus", path, "--out", file("again"))).code).toBe(1);
    const { results, corpus } = readRecord("again");
    const { methods, failure: found } = results.find(({ id }) => id === "opening")!;
    expect(methods[0]).toMatchObject({ method: "corpus", asked: 1, done: 1, failures: 1 });
    expect(found).toMatchObject({ method: "corpus", smallest: { because } });
    expect(corpus).toEqual({ opening: [failure.draw] });
  });

  it("stay with every shard of a campaign", async () => {
    const corpus = ["--corpus", file("first", "record.json")];
    await verify(...corpus, "--out", file("whole"));
    for (const part of ["1", "2"])
      await verify(...corpus, "--shard", `${part}/2`, "--out", file(part));
    const journals = ["1", "2"].map((part) => file(part, "journal.jsonl"));
    await runCommand("merge", ...journals, "--record", file("merged.json"));
    const merged = readFileSync(file("merged.json"), "utf8");
    expect(merged).toBe(readFileSync(file("whole", "record.json"), "utf8"));
    expect(merged).toContain('"method": "corpus"');
  });
});

describe("a record that is replayed", () => {
  it("is refused where its draws or claims mean nothing", async () => {
    const record = readRecord("first");
    const replayed = (changed: object) =>
      runCommand("replay", write("changed.json", { ...record, failures: [changed] }));
    const empty = await replayed({ ...failure, draw: {} });
    expect(empty.code).toBe(2);
    expect(empty.error).toContain("(failures[0].draw.phase)");
    const other = await replayed({ ...failure, claim: "latency" });
    expect(other.code).toBe(2);
    expect(other.error).toMatch(/of claims that the record lists, received "latency"/);
  });
});
