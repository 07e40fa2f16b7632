// Falsified by: a campaign that became worse and is not told so, or one that did not and is; a
// comparison of what cannot be compared; a baseline whose renewal passes in continuous integration.
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, afterEach, describe, expect, it, vi } from "vitest";
import {
  baselineFor,
  besideBaseline,
  faultsBesideBaseline,
} from "../../../lib/command/baseline-file.ts";
import {
  baselineOf,
  comparedWithBaseline,
  readCampaignBaseline,
} from "../../campaign/campaign-baseline.ts";
import type { CampaignRecord } from "../../campaign/campaign-record.ts";
import { campaignRecord } from "../../campaign/campaign-record.ts";
import { planOf } from "../../campaign/plan.ts";
import { runCampaign } from "../../campaign/run-campaign.ts";
import type { ClaimResult } from "../../campaign/verdict.ts";
import { ALL_CLAIMS } from "../../claims/all-claims.ts";
import { DEFAULT_PROMISES } from "../../claims/promises.ts";
import { voltageBoundsOf } from "../../claims/voltage-bounds.ts";
import type { FaultTable } from "../../faults/fault-table.ts";
import { plainFirmware } from "../../support/plain-firmware.ts";
import { TWO_POINT } from "../sim/scenarios.ts";

const folder = mkdtempSync(join(tmpdir(), "baseline-"));
afterAll(() => rmSync(folder, { recursive: true }));
afterEach(() => vi.unstubAllEnvs());

const subject = {
  design: TWO_POINT,
  promises: DEFAULT_PROMISES,
  bounds: voltageBoundsOf(TWO_POINT),
};
const claims = ALL_CLAIMS.filter(({ id }) => ["latency", "voltage", "canary"].includes(id));
const firmware = plainFirmware();

async function played(): Promise<CampaignRecord> {
  const work = { claims, subject, firmware, seed: 5, corpus: {} };
  const plan = planOf(claims, { lane: "gate", runs: 12, subject, corpus: {} });
  const { claims: judged, results } = await runCampaign(
    work,
    plan.filter(({ method }) => method === "edges"),
  );
  const header = {
    format: "plumbvolt.campaign/1",
    version: "0",
    design: { path: "design.json", sha256: "0".repeat(64) },
    firmware: { paths: ["somewhere/firmware.ts"], identity: firmware.identity },
    promises: DEFAULT_PROMISES,
    claims: claims.map(({ id }) => id),
    lane: "gate",
    runs: 12,
    seed: 5,
    corpus: {},
    engine: "",
  } as const;
  return campaignRecord(header, judged, { results, exitCode: 0 });
}

const record = await played();
const all = { all: true };

/** The record with one claim changed. */
function changed(id: string, change: (claim: ClaimResult) => Partial<ClaimResult>): CampaignRecord {
  const results = record.results.map((one) => (one.id === id ? { ...one, ...change(one) } : one));
  return { ...record, results };
}

describe("a campaign beside its baseline", () => {
  const baseline = readCampaignBaseline(JSON.parse(JSON.stringify(baselineOf(record))));

  it("is neither worse nor better than itself", () => {
    expect(comparedWithBaseline(baseline, record, all)).toEqual({ worse: [], better: [] });
    expect(baseline.claims.map(({ id }) => id)).toEqual(["voltage", "latency"]);
    expect(baseline.claims[1]!.found).toMatch(/candidate .* confirmed .* after the last opening/);
  });

  it.each([
    [-0.03, "worse"],
    [0.03, "better"],
    [-0.01, "neither"],
  ] as const)("with a worst margin that moved by %f is %s", (by, expected) => {
    const moved = changed("latency", ({ worst }) => ({
      worst: { ...worst!, margin: worst!.margin + by },
    }));
    const { worse, better } = comparedWithBaseline(baseline, moved, all);
    expect(worse.length > 0).toBe(expected === "worse");
    expect(better.length > 0).toBe(expected === "better");
  });

  it("is worse where the search found less of the proven bound, not where it found more", () => {
    const moved = (by: number) =>
      changed("voltage", ({ strength, worst }) => ({
        strength: { ...strength, unaided: strength.unaided! + by },
        worst: { ...worst!, margin: worst!.margin - by },
      }));
    expect(comparedWithBaseline(baseline, moved(-0.1), all).worse.join()).toMatch(/unaided/);
    expect(comparedWithBaseline(baseline, moved(0.1), all).worse).toEqual([]);
  });

  it("is worse with a class less, a verdict less or a claim less", () => {
    const fewer = changed("latency", ({ coverage }) => ({
      coverage: { ...coverage, classes: coverage.classes.map((one) => ({ ...one, hits: 0 })) },
    }));
    expect(comparedWithBaseline(baseline, fewer, all).worse.join()).toMatch(/classes met 0, was/);
    const held = {
      ...baseline,
      claims: baseline.claims.map((one) => ({ ...one, verdict: "holds" as const })),
    };
    const broken = changed("latency", () => ({ verdict: "doesNotHold" }));
    expect(comparedWithBaseline(held, broken, all).worse.join()).toMatch(
      /latency: doesNotHold, was holds/,
    );
    const without = { ...record, results: record.results.filter(({ id }) => id !== "latency") };
    expect(comparedWithBaseline(baseline, without, all).worse).toEqual([
      "latency: no longer a claim",
    ]);
    expect(comparedWithBaseline(baseline, without, { all: false }).worse).toEqual([]);
  });

  it.each([
    ["seed", { seed: 6 }],
    ["runs", { runs: 13 }],
    ["lane", { lane: "nightly" as const }],
    ["firmware", { firmware: { ...record.firmware, paths: ["other.c"] } }],
  ])("is not compared with one of another %s", (name, other) => {
    const { incomparable } = comparedWithBaseline(baseline, { ...record, ...other }, all);
    expect(incomparable).toMatch(new RegExp(`^it is of ${name}`));
  });
});

