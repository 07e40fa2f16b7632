import type { Claim } from "../claims/claim.ts";
import { UNCHANGED } from "./fault-block.ts";
import type { FaultBlockResult } from "./fault-block.ts";
import type { GeneratedTable } from "./generated-table.ts";
import { noticedOf } from "./noticed.ts";
import type { Noticed } from "./noticed.ts";

/** A fault as it was seeded. */
export interface TableFault {
  readonly id: string;
  readonly says: string;
  readonly where: "firmware" | "front end";
  /** The compiler's message where the firmware with the fault cannot be built. */
  readonly refused?: string;
  /** Why the fault need not be noticed. */
  readonly accepted?: string;
}

/** What became of a fault. */
export interface FaultOutcome extends TableFault {
  readonly outcome: "caught" | "survives" | "accepted" | "refused";
  readonly noticedBy: readonly Noticed[];
}

/** What the faults say of a claim. */
export interface ClaimUse {
  readonly id: string;
  /** Faults that this claim noticed and no other, consequences of it aside. */
  readonly alone: readonly string[];
  /** Faults that it is there to notice and did not. */
  readonly missed: readonly string[];
  readonly followsFrom: readonly string[];
}

/** Faults against claims. */
export interface FaultTable {
  readonly faults: readonly FaultOutcome[];
  readonly claims: readonly ClaimUse[];
  /** Claims that fail without any fault: then nothing that was caught means anything. */
  readonly baseline: readonly Noticed[];
  /** Faults that follow from the text of the sources, where they were asked for. */
  readonly generated?: GeneratedTable;
  readonly verdict: "holds" | "doesNotHold" | "noVerdict";
  readonly reasons: readonly string[];
}

function outcomeOf(fault: TableFault, results: readonly FaultBlockResult[]): FaultOutcome {
  const noticedBy = noticedOf(fault.id, results);
  if (fault.refused !== undefined) return { ...fault, outcome: "refused", noticedBy };
  if (noticedBy.length > 0) return { ...fault, outcome: "caught", noticedBy };
  return { ...fault, outcome: fault.accepted === undefined ? "survives" : "accepted", noticedBy };
}

function useOf(claim: Claim, claims: readonly Claim[], faults: readonly FaultOutcome[]): ClaimUse {
  const { id, mustCatch, followsFrom = [] } = claim;
  const consequences = claims
    .filter((one) => one.followsFrom?.includes(id) === true)
    .map((one) => one.id);
  const noticed = (fault: FaultOutcome): boolean => fault.noticedBy.some((one) => one.claim === id);
  const alone = faults.filter(
    (fault) =>
      noticed(fault) &&
      fault.noticedBy.every((one) => one.claim === id || consequences.includes(one.claim)),
  );
  const missed = faults.filter((fault) => mustCatch.includes(fault.id) && !noticed(fault));
  return {
    id,
    alone: alone.map((fault) => fault.id),
    missed: missed.map((fault) => fault.id),
    followsFrom,
  };
}

function list(names: readonly string[]): string {
  return names.join(", ");
}

function reasonsOf(table: Omit<FaultTable, "verdict" | "reasons">, complete: boolean): string[] {
  const survivors = table.faults.filter(({ outcome }) => outcome === "survives");
  const refused = table.faults.filter(({ outcome }) => outcome === "refused");
  const missed = table.claims.filter((claim) => claim.missed.length > 0);
  return [
    ...(complete ? [] : ["the run was stopped before its end"]),
    ...table.baseline.map(({ claim }) => `${claim} fails without any fault`),
    ...(survivors.length === 0 ? [] : [`nothing notices ${list(survivors.map(({ id }) => id))}`]),
    ...missed.map((claim) => `${claim.id} is there for ${list(claim.missed)} and misses it`),
    ...refused.map(({ id, refused: why }) => `${id} cannot be compiled: ${why}`),
  ];
}

/**
 * Puts the blocks of a run over faults together. The verdict: `doesNotHold` where a fault survives
 * or a claim misses what it is there for; `noVerdict` where the tester without a fault fails, a
 * fault cannot be built, or the run was stopped.
 */
export function faultTable(
  claims: readonly Claim[],
  faults: readonly TableFault[],
  {
    results,
    complete,
  }: { readonly results: readonly FaultBlockResult[]; readonly complete: boolean },
): FaultTable {
  const judged = claims.filter(({ canary }) => canary !== true);
  const outcomes = faults.map((fault) => outcomeOf(fault, results));
  const uses = judged.map((claim) => useOf(claim, judged, outcomes));
  const baseline = noticedOf(UNCHANGED, results);
  const table = { faults: outcomes, claims: uses, baseline };
  const isOpen =
    !complete || baseline.length > 0 || outcomes.some(({ outcome }) => outcome === "refused");
  const reasons = reasonsOf(table, complete);
  const verdict = isOpen ? "noVerdict" : reasons.length > 0 ? "doesNotHold" : "holds";
  return { ...table, verdict, reasons };
}

/** A table with the generated faults in it: one that survives without a reason does not hold. */
export function withGenerated(table: FaultTable, generated: GeneratedTable): FaultTable {
  const survivors = generated.faults.filter(({ outcome }) => outcome === "survives");
  const reasons = survivors.map(({ says }) => `nothing notices ${says}, and no reason is written`);
  const { verdict } = table;
  return {
    ...table,
    generated,
    verdict: survivors.length > 0 && verdict === "holds" ? "doesNotHold" : verdict,
    reasons: [...table.reasons, ...reasons],
  };
}
