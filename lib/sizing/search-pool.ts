import { OutsideDomainError } from "../errors.ts";
import type { Candidate } from "./candidate.ts";
import { proveCombinations, searchStructures } from "./search.ts";
import type { ProofTask, SearchFindings, SearchTask } from "./search.ts";
import type { SearchOrder } from "./search-worker.ts";
import type { SizingSpace } from "./space.ts";
import { openWorkers } from "../uncertainty/worker-pool.ts";

/** Runs parts of a search. Close it, or the program does not end. */
export interface SearchPool {
  /** Parts that are worked on at the same time. */
  readonly width: number;
  readonly search: (task: SearchTask) => Promise<SearchFindings>;
  readonly prove: (task: ProofTask) => Promise<readonly Candidate[]>;
  readonly close: () => Promise<void>;
}

const MOST_WORKERS = 64;
let runs = 0;

function workersFor(space: SizingSpace, workers: number): SearchPool {
  runs += 1;
  const run = `${process.pid}-${runs}`;
  const file = new URL("./search-worker.ts", import.meta.url);
  const pool = openWorkers({ file, name: "runSearch" }, workers);
  const answer = async (task: SearchTask | ProofTask): Promise<unknown> => {
    const order: SearchOrder = { run, question: space.question, task };
    return pool.run(order);
  };
  return {
    width: workers,
    search: async (task) => (await answer(task)) as SearchFindings,
    prove: async (task) => (await answer(task)) as readonly Candidate[],
    close: () => pool.destroy(),
  };
}

/**
 * Workers for the search of a space; with none the search runs where it is called. Throws
 * OutsideDomainError for a number that is no integer from 0 to 64.
 */
export function openSearchPool(space: SizingSpace, workers: number): SearchPool {
  if (!(Number.isInteger(workers) && workers >= 0 && workers <= MOST_WORKERS)) {
    throw new OutsideDomainError({
      path: "workers",
      quantity: "number of workers",
      permitted: `an integer from 0 to ${MOST_WORKERS}`,
      received: String(workers),
    });
  }
  if (workers > 0) return workersFor(space, workers);
  // Between two parts the caller may stop the search.
  const turn = (): Promise<void> => new Promise((resolve) => setImmediate(resolve));
  return {
    width: 1,
    search: async (task) => turn().then(() => searchStructures(space, task)),
    prove: async (task) => turn().then(() => proveCombinations(space, task)),
    close: async () => undefined,
  };
}
