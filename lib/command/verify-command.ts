import { readFileSync } from "node:fs";
import { mkdir, writeFile } from "node:fs/promises";
import { join } from "node:path";
import type { Command } from "commander";
import { InvalidInputError } from "../errors.ts";
import { printableText } from "../report/printable-text.ts";
import { wrappedText } from "../report/text-table.ts";
import type { Draw } from "../../properties/arbitraries/parameter.ts";
import { keyText } from "../../properties/campaign/block.ts";
import type { BlockResult } from "../../properties/campaign/block.ts";
import { readDeclaredPromises } from "../../sim/firmware/declared-promises.ts";
import { campaignRecord } from "../../properties/campaign/campaign-record.ts";
import type { CampaignHeader, CampaignRecord } from "../../properties/campaign/campaign-record.ts";
import { writeCounterexample } from "../../properties/campaign/counterexample-files.ts";
import { openJournal } from "../../properties/campaign/journal.ts";
import { planOf } from "../../properties/campaign/plan.ts";
import { play } from "../../properties/campaign/play.ts";
import { runCampaign } from "../../properties/campaign/run-campaign.ts";
import type { CampaignProgress } from "../../properties/campaign/run-campaign.ts";
import { exitCodeOf } from "../../properties/campaign/verdict.ts";
import { openCampaignPool } from "./campaign-pool.ts";
import { campaignTable } from "./campaign-table.ts";
import { loadCampaign } from "./load-campaign.ts";
import type { LoadedCampaign } from "./load-campaign.ts";
import { targetLines } from "./target-text.ts";
import type { Terminal } from "./terminal.ts";
import { loadPromises } from "./load-promises.ts";
import { readVerifyOptions } from "./verify-options.ts";
import type { VerifyFlags, VerifyOptions } from "./verify-options.ts";

/** Exit code where the command was interrupted before its plan was done. */
const NO_VERDICT = 3;

type Corpus = Readonly<Record<string, readonly Draw[]>>;

/** Failing values beside the design, which are replayed before anything else. */
function corpusBeside(path: string | undefined): Corpus {
  if (path === undefined) return {};
  try {
    const record = JSON.parse(readFileSync(path, "utf8")) as Pick<CampaignRecord, "failures">;
    const corpus: Record<string, Draw[]> = {};
    for (const { claim, draw } of record.failures) (corpus[claim] ??= []).push(draw);
    return corpus;
  } catch (error) {
    const permitted = "a record of an earlier campaign";
    const received = (error as Error).message;
    throw new InvalidInputError("options", [
      { path: "--corpus", quantity: "corpus", permitted, received },
    ]);
  }
}

function progressText({ done, runs, worst }: CampaignProgress, seconds: number): string {
  const rate = done / Math.max(seconds, 1e-3);
  const left = Math.ceil((runs - done) / Math.max(rate, 1e-9));
  const least = worst === null ? "" : `, least margin ${worst.margin.toFixed(3)} (${worst.claim})`;
  return `${done} of ${runs} runs, ${rate.toFixed(0)} per s, ${left} s to go${least}`;
}

interface Request {
  readonly path: string;
  readonly flags: VerifyFlags & { readonly corpus?: string };
  readonly options: VerifyOptions;
  readonly terminal: Terminal;
}

function headerOf({ path, flags, options, terminal }: Request, loaded: LoadedCampaign) {
  const { subject, source, claims, designSha256 } = loaded;
  return {
    format: "plumbvolt.campaign/1",
    version: terminal.version,
    design: { path, sha256: designSha256 },
    firmware: { paths: flags.firmware, identity: source.identity },
    promises: subject.promises,
    claims: claims.map(({ id }) => id),
    lane: options.lane,
    runs: options.runs,
    seed: options.seed,
    engine: `node ${process.versions.node}, v8 ${process.versions.v8}`,
  } satisfies CampaignHeader;
}

/** Listens for an interruption: the blocks that have begun are finished and kept. */
function interruption(terminal: Terminal) {
  let stopped = false;
  const stop = (): void => {
    stopped = true;
    terminal.printError("interrupted: what is done is kept");
  };
  process.once("SIGINT", stop);
  return { isStopped: () => stopped, end: () => process.off("SIGINT", stop) };
}

