import { readFileSync } from "node:fs";
import { basename, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { InvalidInputError } from "../errors.ts";
import { sha256 } from "../../sim/firmware/compile.ts";
import type { BuiltFirmware } from "../../sim/firmware/compile.ts";
import { compileCached } from "../../sim/firmware/firmware-cache.ts";
import { readDeclaredPromises } from "../../sim/firmware/declared-promises.ts";
import { loadFirmware, readSources } from "../../sim/firmware/firmware-files.ts";
import { guardedFirmware } from "../../sim/firmware/guarded-firmware.ts";
import { firmwareSource } from "../../sim/firmware/firmware-source.ts";
import type { FirmwareSource } from "../../sim/firmware/port.ts";
import { ALL_CLAIMS } from "../../properties/claims/all-claims.ts";
import type { Claim } from "../../properties/claims/claim.ts";
import type { Subject } from "../../properties/claims/episode.ts";
import { usualPromises } from "../../properties/claims/promises.ts";
import type { Promises } from "../../properties/claims/promises.ts";
import { voltageBoundsOf } from "../../properties/claims/voltage-bounds.ts";
import type { VoltageBounds } from "../../properties/claims/voltage-bounds.ts";
import { loadDesign } from "./load-design.ts";

/** Where a campaign takes its parts from: plain data, so that a worker can load the same. */
export interface CampaignPlace {
  readonly design: string;
  /** C files, one manifest, or one TypeScript file. */
  readonly firmware: readonly string[];
  /** Identifiers of claims; all where absent. The canary is always among them. */
  readonly claims?: readonly string[];
  /** Proven limits that were worked out before. */
  readonly bounds?: VoltageBounds;
  /** What the firmware promises; it takes the place of what the firmware itself declares. */
  readonly promises?: Partial<Promises>;
  /** C firmware that was built or read before: its bytes and its manifest. */
  readonly built?: BuiltFirmware;
}

/** Everything that claims are made about, ready to be run. */
export interface LoadedCampaign {
  readonly subject: Subject;
  readonly source: FirmwareSource;
  /** C firmware as it was built, for workers; absent for TypeScript. */
  readonly built?: BuiltFirmware;
  readonly claims: readonly Claim[];
  /** Names of the promises that somebody declared; the rest are the usual ones. */
  readonly declared: readonly string[];
  readonly designSha256: string;
}

interface LoadedFirmware {
  readonly source: FirmwareSource;
  readonly built?: BuiltFirmware;
  /** What the firmware itself declares. */
  readonly promises: Partial<Promises>;
}

function fromBuilt(built: BuiltFirmware): LoadedFirmware {
  const promises = readDeclaredPromises(built.manifest.promises ?? {});
  return { source: firmwareSource(built), built, promises };
}

function notUsable(path: string, permitted: string, received: string): InvalidInputError {
  return new InvalidInputError("firmware", [{ path, quantity: "firmware", permitted, received }]);
}

async function fromTypeScript(path: string): Promise<LoadedFirmware> {
  let text: Uint8Array;
  try {
    text = readFileSync(path);
  } catch (error) {
    throw notUsable(path, "a readable file", (error as Error).message);
  }
  const { tsImport } = await import("tsx/esm/api");
  const loaded = (await tsImport(pathToFileURL(resolve(path)).href, import.meta.url)) as {
    readonly default?: FirmwareSource;
    readonly firmware?: FirmwareSource;
    readonly promises?: Partial<Promises>;
  };
  const found = loaded.firmware ?? loaded.default;
  if (typeof found?.open !== "function")
    throw notUsable(path, 'a module that exports "firmware" with a function open', "none");
  const identity = { ...found.identity, language: "typescript" as const, hash: sha256(text) };
  const source = { identity, open: () => guardedFirmware(found.open()) };
  return { source, promises: loaded.promises ?? {} };
}

async function loadSource({ firmware: paths, built }: CampaignPlace): Promise<LoadedFirmware> {
  if (built !== undefined) return fromBuilt(built);
  const [first = ""] = paths;
  const ends = (ending: string): boolean => paths.every((path) => path.endsWith(ending));
  if (ends(".ts") && paths.length === 1) return fromTypeScript(first);
  if (ends(".json") && paths.length === 1) return fromBuilt(loadFirmware(first));
  if (!ends(".c") || paths.length === 0)
    throw notUsable(
      first,
      "C files, one manifest or one .ts file",
      paths.map((path) => basename(path)).join(", "),
    );
  return fromBuilt(await compileCached(readSources(paths, { int: 32, char: "signed" })));
}

function chosen(ids: readonly string[] | undefined): readonly Claim[] {
  if (ids === undefined) return ALL_CLAIMS;
  const known = ALL_CLAIMS.map(({ id }) => id);
  const faults = ids
    .filter((id) => !known.includes(id))
    .map((id) => ({
      path: "--claims",
      quantity: "claim",
      permitted: `one of ${known.join(", ")}`,
      received: JSON.stringify(id),
    }));
  if (faults.length > 0) throw new InvalidInputError("options", faults);
  return ALL_CLAIMS.filter(({ id, canary }) => canary === true || ids.includes(id));
}

/**
 * Loads design, firmware and claims. Throws InvalidInputError for what cannot be read, compiled or
 * proven, and for claims that nobody knows.
 */
export async function loadCampaign(place: CampaignPlace): Promise<LoadedCampaign> {
  const claims = chosen(place.claims);
  const { design, sha256: designSha256 } = await loadDesign(place.design);
  const { source, built, promises: own } = await loadSource(place);
  const declared = place.promises ?? own;
  const promises = { ...usualPromises(design), ...declared };
  if (design.timing === undefined) {
    const permitted = "given: firmware is run at its sample rate";
    throw new InvalidInputError("design", [
      { path: "timing", quantity: "timing", permitted, received: "none" },
    ]);
  }
  const bounds = place.bounds ?? voltageBoundsOf(design);
  const subject = { design, promises, bounds };
  return {
    subject,
    source,
    ...(built === undefined ? {} : { built }),
    claims,
    declared: Object.keys(declared),
    designSha256,
  };
}
