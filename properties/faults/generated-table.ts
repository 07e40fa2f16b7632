import type { FaultBlockResult } from "./fault-block.ts";
import type { FaultOperator } from "./fault-operators.ts";
import type { GeneratedFault } from "./generated-faults.ts";
import { noticedOf } from "./noticed.ts";
import type { Noticed } from "./noticed.ts";
import { isAbout } from "./survivors.ts";
import type { Survivor } from "./survivors.ts";

/** What came of building a generated fault. */
export type GeneratedBuild =
  | { readonly id: string; readonly path: string }
  | { readonly id: string; readonly refused: string }
  /** The host's word against the module: it cannot be run at all, which notices the fault. */
  | { readonly id: string; readonly host: string }
  /** The module is the same as that of the firmware without a fault. */
  | { readonly id: string; readonly equivalent: true };

/** What became of a generated fault. */
export interface GeneratedOutcome {
  readonly id: string;
  readonly says: string;
  readonly operator: FaultOperator;
  readonly file: string;
  readonly within: string;
  readonly line: number;
  readonly text: string;
  readonly becomes: string;
  readonly outcome: "caught" | "survives" | "accepted" | "equivalent";
  /** Why the fault need not be noticed. */
  readonly accepted?: string;
  /** The host's word where it refuses the module: that notices it without any claim. */
  readonly host?: string;
  readonly noticedBy: readonly Noticed[];
}

/** Generated faults against claims. */
export interface GeneratedTable {
  readonly faults: readonly GeneratedOutcome[];
  /** Changes that the compiler refuses; another one stands for the line. */
  readonly refused: number;
  /** Lines none of whose changes makes a module that differs. */
  readonly notBuilt: readonly {
    readonly file: string;
    readonly line: number;
    readonly because: string;
  }[];
  /** Written reasons that are for no fault of this run, or for one that is noticed. */
  readonly stale: readonly {
    readonly file: string;
    readonly within: string;
    readonly line: string;
    readonly becomes: string;
    readonly why: "no such fault" | "it is noticed" | "it changes nothing";
  }[];
}

/** What a table of generated faults is made from. */
export interface GeneratedParts {
  readonly lines: readonly (readonly GeneratedFault[])[];
  readonly builds: readonly GeneratedBuild[];
  readonly results: readonly FaultBlockResult[];
  readonly survivors: readonly Survivor[];
  /** True where all lines were asked for and played to the end: then a reason can be stale. */
  readonly isWhole: boolean;
}

function outcomeOf(fault: GeneratedFault, build: GeneratedBuild, parts: GeneratedParts) {
  const { id, says, operator, file, within, line, text, becomes } = fault;
  const row = { id, says, operator, file, within, line, text, becomes };
  const reason = parts.survivors.find((entry) => isAbout(entry, fault))?.because;
  const noticedBy = noticedOf(id, parts.results);
  if ("equivalent" in build) return { ...row, outcome: "equivalent", noticedBy } as const;
  if ("host" in build) return { ...row, outcome: "caught", host: build.host, noticedBy } as const;
  if (noticedBy.length > 0) return { ...row, outcome: "caught", noticedBy } as const;
  if (reason === undefined) return { ...row, outcome: "survives", noticedBy } as const;
  return { ...row, outcome: "accepted", accepted: reason, noticedBy } as const;
}

function staleOf(
  outcomes: readonly GeneratedOutcome[],
  survivors: readonly Survivor[],
): GeneratedTable["stale"] {
  return survivors.flatMap((entry) => {
    const meant = outcomes.filter((fault) => isAbout(entry, fault));
    if (meant.some(({ outcome }) => outcome === "accepted")) return [];
    const isNoticed = meant.some(({ outcome }) => outcome === "caught");
    const why =
      meant.length === 0 ? "no such fault" : isNoticed ? "it is noticed" : "it changes nothing";
    const { file, within, line, becomes } = entry;
    return [{ file, within, line, becomes, why }];
  });
}

/** Puts what became of generated faults together. */
export function generatedTable(parts: GeneratedParts): GeneratedTable {
  const builds = new Map(parts.builds.map((build) => [build.id, build]));
  const faults = parts.lines.flat().flatMap((fault): GeneratedOutcome[] => {
    const build = builds.get(fault.id);
    return build === undefined || "refused" in build ? [] : [outcomeOf(fault, build, parts)];
  });
  const notBuilt = parts.lines.flatMap((line) => {
    const own = line.flatMap(({ id }) => builds.get(id) ?? []);
    if (own.length === 0 || own.some((build) => "path" in build || "host" in build)) return [];
    const refused = own.flatMap((build) => ("refused" in build ? [build.refused] : []));
    const because = refused[0] ?? "every change makes the same module";
    return [{ file: line[0]!.file, line: line[0]!.line, because }];
  });
  return {
    faults,
    refused: parts.builds.filter((build) => "refused" in build).length,
    notBuilt,
    stale: parts.isWhole ? staleOf(faults, parts.survivors) : [],
  };
}
