import { publishedLimits } from "../design/published-limits.ts";

/** A published limit as a person names it. */
export interface LimitName {
  /** Standard and clause, "IEC 60335-1, 22.5"; the identifier itself where it is not known here. */
  readonly name: string;
  /** The figure or its clause was recalled and not read; shown only together with the advice. */
  readonly isRecalled: boolean;
}

/**
 * Names of published limits by the identifiers that budget rows carry, of a whole clause
 * ("iec-60335-1-22.5") or of one of its lines ("iec-60335-1-22.5/plug"); those that were read come
 * first, otherwise in the order given.
 */
export function limitNames(ids: readonly string[]): readonly LimitName[] {
  const known = new Map<string, LimitName>();
  for (const limit of publishedLimits()) {
    const clause = limit.isClauseCertain ? `, ${limit.clause}` : "";
    const name = `${limit.standard}${clause}`;
    const isUncertain = !limit.isClauseCertain;
    known.set(limit.id, { name, isRecalled: limit.status === "fromMemory" || isUncertain });
    for (const line of limit.lines) {
      known.set(line.id, { name, isRecalled: line.status === "fromMemory" || isUncertain });
    }
  }
  const names = ids.map((id) => known.get(id) ?? { name: id, isRecalled: false });
  return [...names.filter((one) => !one.isRecalled), ...names.filter((one) => one.isRecalled)];
}
