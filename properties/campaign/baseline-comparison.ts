/** A run beside its baseline, in sentences. */
export interface BaselineComparison {
  /** Why the two say nothing of each other; undefined where they are compared. */
  readonly incomparable?: string;
  readonly worse: readonly string[];
  readonly better: readonly string[];
}

/** Why runs that differ in one of these marks say nothing of each other; undefined if none does. */
export function differenceOf<Name extends string>(
  had: Readonly<Record<Name, unknown>>,
  has: Readonly<Record<Name, unknown>>,
  names: readonly Name[],
): BaselineComparison | undefined {
  const name = names.find((one) => String(had[one]) !== String(has[one]));
  if (name === undefined) return undefined;
  const incomparable = `it is of ${name} ${String(had[name])}, this run of ${String(has[name])}`;
  return { incomparable, worse: [], better: [] };
}
