import { array, description, pipe, strictObject, string } from "valibot";
import type { InferOutput } from "valibot";
import { count } from "../../lib/report/schema-parts.ts";
import { differenceOf } from "../campaign/baseline-comparison.ts";
import type { BaselineComparison } from "../campaign/baseline-comparison.ts";
import type { FaultTable } from "./fault-table.ts";

/** Shape of the part of a baseline that is about seeded faults. */
export const faultsBaselineSchema = pipe(
  strictObject({
    firmware: pipe(array(string()), description("Last parts of the paths of its files.")),
    runs: count,
    seed: count,
    faults: array(
      strictObject({
        id: string(),
        noticedBy: pipe(array(string()), description("Claims; none where nothing noticed it.")),
      }),
    ),
  }),
  description("Which claims noticed which seeded fault."),
);

/** What a run over seeded faults reached once. */
export type FaultsBaseline = InferOutput<typeof faultsBaselineSchema>;

/** The baseline that a run over seeded faults makes; generated ones are left out. */
export function faultsBaselineOf(
  { faults }: Pick<FaultTable, "faults">,
  run: Omit<FaultsBaseline, "faults">,
): FaultsBaseline {
  return {
    ...run,
    faults: faults.map(({ id, noticedBy }) => ({
      id,
      noticedBy: noticedBy.map(({ claim }) => claim),
    })),
  };
}

/** Compares a run over seeded faults with a baseline; with `all` a fault that is gone is missed. */
export function comparedFaults(
  baseline: FaultsBaseline,
  now: FaultsBaseline,
  { all }: { readonly all: boolean },
): BaselineComparison {
  const difference = differenceOf(baseline, now, ["firmware", "runs", "seed"]);
  if (difference !== undefined) return difference;
  const worse: string[] = [];
  const better: string[] = [];
  for (const had of baseline.faults) {
    const has = now.faults.find(({ id }) => id === had.id);
    if (has === undefined) {
      if (all) worse.push(`${had.id}: no longer tried`);
      continue;
    }
    const lost = had.noticedBy.filter((claim) => !has.noticedBy.includes(claim));
    const won = has.noticedBy.filter((claim) => !had.noticedBy.includes(claim));
    if (lost.length > 0) worse.push(`${had.id}: no longer noticed by ${lost.join(", ")}`);
    if (won.length > 0) better.push(`${had.id}: noticed by ${won.join(", ")} too`);
  }
  const known = new Set(baseline.faults.map(({ id }) => id));
  for (const { id } of now.faults) if (!known.has(id)) better.push(`${id}: not in the baseline`);
  return { worse, better };
}
