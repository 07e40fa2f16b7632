import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { InvalidInputError } from "../errors.ts";
import {
  baselineOf,
  comparedWithBaseline,
  readCampaignBaseline,
} from "../../properties/campaign/campaign-baseline.ts";
import type { CampaignBaseline } from "../../properties/campaign/campaign-baseline.ts";
import type { CampaignRecord } from "../../properties/campaign/campaign-record.ts";

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

/** A campaign beside its baseline: what is printed, and whether something became worse. */
export interface BaselineOutcome {
  readonly lines: readonly string[];
  readonly isWorse: boolean;
}

/** Name of the baseline that is looked for beside a design. */
const USUAL = "baseline.json";

function documentAt(path: string): unknown {
  try {
    return JSON.parse(readFileSync(path, "utf8"));
  } catch (error) {
    const permitted = "a readable JSON document";
    const received = (error as Error).message;
    throw new InvalidInputError("baseline", [{ path, quantity: "baseline", permitted, received }]);
  }
}

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
  return { path, content: readCampaignBaseline(documentAt(path)) };
}

/** Compares a finished campaign with its baseline, or makes it the new one where that is asked. */
export function besideBaseline(
  { path, content }: BaselineFile,
  record: CampaignRecord,
  { isRenewed, all }: { readonly isRenewed: boolean; readonly all: boolean },
): BaselineOutcome {
  if (isRenewed) {
    if (record.exitCode !== 0)
      return { lines: ["baseline: kept, for only evidence may renew it"], isWorse: false };
    writeFileSync(path, `${JSON.stringify(baselineOf(record), null, 2)}\n`);
    return { lines: [`written: ${path}`], isWorse: false };
  }
  const { incomparable, worse, better } = comparedWithBaseline(content!, record, { all });
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
