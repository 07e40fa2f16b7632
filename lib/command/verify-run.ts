import { existsSync } from "node:fs";
import { dirname, join } from "node:path";
import { keyText } from "../../properties/campaign/block.ts";
import type { BlockResult } from "../../properties/campaign/block.ts";
import { campaignRecord } from "../../properties/campaign/campaign-record.ts";
import type { CampaignHeader, CampaignRecord } from "../../properties/campaign/campaign-record.ts";
import { planOf } from "../../properties/campaign/plan.ts";
import { runCampaign } from "../../properties/campaign/run-campaign.ts";
import type { CampaignProgress } from "../../properties/campaign/run-campaign.ts";
import { exitCodeOf } from "../../properties/campaign/verdict.ts";
import { openCampaignPool } from "./campaign-pool.ts";
import { interruption } from "./interruption.ts";
import { journalIn } from "./journal-in.ts";
import type { LoadedCampaign } from "./load-campaign.ts";
import { readCorpus } from "./read-corpus.ts";
import type { Terminal } from "./terminal.ts";
import type { VerifyOptions } from "./verify-options.ts";

/** Exit code where the command was interrupted before its plan was done. */
const NO_VERDICT = 3;

function progressText({ done, runs, worst }: CampaignProgress, seconds: number): string {
  const rate = done / Math.max(seconds, 1e-3);
  const left = Math.ceil((runs - done) / Math.max(rate, 1e-9));
  const least = worst === null ? "" : `, least margin ${worst.margin.toFixed(3)} (${worst.claim})`;
  return `${done} of ${runs} runs, ${rate.toFixed(0)} per s, ${left} s to go${least}`;
}

/** A campaign that is asked for. */
export interface CampaignRequest {
  /** Of the design. */
  readonly path: string;
  readonly flags: {
    readonly firmware: readonly string[];
    /** Folder for the journal; without one nothing is kept between runs. */
    readonly out?: string;
    /** Whether an earlier journal of that folder is set aside. */
    readonly anew?: boolean;
    /** Corpus or record of an earlier campaign whose failures come first; `corpus.json` otherwise. */
    readonly corpus?: string;
  };
  readonly options: VerifyOptions;
  readonly terminal: Pick<Terminal, "version" | "progress" | "printError">;
}

/** The corpus named, else `corpus.json` beside the design, else none. */
function corpusFor({ path, flags }: CampaignRequest): string | undefined {
  const beside = join(dirname(path), "corpus.json");
  return flags.corpus ?? (existsSync(beside) ? beside : undefined);
}

function headerOf(request: CampaignRequest, loaded: LoadedCampaign) {
  const { path, flags, options, terminal } = request;
  const corpus = corpusFor(request);
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
    corpus: corpus === undefined ? {} : readCorpus(corpus, loaded),
    engine: `node ${process.versions.node}, v8 ${process.versions.v8}`,
  } satisfies CampaignHeader;
}

async function outcomeOf(request: CampaignRequest, loaded: LoadedCampaign, header: CampaignHeader) {
  const { path, flags, options, terminal } = request;
  const { subject, source, claims } = loaded;
  const { corpus } = header;
  const plan = planOf(claims, { ...options, subject, corpus });
  const { part, of } = options.shard ?? { part: 1, of: 1 };
  const own = plan.filter((_, index) => index % of === part - 1);
  const anew = flags.anew === true;
  const journal =
    flags.out === undefined
      ? undefined
      : journalIn<CampaignHeader, BlockResult>(
          { folder: flags.out, name: "journal.jsonl", anew, terminal },
          header,
        );
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
      whole: plan,
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

/**
 * Runs a campaign over a loaded design and firmware; Ctrl-C ends it with what is done. Progress goes
 * to the terminal.
 */
export async function campaignOf(
  request: CampaignRequest,
  loaded: LoadedCampaign,
): Promise<CampaignRecord> {
  const header = headerOf(request, loaded);
  const { claims, results, complete } = await outcomeOf(request, loaded, header);
  const found = exitCodeOf(claims);
  const exitCode = complete || found === 1 ? found : NO_VERDICT;
  const { shard } = request.options;
  const part = shard === undefined || shard.of === 1 ? {} : { shard };
  return campaignRecord(header, claims, { results, exitCode, ...part });
}
