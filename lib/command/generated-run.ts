import { InvalidInputError } from "../errors.ts";
import type { FaultRun } from "../../properties/faults/run-faults.ts";
import type { GeneratedFault } from "../../properties/faults/generated-faults.ts";
import { generatedTable } from "../../properties/faults/generated-table.ts";
import type { GeneratedBuild, GeneratedTable } from "../../properties/faults/generated-table.ts";
import { isAbout } from "../../properties/faults/survivors.ts";
import type { Survivor } from "../../properties/faults/survivors.ts";
import type { BuiltFirmware, FirmwareSources } from "../../sim/firmware/compile.ts";
import type { openFaultPool } from "./campaign-pool.ts";
import { buildGenerated, variantSource } from "./faults-worker.ts";

/** Generated faults that a run is asked for. */
export interface GeneratedChoice {
  readonly lines: readonly (readonly GeneratedFault[])[];
  readonly survivors: readonly Survivor[];
  /** True where they are all of the sources, and not some by name. */
  readonly isWhole: boolean;
}

/** Faults that are built for each line. */
const MOST_OF_LINE = 1;

/** Lines that one worker builds in one go. */
const LINES_AT_ONCE = 20;

/** Those of the given names; all where none are given. */
export function chosenGenerated(
  { lines, survivors }: Omit<GeneratedChoice, "isWhole">,
  only: readonly string[] | undefined,
): GeneratedChoice {
  if (only === undefined) return { lines, survivors, isWhole: true };
  const named = lines.flat().filter(({ id }) => only.includes(id));
  return { lines: named.map((fault) => [fault]), survivors, isWhole: false };
}

/** Identifiers of those that need not be noticed. */
export function reasonedOf({ lines, survivors }: GeneratedChoice): ReadonlySet<string> {
  const reasoned = lines.flat().filter((fault) => survivors.some((one) => isAbout(one, fault)));
  return new Set(reasoned.map(({ id }) => id));
}

/** The word of the host against a module that it cannot run at all. */
function refusalOf(built: BuiltFirmware, path: string): string | undefined {
  try {
    variantSource(built, path);
    return undefined;
  } catch (error) {
    if (error instanceof InvalidInputError) return error.message;
    throw error;
  }
}

/** What the builds of generated faults need. */
export interface GeneratedBuilding {
  readonly sources: FirmwareSources;
  readonly built: BuiltFirmware;
  readonly pool: ReturnType<typeof openFaultPool> | undefined;
  readonly progress: (text: string) => void;
}

/** Builds the generated faults, in several workers where there are some. */
export async function builtGenerated(
  { lines }: GeneratedChoice,
  { sources, built, pool, progress }: GeneratedBuilding,
): Promise<readonly GeneratedBuild[]> {
  const parts = Array.from({ length: Math.ceil(lines.length / LINES_AT_ONCE) }, (_, part) =>
    lines.slice(part * LINES_AT_ONCE, (part + 1) * LINES_AT_ONCE),
  );
  let done = 0;
  const build = async (part: (typeof parts)[number]): Promise<readonly GeneratedBuild[]> => {
    const most = MOST_OF_LINE;
    const task = { kind: "generated", firmware: sources, lines: part, most } as const;
    const builds =
      pool === undefined
        ? await buildGenerated(sources, part, most)
        : ((await pool.run(task)) as readonly GeneratedBuild[]);
    done += part.length;
    progress(`compiled for ${done} of ${lines.length} lines`);
    return builds;
  };
  const all: GeneratedBuild[] = [];
  if (pool === undefined) for (const part of parts) all.push(...(await build(part)));
  else all.push(...(await Promise.all(parts.map(build))).flat());
  return all.map((one): GeneratedBuild => {
    if (!("path" in one)) return one;
    const host = refusalOf(built, one.path);
    return host === undefined ? one : { id: one.id, host };
  });
}

/** The table of generated faults after a run. */
export function tableOfGenerated(
  choice: GeneratedChoice,
  builds: readonly GeneratedBuild[],
  run: FaultRun,
): GeneratedTable {
  const isWhole = choice.isWhole && run.complete;
  return generatedTable({ ...choice, builds, results: run.results, isWhole });
}
