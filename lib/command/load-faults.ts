import { existsSync } from "node:fs";
import { dirname, join } from "node:path";
import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import { ALL_CLAIMS } from "../../properties/claims/all-claims.ts";
import { placesOf, readFirmwareFaults } from "../../properties/faults/firmware-fault.ts";
import type { FirmwareFault } from "../../properties/faults/firmware-fault.ts";
import { generatedFaults } from "../../properties/faults/generated-faults.ts";
import type { GeneratedFaults } from "../../properties/faults/generated-faults.ts";
import { readSurvivors } from "../../properties/faults/survivors.ts";
import type { Survivor } from "../../properties/faults/survivors.ts";
import type { FirmwareSources } from "../../sim/firmware/compile.ts";
import { readSources, sourcesOfManifest } from "../../sim/firmware/firmware-files.ts";
import { jsonDocument } from "./json-document.ts";

/** Name of the document of faults that is looked for beside the sources. */
const USUAL = "faults.json";

/** Name of the document of generated faults that need not be noticed. */
const SURVIVORS = "survivors.json";

/** Faults that follow from the text of C sources, and which of them need not be noticed. */
export interface GeneratedForSources extends GeneratedFaults {
  readonly survivors: readonly Survivor[];
}

/** C sources with the faults that are seeded into them. */
export interface SeededSources {
  readonly sources: FirmwareSources;
  readonly faults: readonly FirmwareFault[];
}

function sourcesOf(firmware: readonly string[]): FirmwareSources | undefined {
  const [first = ""] = firmware;
  if (first.endsWith(".c")) return readSources(firmware, { int: 32, char: "signed" });
  return first.endsWith(".json") ? sourcesOfManifest(first) : undefined;
}

/** Claims that are expected to notice a fault and that there are not. */
function unknownClaims(faults: readonly FirmwareFault[]): Fault[] {
  const known = new Set(ALL_CLAIMS.map(({ id }) => id));
  return faults.flatMap(({ id, caughtBy }) =>
    caughtBy.flatMap((claim, index) =>
      known.has(claim)
        ? []
        : [
            {
              path: `${id}.caughtBy[${index}]`,
              quantity: "claim",
              permitted: `one of ${[...known].join(", ")}`,
              received: JSON.stringify(claim),
            },
          ],
    ),
  );
}

/**
 * The faults of a firmware: those of the document named, else of `faults.json` beside its sources,
 * else none. Undefined for firmware that is no C. Throws InvalidInputError for a document that
 * cannot be read, with every fault in it, and where a text to replace is not in the sources once
 * or a claim is none.
 */
export function loadFaults(
  firmware: readonly string[],
  document: string | undefined,
): SeededSources | undefined {
  const sources = sourcesOf(firmware);
  if (sources === undefined) {
    if (document === undefined) return undefined;
    const permitted = "left out: faults are put into C sources";
    throw new InvalidInputError("options", [
      { path: "--faults", quantity: "faults", permitted, received: document },
    ]);
  }
  const beside = join(dirname(sources.sources[0]!.file), USUAL);
  const path = document ?? (existsSync(beside) ? beside : undefined);
  const faults = path === undefined ? [] : readFirmwareFaults(jsonDocument(path, "faults"));
  const misplaced = faults.flatMap((fault) => {
    try {
      placesOf(sources.sources, fault);
      return [];
    } catch (error) {
      if (error instanceof InvalidInputError) return error.faults;
      throw error;
    }
  });
  const all = [...misplaced, ...unknownClaims(faults)];
  if (all.length > 0) throw new InvalidInputError("faults", all);
  return { sources, faults };
}

/**
 * The generated faults of C sources, with the written reasons of `survivors.json` beside them.
 * Throws InvalidInputError where there are no C sources, and for reasons that cannot be read.
 */
export function loadGenerated(seeded: SeededSources | undefined): GeneratedForSources {
  if (seeded === undefined) {
    const permitted = "left out: faults are generated from C sources";
    throw new InvalidInputError("options", [
      { path: "--generated", quantity: "faults", permitted, received: "--generated" },
    ]);
  }
  const { sources } = seeded.sources;
  const path = join(dirname(sources[0]!.file), SURVIVORS);
  const survivors = existsSync(path) ? readSurvivors(jsonDocument(path, "survivors")) : [];
  return { ...generatedFaults(sources), survivors };
}
