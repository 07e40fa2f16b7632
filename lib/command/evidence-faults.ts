import { readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import type { FaultOutcome } from "../../properties/faults/fault-table.ts";
import type { FirmwareFault } from "../../properties/faults/firmware-fault.ts";
import { readFirmwareFaults } from "../../properties/faults/firmware-fault.ts";
import { mutationReport } from "../../properties/faults/mutation-report.ts";
import type { MutationReport } from "../../properties/faults/mutation-report.ts";
import { ALL_CLAIMS } from "../../properties/claims/all-claims.ts";
import { InvalidInputError } from "../errors.ts";
import type { RecordResult } from "../report/record-document.ts";
import type { PartOutcome } from "../report/record.ts";
import { loadCompiler } from "../../sim/firmware/compiler.ts";
import type { FaultTableDocument } from "./fault-table-document.ts";
import { loadFaults } from "./load-faults.ts";
import type { SeededSources } from "./load-faults.ts";

/** Faults held against the claims as a folder of evidence keeps them. */
export interface FaultEvidence {
  readonly table: FaultTableDocument;
  readonly report: MutationReport;
}

const COPY = "inputs/firmware/faults.json";

/** Faults of a firmware; none where there is no compiler to build them with. */
export async function faultsForEvidence(
  firmware: readonly string[],
): Promise<SeededSources | undefined> {
  const seeded = loadFaults(firmware, undefined);
  if (seeded === undefined || seeded.faults.length === 0) return seeded;
  try {
    await loadCompiler();
    return seeded;
  } catch (error) {
    if (error instanceof InvalidInputError) return undefined;
    throw error;
  }
}

/** The document of faults beside the sources, to be kept with them. */
export function keptFaults(seeded: SeededSources | undefined): ReadonlyMap<string, Buffer> {
  if (seeded === undefined || seeded.faults.length === 0) return new Map();
  const folder = dirname(seeded.sources.sources[0]!.file);
  return new Map([[COPY, readFileSync(join(folder, "faults.json"))]]);
}

/** The table in the open schema, from the inputs that a folder keeps. */
export function reportFrom(
  table: FaultTableDocument,
  copies: ReadonlyMap<string, Buffer>,
): MutationReport {
  const document = copies.get(COPY)?.toString("utf8");
  const firmwareFaults: readonly FirmwareFault[] =
    document === undefined ? [] : readFirmwareFaults(JSON.parse(document));
  const sources = [...copies]
    .filter(([path]) => /^inputs\/firmware\/[^/]+\.[ch]$/.test(path))
    // Whoever makes the report again has the copies in another order.
    .toSorted(([one], [other]) => (one < other ? -1 : 1))
    .map(([file, bytes]) => ({ file, text: bytes.toString("utf8") }));
  const ids = table.claims.map(({ id }) => id);
  const claims = ALL_CLAIMS.filter(({ id }) => ids.includes(id));
  const { version } = table.producer;
  return mutationReport({ table, claims, sources, firmwareFaults, version });
}

const VERDICTS = {
  caught: "holds",
  accepted: "holds",
  survives: "doesNotHold",
  refused: "noVerdict",
} as const;

function foundText({ outcome, noticedBy, accepted, refused }: FaultOutcome): string {
  switch (outcome) {
    case "caught": {
      const [first, ...rest] = noticedBy;
      const also = rest.length === 0 ? "" : `; also ${rest.map(({ claim }) => claim).join(", ")}`;
      return `${first!.claim} after ${first!.after} runs: ${first!.failure.because}${also}`;
    }
    case "accepted":
      return `not noticed, and need not be: ${accepted}`;
    case "survives":
      return "no claim notices it";
    case "refused":
      return `cannot be built: ${refused}`;
  }
}

function faultResult(
  fault: FaultOutcome,
  { runs, seed }: FaultTableDocument,
  firmware: string,
): RecordResult {
  return {
    id: `fault/${fault.id}`,
    kind: "fault",
    says: `${fault.says} (${fault.where})`,
    verdict: VERDICTS[fault.outcome],
    found: foundText(fault),
    method:
      `Put into the ${fault.where} on purpose and held to every claim on the scenarios of an ` +
      "unchanged tester; it holds where a claim fails.",
    runs,
    seed: String(seed),
    reproduce: `plumbvolt faults inputs/design.json --firmware ${firmware} --only ${fault.id}`,
  };
}

/** Seeded faults as results, with what they show and what they do not. */
export function faultsOutcome({ table }: FaultEvidence, firmware: string): PartOutcome {
  const { faults, claims, verdict, reasons, baseline } = table;
  const caught = faults.filter(({ outcome }) => outcome === "caught").length;
  const alone = claims.filter((claim) => claim.alone.length > 0).length;
  const judged = claims.filter(({ followsFrom }) => followsFrom.length === 0).length;
  const inFirmware = faults.filter(({ where }) => where === "firmware").length;
  return {
    part: {
      part: "seeded faults",
      state: "present",
      words: `fault-table.json: ${caught} of ${faults.length} noticed`,
    },
    results: faults.map((fault) => faultResult(fault, table, firmware)),
    told: {
      shown: [
        `Of ${faults.length} faults put in on purpose, ${inFirmware} in the firmware and ` +
          `${faults.length - inFirmware} in the front end, the claims notice ${caught}; ` +
          `${alone} of ${judged} claims notice one that no other does.`,
      ],
      notShown: [
        ...(inFirmware > 0
          ? []
          : [
              "No fault was put into the firmware: none is declared for it, or no compiler is there.",
            ]),
        ...(baseline.length === 0
          ? []
          : ["A claim fails without a fault: what is noticed with one says nothing."]),
        ...(verdict === "holds" ? [] : reasons.map((reason) => `Seeded faults: ${reason}.`)),
      ],
    },
  };
}
