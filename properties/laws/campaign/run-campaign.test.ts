// Falsified by: a verdict that depends on the number of workers, on an interruption or on how the
// blocks were shared out; a canary that does not fail; a firmware with a mistake that passes; a run
// called evidence although its classes were hardly met.
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, expect, it } from "vitest";
import { loadFirmware } from "../../../sim/firmware/firmware-files.ts";
import { firmwareSource } from "../../../sim/firmware/firmware-source.ts";
import type { BlockKey, BlockResult } from "../../campaign/block.ts";
import { keyText } from "../../campaign/block.ts";
import { joinJournals, openJournal } from "../../campaign/journal.ts";
import { planOf } from "../../campaign/plan.ts";
import { runBlock } from "../../campaign/run-block.ts";
import type { BlockWork } from "../../campaign/run-block.ts";
import { runCampaign } from "../../campaign/run-campaign.ts";
import { exitCodeOf, judgeClaim } from "../../campaign/verdict.ts";
import type { ClaimResult } from "../../campaign/verdict.ts";
import type { Subject } from "../../claims/episode.ts";
import { ALL_CLAIMS } from "../../claims/all-claims.ts";
import { DEFAULT_PROMISES } from "../../claims/promises.ts";
import { voltageBoundsOf } from "../../claims/voltage-bounds.ts";
import { plainFirmware } from "../../support/plain-firmware.ts";
import type { Mistake } from "../../support/plain-firmware.ts";
import { TWO_POINT } from "../sim/scenarios.ts";

const subject: Subject = {
  design: TWO_POINT,
  promises: DEFAULT_PROMISES,
  bounds: voltageBoundsOf(TWO_POINT),
};

function workFor(ids: readonly string[], mistake?: Mistake): BlockWork {
  const claims = ids.map((id) => ALL_CLAIMS.find((claim) => claim.id === id)!);
  return { claims, subject, firmware: plainFirmware(mistake), seed: 5, corpus: {} };
}

function planFor(work: BlockWork, runs: number) {
  return planOf(work.claims, { lane: "gate", runs, subject, corpus: {} });
}

const HARNESS = firmwareSource(
  loadFirmware(
    fileURLToPath(
      new URL("../../support/harness-firmware/build/harness.firmware.json", import.meta.url),
    ),
  ),
);

const CANARY = ALL_CLAIMS.find(({ canary }) => canary === true)!.id;

describe("a campaign", () => {
  const work = workFor(["availability", "latency"]);
  const plan = [0, 1, 2, 3].flatMap((block) =>
    work.claims.map(({ id }): BlockKey => ({ claims: [id], method: "edges", block, runs: 5 })),
  );

  it("says the same with one, two and four blocks at once, interrupted and shared out", async () => {
    const alone = await runCampaign(work, plan);
    const text = JSON.stringify(alone);
    const elsewhere = (key: (typeof plan)[number]) =>
      new Promise<BlockResult>((resolve) =>
        setTimeout(() => resolve(runBlock(work, key)), (key.block * 7) % 3),
      );
    for (const atOnce of [2, 4])
      expect(JSON.stringify(await runCampaign(work, plan, { elsewhere, atOnce }))).toBe(text);

    const folder = mkdtempSync(join(tmpdir(), "campaign-"));
    try {
      const path = join(folder, "journal");
      const first = openJournal<object, BlockResult>(path, {});
      let kept = 0;
      await runCampaign(work, plan, {
        keep: (result) => {
          first.append(keyText(result.key), result);
          kept += 1;
        },
        isStopped: () => kept >= 2,
      });
      first.close();
      expect(kept).toBeLessThan(plan.length);
      const again = openJournal<object, BlockResult>(path, {});
      const resumed = await runCampaign(work, plan, { known: again.results });
      again.close();
      expect(JSON.stringify(resumed)).toBe(text);

      const shards = [0, 1].map((shard) => {
        const file = join(folder, `shard-${shard}`);
        const journal = openJournal<object, BlockResult>(file, {});
        plan.forEach((key, place) => {
          if (place % 2 === shard) journal.append(keyText(key), runBlock(work, key));
        });
        journal.close();
        return file;
      });
      const { results } = joinJournals<object, BlockResult>(shards.reverse());
      const merged = await runCampaign(work, plan, { known: results });
      expect(JSON.stringify(merged)).toBe(text);
    } finally {
      rmSync(folder, { recursive: true });
    }
  });

  it("has a canary that fails, and one failure too many where a claim is broken", async () => {
    const broken = workFor(["opening", CANARY], "late");
    const { claims } = await runCampaign(
      broken,
      broken.claims.map(({ id }) => ({ claims: [id], method: "edges", block: 0, runs: 12 })),
    );
    expect(claims.find(({ id }) => id === CANARY)!.verdict).toBe("doesNotHold");
    // Found, reduced and put in words.
    const opening = claims.find(({ id }) => id === "opening")!;
    expect(opening.verdict).toBe("doesNotHold");
    expect(opening.failure!.words.length).toBeGreaterThan(0);
    expect(opening.failure!.smallest.margin).toBeLessThan(0);
    expect(exitCodeOf(claims)).toBe(1);
  });
});

const { claims: judged } = await runCampaign(workFor(["latency"]), []);

