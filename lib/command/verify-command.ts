import { mkdir, writeFile } from "node:fs/promises";
import { join } from "node:path";
import type { Command } from "commander";
import { printableText } from "../report/printable-text.ts";
import { wrappedText } from "../report/text-table.ts";
import { readDeclaredPromises } from "../../sim/firmware/declared-promises.ts";
import type { CampaignRecord } from "../../properties/campaign/campaign-record.ts";
import { baselineFor, codeBesideBaseline } from "./baseline-file.ts";
import { writeFailures } from "./campaign-failures.ts";
import { campaignTable } from "./campaign-table.ts";
import { loadCampaign } from "./load-campaign.ts";
import type { LoadedCampaign } from "./load-campaign.ts";
import { loadPromises } from "./load-promises.ts";
import { targetLines } from "./target-text.ts";
import type { Terminal } from "./terminal.ts";
import { readVerifyOptions } from "./verify-options.ts";
import type { VerifyFlags } from "./verify-options.ts";
import { campaignOf } from "./verify-run.ts";
import type { CampaignRequest } from "./verify-run.ts";

interface Request extends CampaignRequest {
  readonly flags: VerifyFlags;
  readonly terminal: Terminal;
}

async function writeFolder(
  folder: string,
  record: CampaignRecord,
  loaded: LoadedCampaign,
): Promise<string[]> {
  await mkdir(folder, { recursive: true });
  const file = join(folder, "record.json");
  await writeFile(file, `${JSON.stringify(record, null, 2)}\n`);
  return [file, ...(await writeFailures(join(folder, "counterexamples"), record, loaded))];
}

/** Which promises the claims go by, and whose they are. */
function promisesText({ subject, declared }: LoadedCampaign): string {
  const open = Object.keys(subject.promises).filter((name) => !declared.includes(name));
  const usual = open.filter((name) => name !== "instant");
  const own = declared.length === 0 ? "none declared" : `declared ${declared.join(", ")}`;
  return [
    `promises: ${own}`,
    ...(usual.length === 0 ? [] : [`usual ${usual.join(", ")}`]),
    ...(open.includes("instant") ? ["instant: the latency of the design"] : []),
  ].join("; ");
}

async function verify(request: Request): Promise<number> {
  const { path, flags, options, terminal } = request;
  const baseline = baselineFor(path, flags);
  const loaded = await loadCampaign({
    design: path,
    firmware: flags.firmware,
    ...(options.claims === undefined ? {} : { claims: options.claims }),
    ...(flags.promises === undefined
      ? {}
      : { promises: readDeclaredPromises(loadPromises(flags.promises)) }),
  });
  const record = await campaignOf(request, loaded);
  const written =
    flags.out === undefined || options.shard !== undefined
      ? []
      : await writeFolder(flags.out, record, loaded);
  if (flags.json === true) terminal.print(JSON.stringify(record, null, 2));
  else {
    terminal.print(campaignTable(record.results, terminal.width));
    const { width } = terminal;
    terminal.print(`\n${wrappedText(promisesText(loaded), { width, indent: 2 }).join("\n")}`);
    const { built } = loaded;
    const origin = flags.firmware.every((file) => file.endsWith(".c")) ? "assumed" : "declared";
    for (const line of built === undefined ? [] : targetLines(built.manifest, origin))
      terminal.print(wrappedText(printableText(line), { width, indent: 2 }).join("\n"));
    terminal.print(record.evidence);
    for (const file of written) terminal.print(`written: ${file}`);
  }
  return codeBesideBaseline(baseline, record, { ...terminal, flags });
}

/** Adds `verify` to the program. */
export function addVerifyCommand(
  program: Command,
  terminal: Terminal,
  finish: (code: number) => void,
): void {
  program
    .command("verify")
    .description("hold a firmware to its claims in simulated scenarios")
    .argument("<design>", "design document, .json or .ts")
    .requiredOption("--firmware <files...>", "C files, a manifest, or one .ts file")
    .option("--runs <number>", "edge-biased runs of each claim")
    .option("--seed <number>", "seed of all draws")
    .option("--claims <ids>", "identifiers, separated by commas")
    .option("--lane <lane>", "gate, nightly or release")
    .option("--workers <number>", "workers; as many as the machine runs at once")
    .option("--shard <i/n>", "do a part of the campaign; join the parts with merge")
    .option("--promises <file>", "JSON document of what the firmware promises")
    .option(
      "--corpus <record>",
      "record or corpus whose failures come first; corpus.json beside the design",
    )
    .option("--baseline <file>", "what was reached before; baseline.json beside the design")
    .option("--update-baseline", "make this campaign the baseline; refused in CI")
    .option("--out <folder>", "write record, journal and counterexamples into a folder")
    .option("--anew", "set an earlier journal of that folder aside instead of going on with it")
    .option("--json", "print the record")
    .action(async (path: string, flags: VerifyFlags) => {
      const options = readVerifyOptions(flags);
      finish(await verify({ path, flags, options, terminal }));
    });
}