describe("a baseline file", () => {
  const design = join(folder, "design.json");
  const path = join(folder, "baseline.json");
  const renewed = { isRenewed: true, all: true };

  it("is made by evidence alone, and found beside the design by what comes later", () => {
    vi.stubEnv("CI", "");
    expect(baselineFor(design, {})).toBeUndefined();
    const fresh = baselineFor(design, { updateBaseline: true })!;
    expect(besideBaseline(fresh, { ...record, exitCode: 1 }, renewed).lines.join()).toMatch(/kept/);
    expect(baselineFor(design, {})).toBeUndefined();
    besideBaseline(fresh, record, renewed);
    const found = baselineFor(design, {})!;
    expect(found.content).toEqual(baselineOf(record));
    const kept = readFileSync(path, "utf8");
    const worse = changed("latency", () => ({ verdict: "noVerdict" }));
    const held = {
      path,
      content: {
        ...found.content!,
        claims: found.content!.claims.map((one) => ({ ...one, verdict: "holds" as const })),
      },
    };
    expect(besideBaseline(held, worse, { isRenewed: false, all: true }).isWorse).toBe(true);
    expect(readFileSync(path, "utf8")).toBe(kept);
  });

  it("is not made anew in continuous integration", () => {
    vi.stubEnv("CI", "true");
    expect(() => baselineFor(design, { updateBaseline: true })).toThrow(/continuous integration/);
  });

  it.each([{ claims: "voltage" }, { only: "deaf" }, { shard: "1/2" }])(
    "is not made by the part of a run that %o asks for",
    (part) => {
      vi.stubEnv("CI", "");
      const place = join(folder, "design.json");
      expect(() => baselineFor(place, { ...part, updateBaseline: true })).toThrow(
        /only a whole run/,
      );
      vi.stubEnv("CI", "true");
      expect(() => baselineFor(place, { ...part, updateBaseline: true })).toThrow(/2 faults/);
    },
  );

  it("does not measure a shard, which is joined first", () => {
    expect(baselineFor(design, { shard: "1/2" })).toBeUndefined();
    expect(() => baselineFor(design, { shard: "1/2", baseline: path })).toThrow(/to merge/);
  });

  it("with anything else in it is refused with every fault", () => {
    const other = join(folder, "other.json");
    writeFileSync(other, JSON.stringify({ ...baselineOf(record), seed: -1, lane: "daily" }));
    expect(() => baselineFor(design, { baseline: other })).toThrow(/2 faults/);
    expect(() => baselineFor(design, { baseline: join(folder, "none.json") })).toThrow(/readable/);
  });
});

describe("the faults of a baseline", () => {
  const path = join(folder, "faults", "baseline.json");
  const run = { firmware: ["a/b.c"], runs: 5, seed: 2, all: true };
  const tableWith = (
    ...noticed: readonly (readonly [string, readonly string[]])[]
  ): FaultTable => ({
    faults: noticed.map(([id, claimIds]) => ({
      id,
      says: "Wrong.",
      where: "firmware",
      outcome: "caught",
      noticedBy: claimIds.map((claim) => ({
        claim,
        after: 1,
        failure: { draw: {}, margin: -1, because: "", at: null },
      })),
    })),
    claims: [],
    baseline: [],
    verdict: "holds",
    reasons: [],
  });
  const held = tableWith(["late", ["time", "latency"]], ["deaf", ["latency"]]);

  it("are put beside its campaign, stay with the next campaign, and are compared", () => {
    vi.stubEnv("CI", "");
    mkdirSync(join(folder, "faults"));
    const empty = { path, content: undefined };
    const first = faultsBesideBaseline(empty, held, { ...run, isRenewed: true });
    expect(first.lines).toEqual(["baseline: kept, for a campaign has to make it first"]);
    besideBaseline(empty, record, { isRenewed: true, all: true });
    const design = join(folder, "faults", "design.json");
    faultsBesideBaseline(baselineFor(design, {})!, held, { ...run, isRenewed: true });
    besideBaseline(baselineFor(design, {})!, record, { isRenewed: true, all: true });
    const file = baselineFor(design, {})!;
    const beside = (table: FaultTable, more = {}) =>
      faultsBesideBaseline(file, table, { ...run, isRenewed: false, ...more });
    expect(beside(held).lines).toHaveLength(1);
    expect(beside(held).isWorse).toBe(false);
    expect(beside(tableWith(["late", ["time"]], ["deaf", ["latency"]])).lines.join()).toMatch(
      /late: no longer noticed by latency/,
    );
    expect(beside(tableWith(["late", ["time", "latency"]])).isWorse).toBe(true);
    expect(beside(tableWith(["late", ["time", "latency"]]), { all: false }).isWorse).toBe(false);
    expect(beside(held, { seed: 3 }).lines.join()).toMatch(/not compared .* of seed 2, .* of 3/);
  });
});
