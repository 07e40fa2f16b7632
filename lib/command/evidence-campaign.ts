import { mkdtemp, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { basename, join } from "node:path";
import type { CampaignRecord } from "../../properties/campaign/campaign-record.ts";
import { strengthText } from "../../properties/campaign/strength.ts";
import type { ClaimResult } from "../../properties/campaign/verdict.ts";
import type { RecordResult } from "../report/record-document.ts";
import type { PartOutcome } from "../report/record.ts";
import { writeFailures } from "./campaign-failures.ts";
import { faultsForEvidence, keptFaults, reportFrom } from "./evidence-faults.ts";
import type { FaultEvidence } from "./evidence-faults.ts";
import { keepFirmware } from "./evidence-firmware.ts";
import type { KeptFirmware } from "./evidence-firmware.ts";
import { faultTableDocument } from "./fault-table-document.ts";
import { MOST_FAULT_RUNS, USUAL_FAULT_RUNS } from "./faults-options.ts";
import { faultsOfCampaign } from "./faults-run.ts";
import { loadCampaign } from "./load-campaign.ts";
import type { LoadedCampaign } from "./load-campaign.ts";
import type { Terminal } from "./terminal.ts";
import { readVerifyOptions } from "./verify-options.ts";
import { campaignOf } from "./verify-run.ts";

/** A campaign as the folder keeps it: what it is known by has no place on any machine. */
export type KeptCampaign = Omit<CampaignRecord, "design" | "firmware"> & {
  readonly design: { readonly sha256: string };
  readonly firmware: Pick<CampaignRecord["firmware"], "identity">;
};

/** A campaign with what a folder of evidence keeps of it. */
export interface CampaignEvidence {
  readonly campaign: KeptCampaign;
  readonly firmware: KeptFirmware;
  /** Pictures, samples and waveforms of every failure, by path inside the folder. */
  readonly failures: ReadonlyMap<string, Buffer>;
  /** Faults put in on purpose against the same claims. */
  readonly faults: FaultEvidence;
}

async function failureFiles(record: CampaignRecord, loaded: LoadedCampaign) {
  const folder = await mkdtemp(join(tmpdir(), "plumbvolt-failures-"));
  try {
    const written = await writeFailures(folder, record, loaded);
    const files = new Map<string, Buffer>();
    for (const path of written) files.set(`failures/${basename(path)}`, await readFile(path));
    return files;
  } finally {
    await rm(folder, { recursive: true });
  }
}

/**
 * Runs the campaign of `plumbvolt verify` and keeps what it found. Throws InvalidInputError for
 * firmware that cannot be used.
 */
export async function runCampaign(
  path: string,
  flags: {
    readonly firmware: readonly string[];
    readonly runs?: string;
    readonly workers?: string;
  },
  terminal: Terminal,
): Promise<CampaignEvidence> {
  const { firmware } = flags;
  const options = readVerifyOptions(flags);
  const loaded = await loadCampaign({ design: path, firmware });
  const record = await campaignOf({ path, flags: { firmware }, options, terminal }, loaded);
  const campaign = {
    ...record,
    design: { sha256: record.design.sha256 },
    firmware: { identity: record.firmware.identity },
  };
  const seeded = await faultsForEvidence(firmware);
  const { seed, workers } = options;
  const runs = Math.min(USUAL_FAULT_RUNS, options.runs);
  const mostRuns = Math.max(runs, Math.min(MOST_FAULT_RUNS, options.runs));
  const request = { path, firmware, runs, mostRuns, seed, workers, terminal };
  const found = await faultsOfCampaign(request, loaded, seeded);
  const { version } = terminal;
  const table = faultTableDocument(found, { loaded, runs, mostRuns, seed, version });
  const kept = await keepFirmware(firmware, loaded.built);
  const copies = new Map([...kept.copies, ...keptFaults(seeded)]);
  return {
    campaign,
    firmware: { ...kept, copies },
    failures: await failureFiles(record, loaded),
    faults: { table, report: reportFrom(table, copies) },
  };
}

function classesText({ coverage }: ClaimResult): string {
  const { classes, pairs, pairsShort } = coverage;
  const met = classes.filter(({ hits, least }) => hits >= least).length;
  return `${met} of ${classes.length} met often enough; ${pairs - pairsShort} of ${pairs} pairs`;
}

function claimResult(claim: ClaimResult, seed: number, firmware: string): RecordResult {
  const { id, says, verdict, reasons, methods, worst, strength, failure } = claim;
  const done = methods.reduce((sum, method) => sum + method.done, 0);
  const least = worst === null ? "" : `least margin ${worst.margin.toFixed(4)}`;
  const found =
    failure === null
      ? [least, strengthText(strength) ?? "", ...reasons].filter((text) => text !== "").join("; ")
      : `fails: ${failure.smallest.because}`;
  return {
    id: `claim/${id}`,
    kind: "claim",
    says,
    verdict,
    found: found === "" ? "no run applied" : found,
    method:
      `Simulated scenarios (${methods.map(({ method }) => method).join(", ")}), the truth from the ` +
      "simulation.",
    ...(worst === null ? {} : { margin: { value: worst.margin, unit: "of what is allowed" } }),
    runs: done,
    seed: String(seed),
    classes: classesText(claim),
    reproduce: `plumbvolt verify inputs/design.json --firmware ${firmware} --claims ${id}`,
  };
}

function verdictSentence(claims: readonly ClaimResult[]): string {
  const named = (verdict: ClaimResult["verdict"]): string => {
    const ids = claims.filter((claim) => claim.verdict === verdict).map(({ id }) => id);
    return ids.length === 0 ? "none" : `${ids.length} (${ids.join(", ")})`;
  };
  const count = claims.filter(({ verdict }) => verdict === "holds").length;
  return (
    `Of ${claims.length} claims on the firmware in simulated scenarios, ${count} held in every run ` +
    `made; broken: ${named("doesNotHold")}; without a verdict: ${named("noVerdict")}.`
  );
}

/**
 * The claims of a campaign as results, with what may be said of them and what may not; `firmware`
 * is the file in the folder that runs it again.
 */
export function campaignOutcome(campaign: KeptCampaign, firmware: string): PartOutcome {
  const claims = campaign.results.filter(({ canary }) => !canary);
  const statements = claims.map(({ id, statement }) => `${id}: ${statement}`);
  const made = statements.filter((text) => !text.includes("no statistical statement"));
  return {
    part: {
      part: "firmware claims",
      state: "present",
      words: `campaign.json: ${claims.length} claims, ${campaign.evidence}`,
    },
    results: claims.map((claim) => claimResult(claim, campaign.seed, firmware)),
    told: {
      shown: [verdictSentence(claims), ...made],
      notShown: [
        `The firmware ran in a simulation on ${campaign.engine}: no drivers, no interrupts, no ` +
          "linker output and no timing of the target's processor; integers are those of the build.",
        ...(made.length === statements.length
          ? []
          : [
              `For ${statements.length - made.length} of ${statements.length} claims no share of ` +
                "failing scenarios is bounded: no unbiased draws that all counted were made.",
            ]),
      ],
    },
  };
}
