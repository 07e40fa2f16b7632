// Falsified by: a claim that a right firmware breaks, that a firmware with a mistake keeps although
// it is the one to catch it, that never applies, or that gives no number as its margin.
import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import { stratifiedDraws } from "../../arbitraries/draws.ts";
import type { Draw } from "../../arbitraries/parameter.ts";
import type { Judgement } from "../../claims/claim.ts";
import type { Episode, Subject } from "../../claims/episode.ts";
import { instantOf } from "../../claims/episode.ts";
import { judgementOf } from "../../claims/judgement-of.ts";
import { MORE_CLAIMS } from "../../claims/more/more-claims.ts";
import { DEFAULT_PROMISES } from "../../claims/promises.ts";
import { voltageBoundsOf } from "../../claims/voltage-bounds.ts";
import { evaluateDraw } from "../../campaign/evaluate-draw.ts";
import { play } from "../../campaign/play.ts";
import { plainFirmware } from "../../support/plain-firmware.ts";
import type { Mistake } from "../../support/plain-firmware.ts";
import { TWO_POINT } from "../sim/scenarios.ts";

const subject: Subject = {
  design: TWO_POINT,
  promises: DEFAULT_PROMISES,
  bounds: voltageBoundsOf(TWO_POINT),
};

interface Judged {
  readonly draw: Draw;
  readonly episode: Episode;
  readonly judgement: Judgement;
}

function judgedBy(id: string, mistake: Mistake | undefined, runs = 30): readonly Judged[] {
  const claim = MORE_CLAIMS.find((one) => one.id === id)!;
  const space = claim.over(subject);
  const firmware = plainFirmware(mistake).open();
  const draws = fc.sample(stratifiedDraws(space.parameters), { numRuns: runs, seed: 11 });
  return draws.flatMap((draw) => {
    const played = evaluateDraw({ subject, firmware }, space, draw);
    if (played.kind === "unplayable") return [];
    return [{ draw, episode: played.episode, judgement: judgementOf(claim, played.episode) }];
  });
}

function broken(all: readonly Judged[]): readonly Judged[] {
  return all.filter(({ judgement }) => judgement.kind === "judged" && judgement.margin < 0);
}

describe("a firmware that answers right", () => {
  // What the double does not offer is left out: its own contact, and flags of returning mains.
  it.each([
    "no-false-trigger",
    "interruption",
    "above-trigger",
    "below-trigger",
    "latency",
    "availability",
    "range",
    "products",
    "power-up",
    "sampling",
    "counter-wrap",
    "re-arming",
    "conversion",
  ])("keeps %s, which applies and has a margin", (id) => {
    const all = judgedBy(id, undefined);
    expect(broken(all).map(({ judgement }) => judgement.because)).toEqual([]);
    const applied = all.filter(({ judgement }) => judgement.kind === "judged");
    expect(applied.length).toBeGreaterThan(5);
    for (const { judgement } of applied)
      if (judgement.kind === "judged") expect(judgement.margin).toSatisfy(Number.isFinite);
  });
});

describe("a firmware with a mistake", () => {
  it.each([
    ["noHold", "no-false-trigger"],
    ["alwaysFlags", "availability"],
    ["neverAnswers", "availability"],
    ["neverAnswers", "above-trigger"],
    ["traps", "availability"],
    ["late", "opening"],
    ["remembers", "re-arming"],
    ["offByTwoVolts", "conversion"],
    [undefined, "automatic"],
  ] as const)("%s is caught by %s", (mistake, id) => {
    expect(broken(judgedBy(id, mistake)).length).toBeGreaterThan(0);
  });
});

describe("an episode", () => {
  it("does not depend on the size of the blocks nor on where the counter begins", () => {
    const claim = MORE_CLAIMS.find(({ id }) => id === "availability")!;
    const space = claim.over(subject);
    const firmware = plainFirmware().open();
    const [draw] = fc.sample(stratifiedDraws(space.parameters), { numRuns: 1, seed: 3 });
    const said = [1, 7, 64, 1e6].flatMap((block) =>
      [0, 2 ** 32 - 250_000].map((firstTick) => {
        const episode = play(subject, firmware, { space, draw: draw!, block, firstTick });
        const { report } = episode;
        const reading = report!.readings[0];
        return JSON.stringify([
          report!.phase,
          [...report!.flags],
          reading?.voltages,
          reading === undefined ? null : instantOf(episode, reading.instant).toFixed(9),
        ]);
      }),
    );
    expect(new Set(said).size).toBe(1);
  });
});
