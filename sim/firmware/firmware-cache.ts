import { existsSync } from "node:fs";
import { homedir } from "node:os";
import { basename, join } from "node:path";
import { compileFirmware, firmwareHash } from "./compile.ts";
import type { BuiltFirmware, FirmwareSources } from "./compile.ts";
import { loadCompiler } from "./compiler.ts";
import { loadFirmware, writeFirmware } from "./firmware-files.ts";

/** Folder of earlier builds: the variable PLUMBVOLT_CACHE, else one in the home folder. */
export function cacheFolder(): string {
  return process.env["PLUMBVOLT_CACHE"] ?? join(homedir(), ".cache", "plumbvolt");
}

/**
 * Firmware from the cache, or compiled and put there. The key is the hash of sources, flags and
 * compiler version. Sources have to be files. Throws what `compileFirmware` throws.
 */
export async function compileCached(
  firmware: FirmwareSources,
  folder = cacheFolder(),
): Promise<BuiltFirmware> {
  const { version } = await loadCompiler();
  const entry = join(folder, firmwareHash(firmware, version));
  const path = join(entry, `${firmware.name}.firmware.json`);
  if (!existsSync(path)) writeFirmware(entry, await compileFirmware(firmware));
  const built = loadFirmware(path, { sourcesByHashOnly: true });
  // The same texts may have been compiled elsewhere; the manifest names them as they are here.
  const here = new Map(firmware.sources.map(({ file }) => [basename(file), file]));
  const sources = built.manifest.sources.map((source) => ({
    ...source,
    file: here.get(basename(source.file)) ?? source.file,
  }));
  // Promises are no part of the key: they change nothing that is built.
  const { promises: _, ...manifest } = built.manifest;
  const { promises } = firmware;
  const declared = promises === undefined ? {} : { promises };
  return { ...built, manifest: { ...manifest, sources, ...declared } };
}
