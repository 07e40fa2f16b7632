import { InvalidInputError } from "../errors.ts";
import { faultKeyText } from "../../properties/faults/fault-block.ts";
import type { FaultBlockResult } from "../../properties/faults/fault-block.ts";
import { faultTable, withGenerated } from "../../properties/faults/fault-table.ts";
import type { FaultTable, TableFault } from "../../properties/faults/fault-table.ts";
import { FRONT_END_FAULTS } from "../../properties/faults/front-end-faults.ts";
import { runFaults } from "../../properties/faults/run-faults.ts";
import type { FaultProgress, SeededFault } from "../../properties/faults/run-faults.ts";
import { openFaultPool } from "./campaign-pool.ts";
import { buildFaults, faultWork } from "./faults-worker.ts";
import type { FaultBuild, FaultPlace } from "./faults-worker.ts";
import { interruption } from "./interruption.ts";
import { journalIn } from "./journal-in.ts";
import type { LoadedCampaign } from "./load-campaign.ts";
import { builtGenerated, chosenGenerated, reasonedOf, tableOfGenerated } from "./generated-run.ts";
import type { GeneratedForSources, SeededSources } from "./load-faults.ts";
import type { Terminal } from "./terminal.ts";

/** A run over faults that is asked for. */
export interface FaultsRequest {
  /** Of the design. */
  readonly path: string;
  readonly firmware: readonly string[];
  readonly claims?: readonly string[];
  /** Identifiers of faults; all where absent. */
  readonly only?: readonly string[];
  /** Faults that follow from the text of the sources; none where absent. */
  readonly generated?: GeneratedForSources;
  readonly runs: number;
  readonly mostRuns: number;
  readonly seed: number;
  readonly workers: number;
  /** Folder for the journal; without one nothing is kept between runs. */
  readonly out?: string;
  /** Whether an earlier journal of that folder is set aside. */
  readonly anew?: boolean;
  readonly terminal: Pick<Terminal, "version" | "progress" | "printError">;
}

/** A fault, where it is and who should notice it. */
type KnownFault = SeededFault & Omit<TableFault, "refused">;

function faultsOf(seeded: SeededSources | undefined, claims: readonly string[]): KnownFault[] {
  const firmware = (seeded?.faults ?? []).map(({ id, says, caughtBy, accepted }) => {
    const fault = { id, says, caughtBy, where: "firmware" } as const;
    return accepted === undefined ? fault : { ...fault, accepted };
  });
  const frontEnd = FRONT_END_FAULTS.map(
    ({ id, says }) => ({ id, says, where: "front end", caughtBy: claims }) as const,
  );
  return [...firmware, ...frontEnd];
}

function chosen(all: readonly KnownFault[], { only, generated }: FaultsRequest): KnownFault[] {
  const known = all.map(({ id }) => id);
  const more = new Set(generated?.lines.flat().map(({ id }) => id));
  const unknown = (only ?? []).filter((id) => !known.includes(id) && !more.has(id));
  if (unknown.length > 0)
    throw new InvalidInputError(
      "options",
      unknown.map((id) => ({
        path: "--only",
        quantity: "fault",
        permitted: `one of ${known.join(", ")}${more.size > 0 ? ", or a generated one" : ""}`,
        received: JSON.stringify(id),
      })),
    );
  return all.filter(({ id }) => only === undefined || only.includes(id));
}

function progressText({ done, planned, caught, faults }: FaultProgress, seconds: number): string {
  const left = Math.ceil((seconds / Math.max(done, 1)) * (planned - done));
  return `${done} of ${planned} blocks, ${left} s to go, ${caught} of ${faults} faults noticed`;
}

type Pool = ReturnType<typeof openFaultPool>;

async function built(
  seeded: SeededSources | undefined,
  faults: readonly KnownFault[],
  { request, pool }: { readonly request: FaultsRequest; readonly pool: Pool | undefined },
): Promise<readonly FaultBuild[]> {
  if (seeded === undefined) return [];
  const ids = faults.map(({ id }) => id);
  const own = seeded.faults.filter(({ id }) => ids.includes(id));
  const parts = Array.from({ length: request.workers }, (_, part) =>
    own.filter((_fault, index) => index % request.workers === part),
  );
  request.terminal.progress(`compiling ${own.length} faults`);
  const builds = await Promise.all(
    parts.map(async (part) =>
      pool === undefined
        ? buildFaults(seeded.sources, part)
        : ((await pool.run({
            kind: "build",
            firmware: seeded.sources,
            faults: part,
          })) as readonly FaultBuild[]),
    ),
  );
  return own.map(({ id }) => builds.flat().find((build) => build.id === id)!);
}