describe("a verdict", () => {
  it.each([
    [undefined, "availability", [0, 3]],
    ["alwaysFlags", "availability", [1]],
    ["neverAnswers", "availability", [1]],
    ["traps", "availability", [1]],
    ["noHold", "no-false-trigger", [1]],
  ] as const)("firmware with %s: %s ends in %j", async (mistake, id, codes) => {
    const work = workFor([id, CANARY], mistake);
    const plan = planFor(work, 12).filter(({ method }) => method === "edges");
    const { claims } = await runCampaign(work, plan);
    expect(codes).toContain(exitCodeOf(claims));
  });

  it.each([
    [2, "soundness", /spent its budget .*harness.c/],
    [3, "soundness", /overflow/],
    [4, "soundness", /wrote where it must not: codes/],
    [8, "soundness", /out of bounds .*harness.c/],
    [0, "availability", /no reading/],
    [1, "availability", /no reading/],
  ] as const)("C that does %i wrong breaks %s", async (behaviour, id, because) => {
    const promises = {
      ...DEFAULT_PROMISES,
      // By its trigger level the firmware is told how to go wrong.
      triggerLevel: behaviour * TWO_POINT.scaling.resultUnit.toNumber(),
    };
    const work = { ...workFor([id, CANARY]), subject: { ...subject, promises }, firmware: HARNESS };
    const plan = planFor(work, 3).filter(({ method }) => method === "edges");
    const { claims } = await runCampaign(work, plan);
    expect(exitCodeOf(claims)).toBe(1);
    expect(claims[0]!.failure!.smallest.because).toMatch(because);
  });

  it("is none where hardly anything was run, and says so", async () => {
    const work = workFor(["crossing"]);
    const plan = planFor(work, 20);
    const { claims } = await runCampaign(work, plan, { isStopped: () => true });
    expect(claims[0]!.verdict).toBe("noVerdict");
    expect(claims[0]!.reasons).toContain("edges: 0 of 20 runs done");
    expect(claims[0]!.reasons.join()).not.toContain("never occurred");
    expect(exitCodeOf(claims)).toBe(3);
    const { claims: idle } = await runCampaign(work, []);
    expect(idle[0]!.verdict).toBe("noVerdict");
  });
});

describe("the exit code", () => {
  it.each([
    [0, ["holds", "holds"], ["doesNotHold"]],
    [1, ["doesNotHold", "noVerdict"], ["doesNotHold"]],
    [1, ["doesNotHold"], []],
    [3, ["holds", "noVerdict"], ["doesNotHold"]],
    [3, ["holds"], ["holds"]],
    [3, ["holds"], ["doesNotHold", "noVerdict"]],
    [3, ["holds"], []],
    [3, [], ["doesNotHold"]],
  ] as const)(
    "is %i for claims that are %j with canaries that are %j",
    (code, claims, canaries) => {
      const one = (verdict: ClaimResult["verdict"], canary: boolean) => ({
        ...judged[0]!,
        verdict,
        canary,
      });
      const all = [
        ...claims.map((verdict) => one(verdict, false)),
        ...canaries.map((verdict) => one(verdict, true)),
      ];
      expect(exitCodeOf(all)).toBe(code);
    },
  );
});

describe("two builds of a firmware", () => {
  const honest = plainFirmware();
  const builds = (other: Mistake | undefined): BlockWork => ({
    ...workFor(["availability"]),
    firmware: { ...honest, openPlain: () => plainFirmware(other).open() },
  });
  const plan: BlockKey[] = [{ claims: ["availability"], method: "edges", block: 0, runs: 26 }];

  it("that say the same are compared and leave the verdict to the claims", async () => {
    const { claims } = await runCampaign(builds(undefined), plan);
    expect(claims[0]!.repeats).toMatchObject({ oneIn: 25, repeated: 2, compared: 2, unlike: 0 });
    expect(claims[0]!.verdict).not.toBe("doesNotHold");
  });

  it("that disagree leave no claim standing, and that is the reason given", async () => {
    const { claims } = await runCampaign(builds("alwaysFlags"), plan);
    expect(claims[0]!.repeats.unlike).toBe(2);
    expect(claims[0]!.verdict).toBe("doesNotHold");
    expect(claims[0]!.reasons).toEqual([
      "the plain build says otherwise than the trapping one in 2 of 2 runs",
    ]);
    expect(exitCodeOf(claims)).toBe(1);
  });
});

describe("scenarios that the simulation refuses", () => {
  const [claim] = workFor(["latency"]).claims;
  const runs = 1_000;
  const key: BlockKey = { claims: ["latency"], method: "edges", block: 0, runs };
  const reasonsWith = (unplayable: number): readonly string[] => {
    const one = runBlock(workFor(["latency"]), { ...key, runs: 2 });
    const block = { ...one, key, done: runs, unplayable };
    return judgeClaim(claim!, [block], { plan: [key], subject }).reasons;
  };

  it("leave the runs enough where they are one in a hundred, and are named where they are more", () => {
    expect(reasonsWith(10).join()).not.toMatch(/refused|edge-biased runs/);
    expect(reasonsWith(11).join()).toMatch(/the simulation refused 11 of 1000 scenarios/);
  });
});
