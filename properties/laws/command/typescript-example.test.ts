// Falsified by: the example firmware in TypeScript that does not run under the command as it stands,
// or breaks a claim that its header says it is meant for.
import { readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import { readDesign } from "../../../lib/index.ts";
import { firmware } from "../../../examples/22-typescript-firmware/firmware.ts";
import { stratifiedDraws } from "../../arbitraries/draws.ts";
import type { CampaignRecord } from "../../campaign/campaign-record.ts";
import { evaluateDraw } from "../../campaign/evaluate-draw.ts";
import { ALL_CLAIMS } from "../../claims/all-claims.ts";
import { judgementOf } from "../../claims/judgement-of.ts";
import { DEFAULT_PROMISES } from "../../claims/promises.ts";
import { voltageBoundsOf } from "../../claims/voltage-bounds.ts";
import { runCommand } from "../../support/command-line.ts";

const example = (path: string): string =>
  fileURLToPath(new URL(`../../../examples/${path}`, import.meta.url));
const file = example("22-typescript-firmware/firmware.ts");
const design = example("02-two-point/design.json");

/** The claims that the header of the example names. */
const meant = /Meant for these claims: ([^.]*)\./
  .exec(readFileSync(file, "utf8"))![1]!
  .split(",")
  .map((name) => name.replaceAll(/[\s*]/g, ""));

describe("the example firmware in TypeScript", () => {
  it("is meant for claims that there are, and leaves out those that it names", () => {
    const rest = ALL_CLAIMS.filter(({ id, canary }) => canary !== true && !meant.includes(id));
    expect(meant.filter((id) => !ALL_CLAIMS.some((claim) => claim.id === id))).toEqual([]);
    const header = readFileSync(file, "utf8").split("*/")[0]!;
    for (const { id } of rest) expect(header).toContain(id);
  });

  const read = readDesign(JSON.parse(readFileSync(design, "utf8")));
  const subject = { design: read, promises: DEFAULT_PROMISES, bounds: voltageBoundsOf(read) };

  it.each(meant)("keeps %s", (id) => {
    const claim = ALL_CLAIMS.find((one) => one.id === id)!;
    const space = claim.over(subject);
    const bench = { subject, firmware: firmware.open() };
    const draws = fc.sample(stratifiedDraws(space.parameters), { numRuns: 15, seed: 29 });
    const judgements = draws.flatMap((draw) => {
      const played = evaluateDraw(bench, space, draw);
      return played.kind === "played" ? [judgementOf(claim, played.episode)] : [];
    });
    const judged = judgements.filter(({ kind }) => kind === "judged");
    expect(judged.length).toBeGreaterThan(0);
    for (const one of judged)
      if (one.kind === "judged") expect(one.margin, one.because).toBeGreaterThanOrEqual(0);
  });

  it("runs under verify: nothing fails but the canary, and so few runs are no evidence", async () => {
    const asked = "--claims latency,automatic --runs 50 --seed 8 --workers 1 --json".split(" ");
    const { code, out } = await runCommand("verify", design, "--firmware", file, ...asked);
    expect(code).toBe(3);
    const record = JSON.parse(out) as CampaignRecord;
    expect(record.failures.map(({ claim }) => claim)).toEqual(["canary"]);
    expect(record.firmware.identity).toMatchObject({ name: "typescript-trigger" });
    for (const { methods } of record.results)
      for (const { asked: due, done } of methods) expect(done).toBe(due);
  });
});
