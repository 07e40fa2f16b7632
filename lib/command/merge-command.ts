import { mkdirSync, writeFileSync } from "node:fs";
import { dirname } from "node:path";
import type { Command } from "commander";
import { InvalidInputError } from "../errors.ts";
import { keyText } from "../../properties/campaign/block.ts";
import type { BlockResult } from "../../properties/campaign/block.ts";
import { campaignRecord } from "../../properties/campaign/campaign-record.ts";
import type { CampaignHeader } from "../../properties/campaign/campaign-record.ts";
import { joinJournals } from "../../properties/campaign/journal.ts";
import { planOf } from "../../properties/campaign/plan.ts";
import { runCampaign } from "../../properties/campaign/run-campaign.ts";
import { ALL_CLAIMS } from "../../properties/claims/all-claims.ts";
import { exitCodeOf } from "../../properties/campaign/verdict.ts";
import { baselineFor, codeBesideBaseline } from "./baseline-file.ts";
import type { BaselineFlags } from "./baseline-file.ts";
import { campaignTable } from "./campaign-table.ts";
import { loadCampaign } from "./load-campaign.ts";
import type { Terminal } from "./terminal.ts";

interface MergeFlags extends Pick<BaselineFlags, "baseline" | "updateBaseline"> {
  readonly record: string;
}

function requireUnchanged(header: CampaignHeader, found: { design: string; firmware: string }) {
  const faults = [
    { path: "design.sha256", had: header.design.sha256, has: found.design },
    { path: "firmware.identity.hash", had: header.firmware.identity.hash, has: found.firmware },
  ].flatMap(({ path, had, has }) =>
    had === has
      ? []
      : [
          {
            path,
            quantity: "input of the campaign",
            permitted: `as it was, ${had}`,
            received: has,
          },
        ],
  );
  if (faults.length > 0) throw new InvalidInputError("journal", faults);
}

/** Blocks of the plan that no journal has. */
function requireComplete(
  missing: readonly string[],
  total: number,
  damaged: readonly string[],
): void {
  if (missing.length === 0) return;
  throw new InvalidInputError("journal", [
    {
      path: "",
      quantity: "blocks of the journals",
      permitted: `all ${total}`,
      received: `${total - missing.length}, the first without a result is ${missing[0]}`,
      hint: [
        ...damaged,
        damaged.length === 0
          ? "name the journals of all shards, and let each shard run to its end"
          : "run that shard again: it plays what is missing",
      ].join("; "),
    },
  ]);
}

/** Adds `merge` to the program. */
export function addMergeCommand(
  program: Command,
  terminal: Terminal,
  setCode: (code: number) => void,
): void {
  program
    .command("merge")
    .description("join the journals of all shards of a campaign to the record of the whole")
    .argument("<journals...>", "journals of the shards, as journal.jsonl in each --out folder")
    .requiredOption("--record <file>", "where the record is written")
    .option("--baseline <file>", "what was reached before; baseline.json beside the design")
    .option("--update-baseline", "make this campaign the baseline; refused in CI")
    .action(async (paths: readonly string[], flags: MergeFlags) => {
      const joined = joinJournals<CampaignHeader, BlockResult>(paths);
      const { header, results: known } = joined;
      const { design, firmware, claims: ids, lane, runs, seed, promises, corpus } = header;
      const place = { design: design.path, firmware: firmware.paths, claims: ids, promises };
      const whole = ALL_CLAIMS.every(({ id }) => ids.includes(id));
      const measured = whole ? flags : { ...flags, claims: ids.join() };
      const baseline = baselineFor(design.path, measured);
      const loaded = await loadCampaign(place);
      const { subject, source, claims } = loaded;
      requireUnchanged(header, { design: loaded.designSha256, firmware: source.identity.hash });
      const work = { claims, subject, firmware: source, seed, corpus };
      const plan = planOf(claims, { lane, runs, subject, corpus });
      const missing = plan.map(keyText).filter((key) => !known.has(key));
      requireComplete(missing, plan.length, joined.damaged);
      mkdirSync(dirname(flags.record), { recursive: true });
      const { results, claims: judged } = await runCampaign(work, plan, { known });
      const exitCode = exitCodeOf(judged);
      const record = campaignRecord(header, judged, { results, exitCode });
      writeFileSync(flags.record, `${JSON.stringify(record, null, 2)}\n`);
      terminal.print(campaignTable(judged, terminal.width));
      terminal.print(`\n${record.evidence}`);
      terminal.print(`written: ${flags.record}`);
      setCode(codeBesideBaseline(baseline, record, { ...terminal, flags: measured }));
    });
}
