// Falsified by: a counterexample whose files lack the phases, the offending moment or the scenario,
// whose figures differ from the episode's, or that is written differently a second time.
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import * as fc from "fast-check";
import { expect, it } from "vitest";
import { stratifiedDraws } from "../../arbitraries/draws.ts";
import { wordsOf } from "../../arbitraries/parameter.ts";
import { judgementOf } from "../../claims/judgement-of.ts";
import { MORE_CLAIMS } from "../../claims/more/more-claims.ts";
import { DEFAULT_PROMISES } from "../../claims/promises.ts";
import { voltageBoundsOf } from "../../claims/voltage-bounds.ts";
import { counterexampleSvg } from "../../campaign/counterexample-picture.ts";
import { writeCounterexample } from "../../campaign/counterexample-files.ts";
import { play } from "../../campaign/play.ts";
import { plainFirmware } from "../../support/plain-firmware.ts";
import { TWO_POINT } from "../sim/scenarios.ts";

const subject = {
  design: TWO_POINT,
  promises: DEFAULT_PROMISES,
  bounds: voltageBoundsOf(TWO_POINT),
};

function lateEpisode() {
  const claim = MORE_CLAIMS.find(({ id }) => id === "opening")!;
  const space = claim.over(subject);
  const firmware = plainFirmware("late").open();
  for (const draw of fc.sample(stratifiedDraws(space.parameters), { numRuns: 40, seed: 2 })) {
    const episode = play(subject, firmware, { space, draw });
    const judgement = judgementOf(claim, episode);
    if (judgement.kind !== "judged" || judgement.margin >= 0) continue;
    const words = wordsOf(space.classed, draw);
    return {
      episode,
      found: { claim: claim.id, words, because: judgement.because, at: judgement.at },
    };
  }
  throw new Error("the late firmware kept the claim");
}

it("a counterexample is written with phases, moment and figures, twice the same", async () => {
  const { episode, found } = lateEpisode();
  const folders = ["one", "two"].map((name) => mkdtempSync(join(tmpdir(), name)));
  try {
    const written = [];
    for (const folder of folders) written.push(await writeCounterexample(folder, episode, found));
    const [texts, again] = written.map((files) => files.map((file) => readFileSync(file, "utf8")));
    expect(texts).toEqual(again);
    const [whole, moment, csv, vcd] = texts as [string, string, string, string];
    for (const picture of [whole, moment]) {
      expect(picture).toContain("opening does not hold");
      expect(picture).toContain('class="moment"');
      expect(picture).toContain(found.because.slice(0, 30));
    }
    expect(whole).toContain("synchronising");
    expect(whole).toContain("strip: phase of the firmware");
    const silent = { ...episode, trace: [] };
    expect(await counterexampleSvg(silent, { ...found, title: "", words: [] })).not.toContain(
      "strip:",
    );
    const rows = csv.trimEnd().split("\n");
    expect(rows[0]).toBe("sample,instant (s),code,indication (V),voltage (V),phase");
    expect(rows).toHaveLength(1 + episode.simulation.sampleCount);
    const codes = episode.simulation.codes();
    for (const place of [0, 777, codes.length - 1])
      expect(Number(rows[1 + place]!.split(",")[2])).toBe(codes[place]);
    const phases = [...new Set(rows.slice(1).map((row) => row.split(",")[5]))];
    expect(phases).toEqual(expect.arrayContaining(["synchronising", "watching", "candidate"]));
    expect(vcd).toContain("$var integer 32 A phase $end");
    const times = [...vcd.matchAll(/^#(\d+)$/gm)].map(([, time]) => Number(time));
    expect(times.length).toBe(new Set(times).size);
    expect(times).toEqual([...times].sort((one, other) => one - other));
    const phaseChanges = [...vcd.matchAll(/^b\d+ A$/gm)];
    expect(phaseChanges).toHaveLength(episode.trace.filter(({ lane }) => lane === 0).length);
  } finally {
    for (const folder of folders) rmSync(folder, { recursive: true });
  }
});