function headerOf(request: FaultsRequest, loaded: LoadedCampaign, faults: readonly KnownFault[]) {
  return {
    format: "plumbvolt.faultsJournal/1",
    version: request.terminal.version,
    design: loaded.designSha256,
    firmware: loaded.source.identity.hash,
    promises: loaded.subject.promises,
    claims: loaded.claims.map(({ id }) => id),
    faults: faults.map(({ id }) => id),
    ...(request.generated === undefined ? {} : { generated: true }),
    runs: request.runs,
    seed: request.seed,
  };
}

type Header = ReturnType<typeof headerOf>;

/**
 * Builds every fault, holds it to the claims and puts the table together. Ctrl-C ends it with what
 * is done; the journal goes on from there. Progress goes to the terminal.
 */
export async function faultsOfCampaign(
  request: FaultsRequest,
  loaded: LoadedCampaign,
  seeded: SeededSources | undefined,
): Promise<FaultTable> {
  const { terminal, workers, runs, mostRuns, seed, out } = request;
  const { claims, subject } = loaded;
  const all = faultsOf(
    seeded,
    claims.filter(({ canary }) => canary !== true).map(({ id }) => id),
  );
  const faults = chosen(all, request);
  const header = headerOf(request, loaded, faults);
  const journal =
    out === undefined
      ? undefined
      : journalIn<Header, FaultBlockResult>(
          { folder: out, name: "faults-journal.jsonl", anew: request.anew === true, terminal },
          header,
        );
  const pool = workers > 1 ? openFaultPool(workers) : undefined;
  const signal = interruption(terminal);
  const began = process.hrtime.bigint();
  try {
    const builds = await built(seeded, faults, { request, pool });
    const choice = request.generated && chosenGenerated(request.generated, request.only);
    const generated =
      choice === undefined || seeded === undefined || loaded.built === undefined
        ? []
        : await builtGenerated(choice, {
            sources: seeded.sources,
            built: loaded.built,
            pool,
            progress: terminal.progress,
          });
    const open = generated.flatMap((build) => ("path" in build ? [build] : []));
    const frontEnd = faults.flatMap(({ id, where }) => (where === "front end" ? [id] : []));
    const place: FaultPlace = {
      campaign: {
        design: request.path,
        firmware: request.firmware,
        bounds: subject.bounds,
        promises: subject.promises,
        ...(loaded.built === undefined ? {} : { built: loaded.built }),
        ...(request.claims === undefined ? {} : { claims: request.claims }),
      },
      builds,
      generated: open,
      frontEnd,
      seed,
    };
    const refused = new Map(
      builds.flatMap((build) => ("refused" in build ? [[build.id, build.refused] as const] : [])),
    );
    const playable = faults.filter(({ id }) => !refused.has(id));
    const run = await runFaults(
      {
        claims,
        subject,
        faults: playable,
        generated: open.map(({ id }) => id),
        ...(choice === undefined ? {} : { reasoned: reasonedOf(choice) }),
        ...(pool === undefined ? { work: faultWork(loaded, place) } : {}),
      },
      {
        runs,
        mostRuns,
        atOnce: workers,
        isStopped: signal.isStopped,
        progress: (progress) => {
          const seconds = Number(process.hrtime.bigint() - began) / 1e9;
          terminal.progress(progressText(progress, seconds));
        },
        ...(journal === undefined
          ? {}
          : {
              known: journal.results,
              keep: (result: FaultBlockResult) => journal.append(faultKeyText(result.key), result),
            }),
        ...(pool === undefined
          ? {}
          : {
              elsewhere: async (key) =>
                (await pool.run({ kind: "block", place, key })) as FaultBlockResult,
            }),
      },
    );
    const rows = faults.map(({ id, says, where, accepted }): TableFault => {
      const why = refused.get(id);
      return {
        id,
        says,
        where,
        ...(accepted === undefined ? {} : { accepted }),
        ...(why === undefined ? {} : { refused: why }),
      };
    });
    const table = faultTable(claims, rows, run);
    if (choice === undefined) return table;
    return withGenerated(table, tableOfGenerated(choice, generated, run));
  } finally {
    terminal.progress("");
    signal.end();
    journal?.close();
    await pool?.close();
  }
}
