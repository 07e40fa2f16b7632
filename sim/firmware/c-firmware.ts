import type { DeclaredPromises } from "./declared-promises.ts";
import { readDeclaredPromises } from "./declared-promises.ts";
import { compileCached } from "./firmware-cache.ts";
import { readSources } from "./firmware-files.ts";
import { firmwareSource } from "./firmware-source.ts";
import type { RunOptions } from "./firmware-source.ts";
import type { FirmwareSource, TargetModel } from "./port.ts";

/** C firmware that is to be compiled and run. */
export interface CFirmwareOptions extends RunOptions {
  /** C files; headers beside them are found by their includes. The first gives the name. */
  readonly sources: readonly string[];
  /** Data model of the product's compiler, recorded; a 32-bit int and a signed char where absent. */
  readonly target?: TargetModel;
  /** What it promises, with units, as { latency: "20 ms" }. */
  readonly promises?: DeclaredPromises;
}

/**
 * Compiles C firmware, or takes it from the cache, and gives a source that opens it as often as
 * wanted: `const firmware = (await cFirmware({ sources: ["trigger.c"] })).open()`, then `start`,
 * `samples` and `report`. Needs the optional compiler package.
 *
 * Throws InvalidInputError with all that the compiler said, and for files, promises, a version of
 * the port or exports that cannot be used.
 */
export async function cFirmware(options: CFirmwareOptions): Promise<FirmwareSource> {
  const { sources, target = { int: 32, char: "signed" }, promises, ...run } = options;
  readDeclaredPromises(promises ?? {});
  const code = readSources(sources, target);
  const built = await compileCached(promises === undefined ? code : { ...code, promises });
  return firmwareSource(built, run);
}
