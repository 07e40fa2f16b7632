import { readFileSync } from "node:fs";
import { variantCompiler } from "../../sim/firmware/compile-variants.ts";
import type { VariantCompiler } from "../../sim/firmware/compile-variants.ts";
import type { BuiltFirmware, FirmwareSources } from "../../sim/firmware/compile.ts";
import { firmwareSource } from "../../sim/firmware/firmware-source.ts";
import type { FirmwareSource } from "../../sim/firmware/port.ts";
import { UNCHANGED, runFaultBlock } from "../../properties/faults/fault-block.ts";
import type {
  FaultBlockKey,
  FaultBlockResult,
  FaultWork,
  FaultyTester,
} from "../../properties/faults/fault-block.ts";
import { withFault } from "../../properties/faults/firmware-fault.ts";
import type { FirmwareFault } from "../../properties/faults/firmware-fault.ts";
import type { GeneratedFault } from "../../properties/faults/generated-faults.ts";
import type { GeneratedBuild } from "../../properties/faults/generated-table.ts";
import { FRONT_END_FAULTS } from "../../properties/faults/front-end-faults.ts";
import { answered } from "./campaign-worker.ts";
import type { Answer } from "./campaign-worker.ts";
import { loadCampaign } from "./load-campaign.ts";
import type { CampaignPlace, LoadedCampaign } from "./load-campaign.ts";

/** A fault of the firmware as it was built, or the compiler's word against it. */
export type FaultBuild =
  | { readonly id: string; readonly path: string }
  | { readonly id: string; readonly refused: string };

/** What every block of a run over faults is done with: plain data. */
export interface FaultPlace {
  readonly campaign: CampaignPlace;
  readonly builds: readonly FaultBuild[];
  /** Builds of generated faults that are played. */
  readonly generated?: readonly { readonly id: string; readonly path: string }[];
  /** Faults of the front end. */
  readonly frontEnd: readonly string[];
  readonly seed: number;
}

/** One order to a worker. */
export type FaultTask =
  | {
      readonly kind: "build";
      readonly firmware: FirmwareSources;
      readonly faults: readonly FirmwareFault[];
    }
  | {
      readonly kind: "generated";
      readonly firmware: FirmwareSources;
      readonly lines: readonly (readonly GeneratedFault[])[];
      readonly most: number;
    }
  | { readonly kind: "block"; readonly place: FaultPlace; readonly key: FaultBlockKey };

/** What comes of an order. */
export type FaultAnswer = readonly FaultBuild[] | readonly GeneratedBuild[] | FaultBlockResult;

/** The compiler of the firmware that this worker makes variants of, with what it has compiled. */
let opened: { readonly of: string; readonly compiler: Promise<VariantCompiler> } | undefined;

async function sameCompiler(firmware: FirmwareSources): Promise<VariantCompiler> {
  const of = JSON.stringify(firmware);
  if (opened?.of !== of) opened = { of, compiler: variantCompiler(firmware) };
  return opened.compiler;
}

/** Builds a firmware with each of some faults in it. */
export async function buildFaults(
  firmware: FirmwareSources,
  faults: readonly FirmwareFault[],
): Promise<readonly FaultBuild[]> {
  const compiler = await sameCompiler(firmware);
  const builds: FaultBuild[] = [];
  for (const fault of faults) {
    const { id } = fault;
    const variant = await compiler.build(withFault(firmware.sources, fault));
    builds.push(
      variant.kind === "built" ? { id, path: variant.path } : { id, refused: variant.because },
    );
  }
  return builds;
}

/**
 * Builds so many generated faults of each line, the preferred ones first. What the compiler refuses
 * and what changes nothing in the module is named too, and the next one of the line stands for it.
 */
export async function buildGenerated(
  firmware: FirmwareSources,
  lines: readonly (readonly GeneratedFault[])[],
  most: number,
): Promise<readonly GeneratedBuild[]> {
  const compiler = await sameCompiler(firmware);
  const unchanged = await compiler.build(firmware.sources);
  const original = unchanged.kind === "built" ? readFileSync(unchanged.path) : undefined;
  const builds: GeneratedBuild[] = [];
  for (const line of lines) {
    let built = 0;
    for (const fault of line) {
      if (built === most) break;
      const { id } = fault;
      const variant = await compiler.build(withFault(firmware.sources, fault));
      if (variant.kind === "refused") builds.push({ id, refused: variant.because });
      else if (original?.equals(readFileSync(variant.path)) === true)
        builds.push({ id, equivalent: true });
      else {
        built += 1;
        builds.push({ id, path: variant.path });
      }
    }
  }
  return builds;
}

/** A variant of a firmware; the line table belongs to the firmware as it is. */
export function variantSource(built: BuiltFirmware, path: string): FirmwareSource {
  return firmwareSource({ ...built, trapping: readFileSync(path), lines: "" });
}

/** The testers of a run: the one without a fault, then those with one. */
export function faultWork(loaded: LoadedCampaign, place: Omit<FaultPlace, "campaign">): FaultWork {
  const { source, built, claims, subject } = loaded;
  const firmware = place.builds.flatMap((build): FaultyTester[] =>
    built !== undefined && "path" in build
      ? [{ id: build.id, firmware: variantSource(built, build.path) }]
      : [],
  );
  const hardware = FRONT_END_FAULTS.filter(({ id }) => place.frontEnd.includes(id)).map(
    (frontEnd) => ({ id: frontEnd.id, firmware: source, frontEnd }),
  );
  const generated = (place.generated ?? []).flatMap(({ id, path }): FaultyTester[] =>
    built === undefined ? [] : [{ id, firmware: variantSource(built, path), isGenerated: true }],
  );
  const testers = [{ id: UNCHANGED, firmware: source }, ...firmware, ...hardware, ...generated];
  return { claims, subject, testers, seed: place.seed };
}

let loaded: Promise<FaultWork> | undefined;

async function workFor(place: FaultPlace): Promise<FaultWork> {
  return faultWork(await loadCampaign(place.campaign), place);
}

/** Does one order; the testers are loaded once in each worker, which serves one run. */
export function runFaultTask(task: FaultTask): Promise<Answer<FaultAnswer>> {
  return answered(async () => {
    if (task.kind === "build") return buildFaults(task.firmware, task.faults);
    if (task.kind === "generated") return buildGenerated(task.firmware, task.lines, task.most);
    loaded ??= workFor(task.place);
    return runFaultBlock(await loaded, task.key);
  });
}
