import type { BudgetDocument, BudgetRow, RequirementRow, TermRow } from "./budget-document.ts";

/** The terms of one part and kind together. */
export interface TermGroup {
  readonly part: string;
  readonly kind: TermRow["kind"];
  /** Sum of the magnitudes, V. */
  readonly volts: number;
  /** Largest first, one or more. */
  readonly terms: readonly TermRow[];
}

/** The row at which an accuracy is hardest to reach, and what is allowed there. */
export interface DemandingRow {
  readonly row: BudgetRow;
  /** The requirement judged at this very voltage whose margin is least, where there is one. */
  readonly requirement?: RequirementRow;
}

/** Margin in terms of what is allowed; a requirement that allows nothing is the hardest. */
function relativeMargin(requirement: RequirementRow): number {
  return requirement.limit > 0 ? requirement.margin / requirement.limit : -Infinity;
}

function least<Item>(items: readonly Item[], measure: (item: Item) => number): Item | undefined {
  return items.reduce<Item | undefined>(
    (best, item) => (best === undefined || measure(item) < measure(best) ? item : best),
    undefined,
  );
}

/** Largest error in terms of the voltage; at 0 V there is no such share. */
function relativeError(row: BudgetRow): number {
  return row.voltage === 0 ? 0 : row.provenError / Math.abs(row.voltage);
}

/**
 * The row with the requirement whose margin is the smallest share of what it allows; without
 * requirements the limit voltage with the largest error in percent of the voltage, without limit
 * voltages the row with the largest error. A requirement whose least margin falls between the rows
 * points to the nearest one and is then not named. Undefined for a budget without rows.
 */
export function demandingRow(document: BudgetDocument): DemandingRow | undefined {
  const { rows, requirements } = document;
  const hardest = least(requirements, relativeMargin);
  if (hardest !== undefined) {
    const row = least(rows, (one) => Math.abs(one.voltage - hardest.voltage));
    if (row === undefined) return undefined;
    return row.voltage === hardest.voltage ? { row, requirement: hardest } : { row };
  }
  const atLimits = rows.filter((row) => row.limits.length > 0);
  const row =
    atLimits.length > 0
      ? least(atLimits, (one) => -relativeError(one))
      : least(rows, (one) => -one.provenError);
  return row === undefined ? undefined : { row };
}

/** The terms of a row gathered by part and kind, largest sum first; equal sums by name. */
export function termGroups(row: BudgetRow): readonly TermGroup[] {
  const groups = new Map<string, TermRow[]>();
  for (const term of row.terms) {
    const key = JSON.stringify([term.part, term.kind]);
    groups.set(key, [...(groups.get(key) ?? []), term]);
  }
  return [...groups.entries()]
    .map(([key, terms]) => ({ key, terms: terms.sort((one, other) => other.volts - one.volts) }))
    .flatMap(({ key, terms }) => {
      const first = terms[0];
      if (first === undefined) return [];
      const volts = terms.reduce((sum, term) => sum + term.volts, 0);
      return [{ key, group: { part: first.part, kind: first.kind, volts, terms } }];
    })
    .sort((one, other) => other.group.volts - one.group.volts || (one.key < other.key ? -1 : 1))
    .map(({ group }) => group);
}
