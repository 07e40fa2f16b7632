import { existsSync, writeFileSync } from "node:fs";
import { basename, dirname, join } from "node:path";
import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";
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

/** Flags that make a run a part of the whole: a part is no measure for what comes later. */
const PARTS = ["claims", "only", "shard"] as const;

/** Flags about the baseline as they stand on the line, with those that make a run a part. */
export interface BaselineFlags extends Readonly<Partial<Record<(typeof PARTS)[number], string>>> {
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

/** What speaks against renewing a baseline, and against comparing a shard with one. */
function misuses(flags: BaselineFlags): Fault[] {
  const parts = PARTS.filter((name) => flags[name] !== undefined).map((name) => `--${name}`);
  const renewal = {
    path: "--update-baseline",
    quantity: "renewal of the baseline",
    received: "it",
  };
  const faults: Fault[] = [];
  if (flags.updateBaseline === true && isContinuousIntegration())
    faults.push({ ...renewal, permitted: "left out in continuous integration (variable CI)" });
  if (flags.updateBaseline === true && parts.length > 0) {
    const hint = "only a whole run may become the baseline";
    faults.push({ ...renewal, permitted: `left out with ${parts.join(", ")}`, hint });
  }
  if (flags.baseline !== undefined && flags.shard !== undefined) {
    const hint = "name it to merge, which joins the shards";
    const [permitted, received] = ["left out with --shard", flags.baseline];
    faults.push({ path: "--baseline", quantity: "baseline", permitted, received, hint });
  }
  return faults;
}

/**
 * The baseline of a design: the file named, else `baseline.json` beside the design; undefined where
 * there is none and none is to be made, and for a shard. Throws InvalidInputError for one that
 * cannot be read, where a part of a run would become the baseline, and where it would be made anew
 * in continuous integration: a run must not set its own measure.
 */
export function baselineFor(design: string, flags: BaselineFlags): BaselineFile | undefined {
  const isRenewed = flags.updateBaseline === true;
  const faults = misuses(flags);
  if (faults.length > 0) throw new InvalidInputError("options", faults);
  if (flags.shard !== undefined) return undefined;
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

/** Exit codes: nothing can be compared; something is worse than it was. */
const NO_VERDICT = 3;
const WORSE = 1;

/** The exit code of a finished campaign beside its baseline, after what is to be said of it. */
export function codeBesideBaseline(
  baseline: BaselineFile | undefined,
  record: CampaignRecord,
  work: Pick<Terminal, "width" | "print" | "printError"> & {
    readonly flags: BaselineFlags & { readonly json?: boolean };
  },
): number {
  const { flags } = work;
  const isRenewed = flags.updateBaseline === true;
  const isOpen = record.exitCode === NO_VERDICT && !isRenewed;
  if (baseline === undefined || isOpen) return record.exitCode;
  const outcome = besideBaseline(baseline, record, { isRenewed, all: flags.claims === undefined });
  tellBaseline(outcome, work, flags.json === true);
  return outcome.isWorse ? WORSE : record.exitCode;
}
