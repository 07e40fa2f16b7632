import { readFileSync } from "node:fs";
import type { Command } from "commander";
import { InvalidInputError } from "../errors.ts";
import { printableText } from "../report/printable-text.ts";
import { wrappedText } from "../report/text-table.ts";
import type { CampaignRecord } from "../../properties/campaign/campaign-record.ts";
import { readCampaignRecord } from "../../properties/campaign/campaign-schema.ts";
import { writeCounterexample } from "../../properties/campaign/counterexample-files.ts";
import { judgementOf } from "../../properties/claims/judgement-of.ts";
import { wordsOf } from "../../properties/arbitraries/parameter.ts";
import { playedFor } from "./campaign-failures.ts";
import { loadCampaign } from "./load-campaign.ts";
import type { LoadedCampaign } from "./load-campaign.ts";
import { knownFailures } from "./read-corpus.ts";
import type { Terminal } from "./terminal.ts";

type Failure = CampaignRecord["failures"][number];

function refuse(path: string, permitted: string, received: string): never {
  throw new InvalidInputError("record", [{ path, quantity: "record", permitted, received }]);
}

function readRecord(path: string): CampaignRecord {
  let record: unknown;
  try {
    record = JSON.parse(readFileSync(path, "utf8"));
  } catch (error) {
    return refuse(path, "a readable .json file", (error as Error).message);
  }
  return readCampaignRecord(record);
}

function failuresOf(path: string, record: CampaignRecord, claim: string | undefined) {
  if (record.failures.length === 0) refuse(path, "one with a failure", "none");
  if (claim === undefined) return record.failures;
  const found = record.failures.filter((failure) => failure.claim === claim);
  const known = record.failures.map((failure) => failure.claim).join(", ");
  if (found.length === 0) refuse("claim", `one of ${known}`, JSON.stringify(claim));
  return found;
}

/** Whether design and firmware are those of the record, in words where they are not. */
function changesSince(record: CampaignRecord, loaded: LoadedCampaign): string[] {
  const changes: string[] = [];
  if (record.design.sha256 !== loaded.designSha256) changes.push("the design has changed since");
  if (record.firmware.identity.hash !== loaded.source.identity.hash)
    changes.push("the firmware has changed since");
  return changes;
}

interface Replayed {
  readonly code: 0 | 1 | 3;
  readonly lines: readonly string[];
  readonly files: readonly string[];
}

async function replayed(
  loaded: LoadedCampaign,
  failure: Failure,
  options: { readonly isSame: boolean; readonly out: string | undefined },
): Promise<Replayed> {
  const claim = loaded.claims.find(({ id }) => id === failure.claim);
  if (claim === undefined)
    refuse("failures", "of claims that the record lists", JSON.stringify(failure.claim));
  const { draw } = failure;
  const { space, episode } = playedFor(loaded, { claim, draw });
  const judgement = judgementOf(claim, episode);
  const words = wordsOf(space.parameters, draw);
  const isBroken = judgement.kind === "judged" && judgement.margin < 0;
  const isAgain = judgement.because === failure.because;
  const head = isBroken ? "does not hold" : "holds in this scenario";
  const lines = [
    `${claim.id} ${head}: ${claim.says}`,
    `  ${judgement.because}`,
    `  scenario: ${words.join("; ")}`,
    ...(isAgain ? ["  the same as in the record"] : [`  the record has: ${failure.because}`]),
  ];
  const at = judgement.kind === "judged" ? judgement.at : undefined;
  const found = { claim: claim.id, because: judgement.because, words, at };
  const files =
    options.out === undefined ? [] : await writeCounterexample(options.out, episode, found);
  const code = options.isSame && !isAgain ? 3 : isBroken ? 1 : 0;
  return { code, lines, files };
}

/** Adds `replay` to the program. */
export function addReplayCommand(
  program: Command,
  terminal: Terminal,
  setCode: (code: number) => void,
): void {
  program
    .command("replay")
    .description("play the failing scenarios of a campaign's record again")
    .argument("<record>", "record of a campaign, .json")
    .argument("[claim]", "the one claim whose failure is played; all where left out")
    .option("--out <folder>", "write pictures, samples (CSV) and waveforms (VCD) into a folder")
    .action(async (path: string, claim: string | undefined, flags: { readonly out?: string }) => {
      const record = readRecord(path);
      const failures = failuresOf(path, record, claim);
      const { design, firmware, claims, promises } = record;
      const place = { design: design.path, firmware: firmware.paths, claims, promises };
      const loaded = await loadCampaign(place);
      const changes = changesSince(record, loaded);
      for (const change of changes) terminal.print(change);
      const codes: number[] = [];
      for (const failure of knownFailures(failures, loaded, `record ${path}`)) {
        const options = { isSame: changes.length === 0, out: flags.out };
        const { code, lines, files } = await replayed(loaded, failure, options);
        codes.push(code);
        const { width } = terminal;
        for (const line of lines)
          terminal.print(wrappedText(printableText(line), { width, indent: 4 }).join("\n"));
        for (const file of files) terminal.print(`written: ${file}`);
      }
      setCode(codes.includes(3) ? 3 : Math.max(...codes));
    });
}
