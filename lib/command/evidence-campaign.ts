import { Command } from "commander";
import type { CampaignRecord } from "../../properties/campaign/campaign-record.ts";
import type { ClaimResult } from "../../properties/campaign/verdict.ts";
import type { RecordResult } from "../report/record-document.ts";
import type { PartOutcome } from "../report/record.ts";
import type { Terminal } from "./terminal.ts";
import { addVerifyCommand } from "./verify-command.ts";

/** A campaign as the folder keeps it: with the places inside the folder. */
export type KeptCampaign = Omit<CampaignRecord, "design" | "firmware"> & {
  readonly design: { readonly sha256: string };
  readonly firmware: Pick<CampaignRecord["firmware"], "identity">;
};

/**
 * Runs `plumbvolt verify` and takes its record. Throws InvalidInputError for firmware that cannot be
 * used.
 */
export async function runCampaign(
  design: string,
  flags: { readonly firmware: readonly string[]; readonly runs?: string },
  terminal: Terminal,
): Promise<KeptCampaign> {
  let printed = "";
  const quiet: Terminal = {
    ...terminal,
    print: (text) => {
      printed += text;
    },
  };
  const program = new Command("plumbvolt").exitOverride();
  addVerifyCommand(program, quiet, () => undefined);
  const runs = flags.runs === undefined ? [] : ["--runs", flags.runs];
  const line = ["verify", design, ...runs, "--json", "--firmware", ...flags.firmware];
  await program.parseAsync(["node", "plumbvolt", ...line]);
  const record = JSON.parse(printed) as CampaignRecord;
  return {
    ...record,
    design: { sha256: record.design.sha256 },
    firmware: { identity: record.firmware.identity },
  };
}

function classesText({ coverage }: ClaimResult): string {
  const { classes, pairs, pairsShort } = coverage;
  const met = classes.filter(({ hits, least }) => hits >= least).length;
  return `${met} of ${classes.length} met often enough; ${pairs - pairsShort} of ${pairs} pairs`;
}

function claimResult(claim: ClaimResult, { seed }: KeptCampaign): RecordResult {
  const { id, says, verdict, reasons, methods, worst, failure } = claim;
  const done = methods.reduce((sum, method) => sum + method.done, 0);
  const least = worst === null ? "" : `least margin ${worst.margin.toFixed(4)}`;
  const found =
    failure === null
      ? [least, ...reasons].filter((text) => text !== "").join("; ")
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
    reproduce: `plumbvolt verify inputs/design.json --firmware inputs/firmware --claims ${id}`,
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

/** The claims of a campaign as results, with what may be said of them and what may not. */
export function campaignOutcome(campaign: KeptCampaign): PartOutcome {
  const claims = campaign.results.filter(({ canary }) => !canary);
  const statements = claims.map(({ id, statement }) => `${id}: ${statement}`);
  const made = statements.filter((text) => !text.includes("no statistical statement"));
  return {
    part: {
      part: "firmware claims",
      state: "present",
      words: `campaign.json: ${claims.length} claims, ${campaign.evidence}`,
    },
    results: claims.map((claim) => claimResult(claim, campaign)),
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
