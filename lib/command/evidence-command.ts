import { mkdir, writeFile } from "node:fs/promises";
import { dirname, join } from "node:path";
import type { Command } from "commander";
import type { EvidenceRecord } from "../report/record-document.ts";
import { RECORD_VERDICT_WORDS } from "../report/page-verdict.ts";
import { printableText } from "../report/printable-text.ts";
import { DEFAULT_TRIALS } from "../uncertainty/uncertainty-along.ts";
import { readEvidenceInputs } from "./evidence-inputs.ts";
import type { EvidenceFlags, EvidenceInputs } from "./evidence-inputs.ts";
import type { KeptFirmware } from "./evidence-firmware.ts";
import { runCampaign } from "./evidence-campaign.ts";
import { findingsOf } from "./evidence-findings.ts";
import { evidenceFrom } from "./evidence-run.ts";
import type { Evidence } from "./evidence-run.ts";
import type { Terminal } from "./terminal.ts";

const EXIT_FAILED = 1;
const EXIT_NO_VERDICT = 3;

async function writeFolder(folder: string, { files }: Evidence): Promise<void> {
  for (const [path, content] of files) {
    const place = join(folder, path);
    await mkdir(dirname(place), { recursive: true });
    await writeFile(place, content);
  }
}

/** 0: every requirement and claim holds, every fault is noticed; 1: not so or not proven; 3: open. */
function exitCodeOf({ requirements, results }: EvidenceRecord): number {
  const claims = results.filter(({ kind }) => kind === "claim" || kind === "fault");
  const verdicts = new Set([...requirements, ...claims].map(({ verdict }) => verdict));
  if (verdicts.has("doesNotHold") || verdicts.has("notProven")) return EXIT_FAILED;
  return verdicts.has("noVerdict") || verdicts.has("notCovered") ? EXIT_NO_VERDICT : 0;
}

function printRecord(record: EvidenceRecord, folder: string, terminal: Terminal): void {
  const { statement, requirements, parts, cautions, digest } = record;
  terminal.print(`${statement.text} for ${statement.from} V to ${statement.to} V`);
  for (const { id, text, verdict } of requirements)
    terminal.print(`${RECORD_VERDICT_WORDS[verdict].padEnd(14)}${printableText(`${id}: ${text}`)}`);
  for (const { part, state, words } of parts)
    if (state === "missing") terminal.print(`missing: ${part}. ${words}`);
  for (const caution of cautions) terminal.print(caution);
  terminal.print(`content SHA-256 ${digest.content}`);
  for (const name of ["record.json", "page.html", "verdicts.xml"])
    terminal.print(`written: ${join(folder, name)}`);
}

function withFirmware(inputs: EvidenceInputs, firmware: KeptFirmware): EvidenceInputs {
  const copies = new Map([...inputs.copies, ...firmware.copies]);
  return { ...inputs, copies, firmware: firmware.described };
}

const HELP = `
Requirements are a list in JSON: {"requirements": [{"id": "S-1", "text": "...", "source": "...",
"coveredBy": ["accuracy/R-34", "decision/iec-60335-1-22.5/plug"]}]}.
Exit code: 0 when every requirement holds, 1 when one does not hold or is not proven, 2 for bad
input, 3 when one has no verdict or nothing covers it.`;

/** Adds `evidence` to the program; the exit code goes to `finish`. */
export function addEvidenceCommand(
  program: Command,
  terminal: Terminal,
  finish: (code: number) => void,
): void {
  program
    .command("evidence")
    .description("one folder with record, page, verdicts, proofs and copies of the inputs")
    .argument("<design>", "design document, .json or .ts")
    .option("--out <folder>", "folder to write", "evidence")
    .option("--firmware <files...>", "firmware under test: C files, a manifest, or one .ts file")
    .option("--runs <number>", "edge-biased runs of each claim")
    .option("--workers <number>", "workers for the claims; as many as the machine runs at once")
    .option("--requirements <file>", "requirements with source and covering results, .json")
    .option("--limits <lines>", 'published limit lines, separated by commas, or "none"')
    .option("--date <date>", "the stated date, YYYY-MM-DD; default: today")
    .option("--trials <count>", "trials of the coverage intervals", String(DEFAULT_TRIALS))
    .option("--seed <number>", "seed of the trials", "1")
    .addHelpText("after", HELP)
    .action(async (path: string, flags: EvidenceFlags) => {
      const read = await readEvidenceInputs(path, flags);
      const { firmware, runs, workers } = flags;
      const played =
        firmware === undefined
          ? undefined
          : await runCampaign(
              path,
              {
                firmware,
                ...(runs === undefined ? {} : { runs }),
                ...(workers === undefined ? {} : { workers }),
              },
              terminal,
            );
      const inputs = played === undefined ? read : withFirmware(read, played.firmware);
      const findings = findingsOf(
        inputs,
        terminal,
        played && { ...played, firmware: played.firmware.described.path },
      );
      const engine = { name: "Node", version: process.versions.node };
      const evidence = await evidenceFrom(inputs, findings, { version: terminal.version, engine });
      terminal.progress("");
      await writeFolder(flags.out, evidence);
      printRecord(evidence.record, flags.out, terminal);
      finish(exitCodeOf(evidence.record));
    });
}
