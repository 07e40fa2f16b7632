import { readFileSync } from "node:fs";
import { variantCompiler } from "../../sim/firmware/compile-variants.ts";
import type { FirmwareSources } from "../../sim/firmware/compile.ts";
import { firmwareSource } from "../../sim/firmware/firmware-source.ts";
import { UNCHANGED, runFaultBlock } from "../../properties/faults/fault-block.ts";
import type {
  FaultBlockKey,
  FaultBlockResult,
  FaultWork,
  FaultyTester,
} from "../../properties/faults/fault-block.ts";
import { withFault } from "../../properties/faults/firmware-fault.ts";
import type { FirmwareFault } from "../../properties/faults/firmware-fault.ts";
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
  | { readonly kind: "block"; readonly place: FaultPlace; readonly key: FaultBlockKey };

/** Builds a firmware with each of some faults in it. */
export async function buildFaults(
  firmware: FirmwareSources,
  faults: readonly FirmwareFault[],
): Promise<readonly FaultBuild[]> {
  const compiler = await variantCompiler(firmware);
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

/** The testers of a run: the one without a fault, then those with one. */
export function faultWork(loaded: LoadedCampaign, place: Omit<FaultPlace, "campaign">): FaultWork {
  const { source, built, claims, subject } = loaded;
  const firmware = place.builds.flatMap((build): FaultyTester[] => {
    if (built === undefined || !("path" in build)) return [];
    // The line table belongs to the firmware as it is.
    const variant = { ...built, trapping: readFileSync(build.path), lines: "" };
    return [{ id: build.id, firmware: firmwareSource(variant) }];
  });
  const hardware = FRONT_END_FAULTS.filter(({ id }) => place.frontEnd.includes(id)).map(
    (frontEnd) => ({ id: frontEnd.id, firmware: source, frontEnd }),
  );
  const testers = [{ id: UNCHANGED, firmware: source }, ...firmware, ...hardware];
  return { claims, subject, testers, seed: place.seed };
}

let loaded: Promise<FaultWork> | undefined;

async function workFor(place: FaultPlace): Promise<FaultWork> {
  return faultWork(await loadCampaign(place.campaign), place);
}

/** Does one order; the testers are loaded once in each worker, which serves one run. */
export function runFaultTask(
  task: FaultTask,
): Promise<Answer<readonly FaultBuild[] | FaultBlockResult>> {
  return answered(async () => {
    if (task.kind === "build") return buildFaults(task.firmware, task.faults);
    loaded ??= workFor(task.place);
    return runFaultBlock(await loaded, task.key);
  });
}
