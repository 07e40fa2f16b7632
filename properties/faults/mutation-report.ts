import type { Claim } from "../claims/claim.ts";
import type { FaultOutcome, FaultTable } from "./fault-table.ts";
import { placesOf } from "./firmware-fault.ts";
import type { FirmwareFault } from "./firmware-fault.ts";
import type { GeneratedFault } from "./generated-faults.ts";

interface Position {
  readonly line: number;
  readonly column: number;
}

/** One seeded fault, in the words of the open schema. */
interface Mutant {
  readonly id: string;
  readonly mutatorName: string;
  readonly description: string;
  readonly replacement: string;
  readonly location: { readonly start: Position; readonly end: Position };
  readonly status: "Killed" | "Survived" | "Ignored" | "CompileError";
  readonly statusReason?: string;
  readonly killedBy: readonly string[];
  readonly coveredBy: readonly string[];
}

interface MutatedFile {
  readonly language: string;
  readonly source: string;
  readonly mutants: readonly Mutant[];
}

/**
 * The table fault against claim as a document of the open mutation testing report schema.
 * Source: mutation-testing-report-schema, version 2 of the format.
 */
export interface MutationReport {
  readonly schemaVersion: "2";
  readonly thresholds: { readonly high: number; readonly low: number };
  readonly framework: { readonly name: string; readonly version: string };
  readonly files: Readonly<Record<string, MutatedFile>>;
  readonly testFiles: Readonly<
    Record<string, { readonly tests: readonly { readonly id: string; readonly name: string }[] }>
  >;
}

/** What a report is made from. */
export interface ReportParts {
  readonly table: FaultTable;
  readonly claims: readonly Claim[];
  readonly sources: readonly { readonly file: string; readonly text: string }[];
  readonly firmwareFaults: readonly FirmwareFault[];
  /** What the generated faults of the table replace, and where. */
  readonly generated?: readonly GeneratedFault[];
  readonly version: string;
}

const STATUS = {
  caught: "Killed",
  survives: "Survived",
  accepted: "Ignored",
  refused: "CompileError",
  // The same module: nothing can tell the two apart.
  equivalent: "Ignored",
} as const;

/** Name of the file that stands for the hardware, one fault a line. */
const FRONT_END = "front end";

function positionAt(text: string, offset: number): Position {
  const before = text.slice(0, offset).split("\n");
  return { line: before.length, column: before.at(-1)!.length + 1 };
}

type Place = Pick<Mutant, "replacement" | "location" | "mutatorName">;

/** What a fault of either kind says of itself here. */
type Outcome = Pick<FaultOutcome, "id" | "says" | "accepted" | "refused" | "noticedBy"> & {
  readonly outcome: keyof typeof STATUS;
  readonly host?: string;
};

function mutantOf(fault: Outcome, claims: readonly Claim[], place: Place): Mutant {
  const same = fault.outcome === "equivalent" ? "The module is the same." : undefined;
  const failure = fault.noticedBy[0]?.failure.because;
  const because = fault.accepted ?? fault.refused ?? same ?? fault.host ?? failure;
  return {
    ...place,
    id: fault.id,
    description: fault.says,
    status: STATUS[fault.outcome],
    ...(because === undefined ? {} : { statusReason: because }),
    killedBy: fault.noticedBy.map(({ claim }) => claim),
    coveredBy: claims.map(({ id }) => id),
  };
}

/** The generated faults in one source. */
function generatedMutants(
  { table, generated = [] }: ReportParts,
  claims: readonly Claim[],
  { name, text }: { readonly name: string; readonly text: string },
): Mutant[] {
  return generated.flatMap((fault): Mutant[] => {
    const outcome = table.generated?.faults.find(({ id }) => id === fault.id);
    if (outcome === undefined || fault.file !== name) return [];
    const location = {
      start: positionAt(text, fault.offset),
      end: positionAt(text, fault.offset + fault.was.length),
    };
    const place = { replacement: fault.becomes, location, mutatorName: fault.operator };
    return [mutantOf(outcome, claims, place)];
  });
}

function sourceFiles(parts: ReportParts, claims: readonly Claim[]): Record<string, MutatedFile> {
  const files: Record<string, MutatedFile> = {};
  for (const { file, text } of parts.sources) {
    const mutants = parts.firmwareFaults.flatMap((fault): Mutant[] => {
      const outcome = parts.table.faults.find(({ id }) => id === fault.id);
      // A fault of several edits stands where its first one is.
      const [first] = placesOf(parts.sources, fault);
      if (outcome === undefined || first?.file !== file) return [];
      const { offset, find, replace } = first;
      const location = {
        start: positionAt(text, offset),
        end: positionAt(text, offset + find.length),
      };
      return [mutantOf(outcome, claims, { replacement: replace, location, mutatorName: "seeded" })];
    });
    const name = file.split("/").at(-1)!;
    mutants.push(...generatedMutants(parts, claims, { name, text }));
    if (mutants.length > 0) files[name] = { language: "c", source: text, mutants };
  }
  return files;
}

function frontEndFile({ table }: ReportParts, claims: readonly Claim[]): MutatedFile | undefined {
  const faults = table.faults.filter(({ where }) => where === "front end");
  if (faults.length === 0) return undefined;
  const mutants = faults.map((fault, index) => {
    const line = index + 1;
    const location = {
      start: { line, column: 1 },
      end: { line, column: fault.says.length + 1 },
    };
    return mutantOf(fault, claims, { replacement: fault.says, location, mutatorName: "hardware" });
  });
  const source = faults.map(({ says }) => says).join("\n");
  return { language: "text", source: `${source}\n`, mutants };
}

/** The table as a document that viewers of mutation reports read. */
export function mutationReport(parts: ReportParts): MutationReport {
  const claims = parts.claims.filter(({ canary }) => canary !== true);
  const hardware = frontEndFile(parts, claims);
  return {
    schemaVersion: "2",
    thresholds: { high: 100, low: 100 },
    framework: { name: "plumbvolt", version: parts.version },
    files: {
      ...sourceFiles(parts, claims),
      ...(hardware === undefined ? {} : { [FRONT_END]: hardware }),
    },
    testFiles: { claims: { tests: claims.map(({ id, says }) => ({ id, name: says })) } },
  };
}
