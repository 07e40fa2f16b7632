import { checkCertificate } from "../guarantee/check-certificate.ts";
import { interval, multiply, point, squareRoot } from "../interval/interval.ts";
import { provenBudgetOf } from "../report/budget.ts";
import type { ProvenBudget } from "../report/budget.ts";
import type { CheckpointDocument } from "../report/checkpoint-document.ts";
import { checkpointsOf } from "../report/checkpoint-document.ts";
import type { DecisionDocument } from "../report/decision-document.ts";
import { decisionOf } from "../report/decision.ts";
import type { CertificateOutcome } from "../report/record-results.ts";
import type { PartOutcome } from "../report/record.ts";
import { campaignOutcome } from "./evidence-campaign.ts";
import type { KeptCampaign } from "./evidence-campaign.ts";
import { faultsOutcome } from "./evidence-faults.ts";
import type { FaultEvidence } from "./evidence-faults.ts";
import type { EvidenceInputs } from "./evidence-inputs.ts";

/** All that was computed for a record. */
export interface Findings {
  readonly proven: ProvenBudget;
  readonly outcome: CertificateOutcome;
  /** In the order of the limit lines asked for. */
  readonly decisions: readonly DecisionDocument[];
  readonly checkpoints: CheckpointDocument;
  /** Parts beside the budget. */
  readonly others: readonly PartOutcome[];
  /** The claims on the firmware, where one was given. */
  readonly campaign?: KeptCampaign;
  /** Faults put in on purpose against the claims. */
  readonly faults?: FaultEvidence;
  /** Files of the failures of claims, by path. */
  readonly failures: ReadonlyMap<string, Buffer>;
}

/** A campaign, and where in the folder its firmware lies. */
export interface CampaignPart {
  readonly campaign: KeptCampaign;
  readonly faults: FaultEvidence;
  readonly firmware: string;
}

/** The budget with its probabilistic figures. */
export function evidenceBudget(inputs: EvidenceInputs, version: string): ProvenBudget {
  const { design, sha256, trials, seed } = inputs;
  const words = "any unit made to the drawing";
  return provenBudgetOf(design, { sha256, version, uncertainty: { trials, seed, words } });
}

/** One limit line decided, for every mains voltage that is declared. */
export function evidenceDecision(
  { design, sha256 }: EvidenceInputs,
  limit: string,
  version: string,
): DecisionDocument {
  const rms = design.conditions.mains.voltages.map((voltage) => voltage.toNumber());
  const mains = interval(Math.min(...rms), Math.max(...rms));
  const initial = multiply(mains, squareRoot(point(2)));
  return decisionOf(design, { limit, sha256, version, initial });
}

/** The plan of check points. */
export function evidenceCheckpoints(inputs: EvidenceInputs, version: string): CheckpointDocument {
  return checkpointsOf(inputs.design, { sha256: inputs.sha256, version });
}

function missing(part: string, words: string): PartOutcome {
  const told = { shown: [], notShown: [] };
  return { part: { part, state: "missing", words }, results: [], told };
}

/** The claims, and parts that were not run, each said to be missing. */
export function partsOf(played: CampaignPart | undefined): readonly PartOutcome[] {
  if (played !== undefined)
    return [
      campaignOutcome(played.campaign, played.firmware),
      faultsOutcome(played.faults, played.firmware),
    ];
  return [
    missing(
      "firmware claims",
      "No firmware was given, so that nothing is shown about triggering, timing or conversion.",
    ),
    missing("seeded faults", "Without claims no seeded fault is tried."),
    missing(
      "statistical statement",
      "No scenarios were drawn without bias, so that no share of failing scenarios can be bounded.",
    ),
  ];
}

/** Runs every part; no clock is read. */
export function findingsOf(
  inputs: EvidenceInputs,
  surroundings: { readonly version: string; readonly progress: (text: string) => void },
  played?: CampaignPart & Pick<Findings, "failures">,
): Findings {
  const { version, progress } = surroundings;
  progress("error budget");
  const proven = evidenceBudget(inputs, version);
  const outcome = checkCertificate(proven.certificate, (done, of) =>
    progress(`checking band ${done} of ${of}`),
  );
  const decisions = inputs.limits.map((limit, place) => {
    progress(`limit line ${place + 1} of ${inputs.limits.length}`);
    return evidenceDecision(inputs, limit, version);
  });
  progress("check points");
  const checkpoints = evidenceCheckpoints(inputs, version);
  const failures = played?.failures ?? new Map<string, Buffer>();
  const found = { proven, outcome, decisions, checkpoints, others: partsOf(played), failures };
  if (played === undefined) return found;
  return { ...found, campaign: played.campaign, faults: played.faults };
}
