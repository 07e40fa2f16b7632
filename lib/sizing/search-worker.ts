import type { Candidate } from "./candidate.ts";
import { proveCombinations, searchStructures } from "./search.ts";
import type { ProofTask, SearchFindings, SearchTask } from "./search.ts";
import { sizingSpace } from "./space.ts";
import type { SizingQuestion, SizingSpace } from "./space.ts";

/** One order to a worker: part of a search with everything the space is laid out from. */
export interface SearchOrder {
  /** The same for all orders of one search, so that a worker lays its space out once. */
  readonly run: string;
  readonly question: SizingQuestion;
  readonly task: SearchTask | ProofTask;
}

/** The space laid out last; a worker serves one search after another. */
let latest: { readonly run: string; readonly space: SizingSpace } | undefined;

/** Searches the structures of one order, or proves combinations; called in workers of the pool. */
export function runSearch(order: SearchOrder): SearchFindings | readonly Candidate[] {
  const { run, question, task } = order;
  if (latest?.run !== run) latest = { run, space: sizingSpace(question) };
  return "structures" in task
    ? searchStructures(latest.space, task)
    : proveCombinations(latest.space, task);
}
