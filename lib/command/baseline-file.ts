import { existsSync, writeFileSync } from "node:fs";
import { basename, dirname, join } from "node:path";
import { InvalidInputError } from "../errors.ts";
import {
  baselineOf,
  comparedWithBaseline,
  readCampaignBaseline,
} from "../../properties/campaign/campaign-baseline.ts";
import type { CampaignBaseline } from "../../properties/campaign/campaign-baseline.ts";
import type { BaselineComparison } from "../../properties/campaign/baseline-comparison.ts";
import type { CampaignRecord } from "../../properties/campaign/campaign-record.ts";
import type { FaultTable } from "../../properties/faults/fault-table.ts";
import { comparedFaults, faultsBaselineOf } from "../../properties/faults/faults-baseline.ts";
import { printableText } from "../report/printable-text.ts";
import { wrappedText } from "../report/text-table.ts";
import { jsonDocument } from "./json-document.ts";
import type { Terminal } from "./terminal.ts";

/** Flags about the baseline as they stand on the line. */
export interface BaselineFlags {
  readonly baseline?: string;
  readonly updateBaseline?: boolean;
}

/** Where the baseline is, and what it says if it is there. */
export interface BaselineFile {
  readonly path: string;
  readonly content: CampaignBaseline | undefined;
}

/** A run beside its baseline: what is printed, and whether something became worse. */
export interface BaselineOutcome {
  readonly lines: readonly string[];
  readonly isWorse: boolean;
}

/** Name of the baseline that is looked for beside a design. */
const USUAL = "baseline.json";

const ONLY_EVIDENCE = "only evidence may renew it";

function isContinuousIntegration(): boolean {
  return !["", "0", "false"].includes(process.env["CI"] ?? "");
}

/**
 * The baseline of a design: the file named, else `baseline.json` beside the design; undefined where
 * there is none and none is to be made. Throws InvalidInputError for one that cannot be read, and
 * where it would be made anew in continuous integration: a run must not set its own measure.
 */
export function baselineFor(design: string, flags: BaselineFlags): BaselineFile | undefined {
  const isRenewed = flags.updateBaseline === true;
  if (isRenewed && isContinuousIntegration()) {
    const permitted = "left out in continuous integration (variable CI)";
    throw new InvalidInputError("options", [
      { path: "--update-baseline", quantity: "renewal of the baseline", permitted, received: "it" },
    ]);
  }
  const path = flags.baseline ?? join(dirname(design), USUAL);
  if (isRenewed && !existsSync(path)) return { path, content: undefined };
  if (flags.baseline === undefined && !existsSync(path)) return undefined;
  return { path, content: readCampaignBaseline(jsonDocument(path, "baseline")) };
}

/** What a run says to its baseline. */
interface Beside {
  /** What it becomes, or why it is kept. */
  readonly renewed: CampaignBaseline | string;
  readonly isRenewed: boolean;
  readonly compared: (content: CampaignBaseline) => BaselineComparison;
}

function beside({ path, content }: BaselineFile, work: Beside): BaselineOutcome {
  if (work.isRenewed) {
    if (typeof work.renewed === "string")
      return { lines: [`baseline: kept, for ${work.renewed}`], isWorse: false };
    writeFileSync(path, `${JSON.stringify(work.renewed, null, 2)}\n`);
    return { lines: [`written: ${path}`], isWorse: false };
  }
  const { incomparable, worse, better } = work.compared(content!);
  if (incomparable !== undefined)
    return { lines: [`baseline: not compared with ${path}: ${incomparable}`], isWorse: false };
  const head = worse.length === 0 ? "nothing is worse than in" : "worse than in";
  const lines = [
    `baseline: ${head} ${path}`,
    ...worse.map((text) => `  worse: ${text}`),
    ...better.map((text) => `  better: ${text}`),
  ];
  return { lines, isWorse: worse.length > 0 };
}

/** Compares a finished campaign with its baseline, or makes it the new one where that is asked. */
export function besideBaseline(
  file: BaselineFile,
  record: CampaignRecord,
  { isRenewed, all }: { readonly isRenewed: boolean; readonly all: boolean },
): BaselineOutcome {
  const kept = file.content?.faults;
  const next = { ...baselineOf(record), ...(kept === undefined ? {} : { faults: kept }) };
  return beside(file, {
    isRenewed,
    renewed: record.exitCode === 0 ? next : ONLY_EVIDENCE,
    compared: (content) => comparedWithBaseline(content, record, { all }),
  });
}

/** The same for a run over seeded faults; a campaign has to have made the baseline before. */
export function faultsBesideBaseline(
  file: BaselineFile,
  table: FaultTable,
  run: {
    readonly firmware: readonly string[];
    readonly runs: number;
    readonly seed: number;
    readonly isRenewed: boolean;
    readonly all: boolean;
  },
): BaselineOutcome {
  const { isRenewed, all, runs, seed } = run;
  const firmware = run.firmware.map((path) => basename(path));
  const now = faultsBaselineOf(table, { firmware, runs, seed });
  const { content } = file;
  const made =
    content === undefined ? "a campaign has to make it first" : { ...content, faults: now };
  return beside(file, {
    isRenewed,
    renewed: table.verdict === "holds" ? made : ONLY_EVIDENCE,
    compared: ({ faults }) =>
      faults === undefined
        ? { incomparable: "it has no faults", worse: [], better: [] }
        : comparedFaults(faults, now, { all }),
  });
}

/** Prints what a run says to its baseline; aside where the output is a document. */
export function tellBaseline(
  { lines }: BaselineOutcome,
  { width, print, printError }: Pick<Terminal, "width" | "print" | "printError">,
  isDocument: boolean,
): void {
  for (const line of lines) {
    const text = wrappedText(printableText(line), { width, indent: 4 }).join("\n");
    (isDocument ? printError : print)(text);
  }
}
