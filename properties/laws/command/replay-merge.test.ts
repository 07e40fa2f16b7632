// Falsified by: shards that join to other bytes than the campaign in one piece, a failure that does
// not come back the same when it is replayed, missing shards that are not named, or a baseline that
// the joined shards are not held against.
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { expect, it, vi } from "vitest";
import { baselineOf } from "../../campaign/campaign-baseline.ts";
import type { CampaignRecord } from "../../campaign/campaign-record.ts";
import { runCommandText } from "../../support/command-line.ts";

const root = fileURLToPath(new URL("../../..", import.meta.url));

it("shards join to the same bytes, and a recorded failure replays the same", async () => {
  mkdirSync(join(root, "out"), { recursive: true });
  const folder = mkdtempSync(join(root, "out", "replay-"));
  try {
    const double = pathToFileURL(join(root, "properties", "support", "plain-firmware.ts")).href;
    const firmware = join(folder, "firmware.ts");
    writeFileSync(
      firmware,
      `import { plainFirmware } from ${JSON.stringify(double)};\nexport const firmware = plainFirmware("late");\n`,
    );
    const design = join(root, "examples", "02-two-point", "design.json");
    const asked = ["--runs", "12", "--seed", "3", "--claims", "opening", "--workers", "1"];
    const verify = ["verify", design, "--firmware", firmware, ...asked];
    const [whole, one, two] = ["whole", "one", "two"].map((name) => join(folder, name));
    expect((await runCommandText(...verify, "--out", whole!)).code).toBe(1);
    await runCommandText(...verify, "--shard", "1/2", "--out", one!);
    await runCommandText(...verify, "--shard", "2/2", "--out", two!);
    const [first, second] = [one, two].map((part) => join(part!, "journal.jsonl"));
    const merged = join(folder, "merged.json");
    expect((await runCommandText("merge", second!, first!, "--record", merged)).code).toBe(1);
    const record = join(whole!, "record.json");
    expect(readFileSync(merged, "utf8")).toBe(readFileSync(record, "utf8"));

    const before = baselineOf(JSON.parse(readFileSync(record, "utf8")) as CampaignRecord);
    const held = before.claims.map((claim) => ({ ...claim, verdict: "holds" }));
    const baseline = join(folder, "baseline.json");
    writeFileSync(baseline, JSON.stringify({ ...before, claims: held }));
    const measured = ["--record", merged, "--baseline", baseline];
    const worse = await runCommandText("merge", first!, second!, ...measured);
    expect(worse.text).toMatch(/worse: opening: doesNotHold, was holds/);
    vi.stubEnv("CI", "");
    const renewed = await runCommandText(
      "merge",
      first!,
      second!,
      ...measured,
      "--update-baseline",
    );
    expect(renewed.text).toMatch(/left out with --claims/);

    const half = await runCommandText("merge", first!, "--record", merged);
    expect(half.code).toBe(2);
    expect(half.text).toMatch(/name the journals of all shards/);

    const again = await runCommandText("replay", record, "opening", "--out", join(folder, "again"));
    expect(again.code).toBe(1);
    expect(again.text).toContain("the same as in the record");
    const picture = ["again", join("whole", "counterexamples")].map((place) =>
      readFileSync(join(folder, place, "opening.vcd"), "utf8"),
    );
    expect(picture[0]).toBe(picture[1]);
    expect((await runCommandText("replay", record, "latency")).code).toBe(2);
  } finally {
    vi.unstubAllEnvs();
    rmSync(folder, { recursive: true });
  }
});
