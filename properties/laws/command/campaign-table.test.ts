// Falsified by: a table that leaves out what was found where a claim came close to its end, or says
// it of a claim that was at ease, that failed, or that has to fail.
import { expect, it } from "vitest";
import { campaignTable } from "../../../lib/command/campaign-table.ts";
import { runCampaign } from "../../campaign/run-campaign.ts";
import type { ClaimResult } from "../../campaign/verdict.ts";
import { ALL_CLAIMS } from "../../claims/all-claims.ts";
import { DEFAULT_PROMISES } from "../../claims/promises.ts";
import { voltageBoundsOf } from "../../claims/voltage-bounds.ts";
import { plainFirmware } from "../../support/plain-firmware.ts";
import { TWO_POINT } from "../sim/scenarios.ts";

const bounds = voltageBoundsOf(TWO_POINT);
const subject = { design: TWO_POINT, promises: DEFAULT_PROMISES, bounds };
const claims = ALL_CLAIMS.filter(({ id }) => id === "latency");
const work = { claims, subject, firmware: plainFirmware(), seed: 5, corpus: {} };
const { claims: judged } = await runCampaign(work, [
  { claims: ["latency"], method: "edges", block: 0, runs: 8 },
]);
const latency = judged[0]!;

it("the latencies at the worst stand below the table of a claim that was not at ease", () => {
  const told = (more: Partial<ClaimResult>): string =>
    campaignTable([{ ...latency, ...more }], 100);
  const worst = latency.worst!;
  expect(worst.margin).toBeLessThan(1);
  const line = `latency: at the worst ${worst.because}`;
  expect(line).toMatch(/candidate [\d.]+ ms, confirmed [\d.]+ ms/);
  expect(told({})).toContain(line);
  expect(told({ worst: { ...worst, margin: 1 } })).not.toContain("at the worst");
  expect(told({ worst: null })).not.toContain("at the worst");
  expect(told({ canary: true })).not.toContain("at the worst");
  const failure = {
    met: worst,
    smallest: worst,
    reductions: 0,
    method: "edges",
    words: [],
  } as const;
  expect(told({ failure, verdict: "doesNotHold" })).not.toContain("at the worst");
});
