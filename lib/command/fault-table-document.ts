import type { FaultTable } from "../../properties/faults/fault-table.ts";
import type { LoadedCampaign } from "./load-campaign.ts";

/** Faults against claims as a document: the same bytes on every machine. */
export interface FaultTableDocument extends FaultTable {
  readonly format: "plumbvolt.faultTable/1";
  readonly producer: { readonly name: "plumbvolt"; readonly version: string };
  /** SHA-256 of the design, and what names the firmware. */
  readonly design: { readonly sha256: string };
  readonly firmware: { readonly name: string; readonly hash: string };
  /** Draws of each space, and those up to which a claim went on that had still to notice. */
  readonly runs: number;
  readonly mostRuns: number;
  readonly seed: number;
}

/** What a document of a table is made from beside the table. */
export interface FaultTableParts {
  readonly loaded: LoadedCampaign;
  readonly runs: number;
  readonly mostRuns: number;
  readonly seed: number;
  readonly version: string;
}

/** Puts a table with what it was made from into a document. */
export function faultTableDocument(table: FaultTable, parts: FaultTableParts): FaultTableDocument {
  const { loaded, runs, mostRuns, seed, version } = parts;
  const { name, hash } = loaded.source.identity;
  return {
    format: "plumbvolt.faultTable/1",
    producer: { name: "plumbvolt", version },
    design: { sha256: loaded.designSha256 },
    firmware: { name, hash },
    runs,
    mostRuns,
    seed,
    ...table,
  };
}