async function outcomeOf(request: Request, loaded: LoadedCampaign, header: CampaignHeader) {
  const { path, flags, options, terminal } = request;
  const { subject, source, claims } = loaded;
  const corpus = corpusBeside(flags.corpus);
  const plan = planOf(claims, { ...options, subject, corpus });
  const { part, of } = options.shard ?? { part: 1, of: 1 };
  const own = plan.filter((_, index) => index % of === part - 1);
  const file = flags.out === undefined ? undefined : join(flags.out, "journal.jsonl");
  if (flags.out !== undefined) await mkdir(flags.out, { recursive: true });
  const journal =
    file === undefined ? undefined : openJournal<CampaignHeader, BlockResult>(file, header);
  const place = {
    design: path,
    firmware: flags.firmware,
    bounds: subject.bounds,
    promises: subject.promises,
    ...(loaded.built === undefined ? {} : { built: loaded.built }),
    ...(options.claims === undefined ? {} : { claims: options.claims }),
  };
  const { seed, workers } = options;
  const pool = workers > 1 ? openCampaignPool(workers) : undefined;
  const signal = interruption(terminal);
  const began = process.hrtime.bigint();
  try {
    const work = { claims, subject, firmware: source, seed, corpus };
    const outcome = await runCampaign(work, own, {
      atOnce: workers,
      isStopped: signal.isStopped,
      ...(journal === undefined
        ? {}
        : {
            known: journal.results,
            keep: (result: BlockResult) => journal.append(keyText(result.key), result),
          }),
      ...(pool === undefined ? {} : { elsewhere: (key) => pool.run({ place, seed, corpus, key }) }),
      progress: (progress) => {
        const seconds = Number(process.hrtime.bigint() - began) / 1e9;
        terminal.progress(progressText(progress, seconds));
      },
    });
    return { ...outcome, complete: outcome.results.length === plan.length };
  } finally {
    terminal.progress("");
    signal.end();
    journal?.close();
    await pool?.close();
  }
}

async function writeFolder(
  folder: string,
  record: CampaignRecord,
  { subject, source, claims }: LoadedCampaign,
): Promise<string[]> {
  await mkdir(folder, { recursive: true });
  const file = join(folder, "record.json");
  await writeFile(file, `${JSON.stringify(record, null, 2)}\n`);
  const written = [file];
  for (const { id, failure, canary } of record.results) {
    if (failure === null || canary) continue;
    const { draw, because, at } = failure.smallest;
    const space = claims.find((claim) => claim.id === id)!.over(subject);
    const episode = play(subject, source.open(), { space, draw });
    const said = { claim: id, because, words: failure.words, at: at ?? undefined };
    written.push(...(await writeCounterexample(join(folder, "counterexamples"), episode, said)));
  }
  return written;
}

/** Which promises the claims go by, and whose they are. */
function promisesText({ subject, declared }: LoadedCampaign): string {
  const usual = Object.keys(subject.promises).filter((name) => !declared.includes(name));
  const own = declared.length === 0 ? "none declared" : `declared ${declared.join(", ")}`;
  return usual.length === 0 ? `promises: ${own}` : `promises: ${own}; usual ${usual.join(", ")}`;
}

async function verify(request: Request): Promise<number> {
  const { path, flags, options, terminal } = request;
  const loaded = await loadCampaign({
    design: path,
    firmware: flags.firmware,
    ...(options.claims === undefined ? {} : { claims: options.claims }),
    ...(flags.promises === undefined
      ? {}
      : { promises: readDeclaredPromises(loadPromises(flags.promises)) }),
  });
  const header = headerOf(request, loaded);
  const { claims, results, complete } = await outcomeOf(request, loaded, header);
  const found = exitCodeOf(claims);
  const exitCode = complete || found === 1 ? found : NO_VERDICT;
  const record = campaignRecord(header, claims, { results, exitCode });
  const written =
    flags.out === undefined || options.shard !== undefined
      ? []
      : await writeFolder(flags.out, record, loaded);
  if (flags.json === true) terminal.print(JSON.stringify(record, null, 2));
  else {
    terminal.print(campaignTable(claims, terminal.width));
    const { width } = terminal;
    terminal.print(`\n${wrappedText(promisesText(loaded), { width, indent: 2 }).join("\n")}`);
    for (const line of loaded.built === undefined ? [] : targetLines(loaded.built.manifest))
      terminal.print(wrappedText(printableText(line), { width, indent: 2 }).join("\n"));
    terminal.print(record.evidence);
    for (const file of written) terminal.print(`written: ${file}`);
  }
  return exitCode;
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
    .option("--corpus <record>", "replay the failures of an earlier record first")
    .option("--out <folder>", "write record, journal and counterexamples into a folder")
    .option("--json", "print the record")
    .action(async (path: string, flags: VerifyFlags) => {
      const options = readVerifyOptions(flags);
      finish(await verify({ path, flags, options, terminal }));
    });
}
