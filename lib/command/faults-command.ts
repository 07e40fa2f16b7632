import { mkdir, writeFile } from "node:fs/promises";
import { availableParallelism } from "node:os";
import { join } from "node:path";
import type { Command } from "commander";
import { InvalidInputError } from "../errors.ts";
import { mutationReport } from "../../properties/faults/mutation-report.ts";
import { readDeclaredPromises } from "../../sim/firmware/declared-promises.ts";
import { baselineFor, faultsBesideBaseline, tellBaseline } from "./baseline-file.ts";
import type { BaselineFlags } from "./baseline-file.ts";
import { faultTableDocument } from "./fault-table-document.ts";
import type { FaultTableDocument } from "./fault-table-document.ts";
import { faultTableText } from "./fault-table-text.ts";
import { MOST_FAULT_RUNS, USUAL_FAULT_RUNS } from "./faults-options.ts";
import { faultsOfCampaign } from "./faults-run.ts";
import { loadCampaign } from "./load-campaign.ts";
import type { LoadedCampaign } from "./load-campaign.ts";
import { loadFaults, loadGenerated } from "./load-faults.ts";
import type { GeneratedForSources, SeededSources } from "./load-faults.ts";
import { loadPromises } from "./load-promises.ts";
import type { Terminal } from "./terminal.ts";
import { FlagReader, MOST_WORKERS, USUAL_SEED } from "./verify-options.ts";

interface FaultsFlags extends BaselineFlags {
  readonly firmware: readonly string[];
  readonly faults?: string;
  readonly generated?: boolean;
  readonly only?: string;
  readonly claims?: string;
  readonly runs?: string;
  readonly seed?: string;
  readonly workers?: string;
  readonly promises?: string;
  readonly out?: string;
  readonly anew?: boolean;
  readonly json?: boolean;
}

const EXIT_CODES = { holds: 0, doesNotHold: 1, noVerdict: 3 } as const;

/** The two files of a run over faults by name: the table, and the report in the open schema. */
function faultFiles(
  document: FaultTableDocument,
  loaded: LoadedCampaign,
  {
    seeded,
    generated,
  }: {
    readonly seeded: SeededSources | undefined;
    readonly generated: GeneratedForSources | undefined;
  },
): ReadonlyMap<string, string> {
  const report = mutationReport({
    table: document,
    claims: loaded.claims,
    sources: seeded?.sources.sources ?? [],
    firmwareFaults: seeded?.faults ?? [],
    ...(generated === undefined ? {} : { generated: generated.lines.flat() }),
    version: document.producer.version,
  });
  const text = (content: unknown): string => `${JSON.stringify(content, null, 2)}\n`;
  return new Map([
    ["fault-table.json", text(document)],
    ["mutation-report.json", text(report)],
  ]);
}

function optionsOf(flags: FaultsFlags) {
  const reader = new FlagReader();
  const workers = flags.workers ?? String(Math.min(availableParallelism(), MOST_WORKERS));
  const options = {
    runs: reader.whole("--runs", flags.runs ?? String(USUAL_FAULT_RUNS), [1, 100_000]),
    seed: reader.whole("--seed", flags.seed ?? String(USUAL_SEED), [0, Number.MAX_SAFE_INTEGER]),
    workers: reader.whole("--workers", workers, [1, MOST_WORKERS]),
    ...(flags.claims === undefined ? {} : { claims: flags.claims.split(",") }),
    ...(flags.only === undefined ? {} : { only: flags.only.split(",") }),
    ...(flags.out === undefined ? {} : { out: flags.out }),
  };
  if (reader.faults.length > 0) throw new InvalidInputError("options", reader.faults);
  return options;
}

async function run(path: string, flags: FaultsFlags, terminal: Terminal): Promise<number> {
  const options = optionsOf(flags);
  const { firmware } = flags;
  const seeded = loadFaults(firmware, flags.faults);
  const generated = flags.generated === true ? loadGenerated(seeded) : undefined;
  const baseline = baselineFor(path, flags);
  const loaded = await loadCampaign({
    design: path,
    firmware,
    ...(options.claims === undefined ? {} : { claims: options.claims }),
    ...(flags.promises === undefined
      ? {}
      : { promises: readDeclaredPromises(loadPromises(flags.promises)) }),
  });
  const mostRuns = Math.max(options.runs, MOST_FAULT_RUNS);
  const request = {
    ...options,
    path,
    firmware,
    mostRuns,
    terminal,
    anew: flags.anew === true,
    ...(generated === undefined ? {} : { generated }),
  };
  const table = await faultsOfCampaign(request, loaded, seeded);
  const { version } = terminal;
  const document = faultTableDocument(table, { ...options, mostRuns, loaded, version });
  terminal.print(
    flags.json === true ? JSON.stringify(document, null, 2) : faultTableText(table, terminal.width),
  );
  if (flags.out !== undefined) {
    await mkdir(flags.out, { recursive: true });
    for (const [name, content] of faultFiles(document, loaded, { seeded, generated })) {
      await writeFile(join(flags.out, name), content);
      if (flags.json !== true) terminal.print(`written: ${join(flags.out, name)}`);
    }
  }
  const code = EXIT_CODES[table.verdict];
  const isRenewed = flags.updateBaseline === true;
  if (baseline === undefined || (table.verdict === "noVerdict" && !isRenewed)) return code;
  const all = options.only === undefined && options.claims === undefined;
  const { runs, seed } = options;
  const beside = { firmware, runs, seed, isRenewed, all };
  const outcome = faultsBesideBaseline(baseline, table, beside);
  tellBaseline(outcome, terminal, flags.json === true);
  return outcome.isWorse ? EXIT_CODES.doesNotHold : code;
}

/** Adds `faults` to the program. */
export function addFaultsCommand(
  program: Command,
  terminal: Terminal,
  finish: (code: number) => void,
): void {
  program
    .command("faults")
    .description("put faults into firmware and front end: the claims have to notice each of them")
    .argument("<design>", "design document, .json or .ts")
    .requiredOption("--firmware <files...>", "C files, a manifest, or one .ts file")
    .option("--faults <file>", "faults of the firmware; faults.json beside its sources")
    .option("--generated", "add faults that follow from the text of each C line; survivors.json")
    .option("--only <ids>", "identifiers of faults, separated by commas")
    .option("--claims <ids>", "identifiers of claims, separated by commas")
    .option("--runs <number>", "draws of each space of scenarios")
    .option("--seed <number>", "seed of all draws")
    .option("--workers <number>", "workers; as many as the machine runs at once")
    .option("--promises <file>", "JSON document of what the firmware promises")
    .option("--baseline <file>", "what was reached before; baseline.json beside the design")
    .option("--update-baseline", "put this table into the baseline; refused in CI")
    .option("--out <folder>", "write table, mutation report and journal into a folder")
    .option("--anew", "set an earlier journal of that folder aside instead of going on with it")
    .option("--json", "print the table as JSON")
    .action(async (path: string, flags: FaultsFlags) => {
      finish(await run(path, flags, terminal));
    });
}
