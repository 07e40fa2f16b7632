import { existsSync, mkdirSync, renameSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { InvalidInputError } from "../../lib/errors.ts";
import { firmwareHash, lastPart, packageFile, trappingFlags } from "./compile.ts";
import type { FirmwareSources, SourceFile } from "./compile.ts";
import { loadCompiler } from "./compiler.ts";
import type { Compiler, SourceFiles } from "./compiler.ts";
import { cacheFolder } from "./firmware-cache.ts";
import { strippedModule } from "./wasm-sections.ts";

/** A firmware with another text in some file, built to be run: with traps and edge budget. */
export type Variant =
  | {
      readonly kind: "built";
      /** File of the module. */
      readonly path: string;
    }
  /** The compiler refuses it; its first message. */
  | { readonly kind: "refused"; readonly because: string };

/** Compiles variants of one firmware. */
export interface VariantCompiler {
  /** A build from the cache, or made and kept there. */
  readonly build: (sources: readonly SourceFile[]) => Promise<Variant>;
}

/** Makes builds of variants that share most of their files: an unchanged file is compiled once. */
class ObjectCompiler {
  private readonly compiler: Compiler;
  private readonly firmware: FirmwareSources;
  private readonly objects = new Map<string, Uint8Array>();

  constructor(compiler: Compiler, firmware: FirmwareSources) {
    this.compiler = compiler;
    this.firmware = firmware;
  }

  private async object(unit: string, files: SourceFiles): Promise<Uint8Array> {
    const headers = Object.entries(files).filter(([name]) => name.endsWith(".h"));
    const key = JSON.stringify([unit, files[unit], headers]);
    const flags = trappingFlags(this.firmware.target).compiling;
    const found = this.objects.get(key) ?? (await this.compiler.object(flags, files, unit));
    this.objects.set(key, found);
    return found;
  }

  async module(sources: readonly SourceFile[]): Promise<Uint8Array> {
    const files: Record<string, string> = {
      "plumbvolt_port.h": packageFile("plumbvolt_port.h"),
      "host_runtime.c": packageFile("host_runtime.c"),
    };
    for (const { file, text } of sources) files[lastPart(file)] = text;
    const objects: Record<string, Uint8Array> = {};
    for (const unit of Object.keys(files).filter((name) => name.endsWith(".c")))
      objects[`${unit}.o`] = await this.object(unit, files);
    const { linking } = trappingFlags(this.firmware.target);
    return strippedModule(await this.compiler.link(linking, objects));
  }
}

function writeWhole(path: string, bytes: Uint8Array): void {
  const beside = `${path}.${process.pid}.part`;
  writeFileSync(beside, bytes);
  renameSync(beside, path);
}

/**
 * Opens a compiler for variants of a firmware. Builds are kept in the cache folder by their hash.
 * Throws InvalidInputError where the compiler is not installed.
 */
export async function variantCompiler(
  firmware: FirmwareSources,
  folder = cacheFolder(),
): Promise<VariantCompiler> {
  const compiler = await loadCompiler();
  const objects = new ObjectCompiler(compiler, firmware);
  mkdirSync(folder, { recursive: true });
  return {
    async build(sources) {
      const hash = firmwareHash({ ...firmware, sources }, compiler.version);
      const path = join(folder, `${hash}.variant.wasm`);
      if (existsSync(path)) return { kind: "built", path };
      try {
        writeWhole(path, await objects.module(sources));
        return { kind: "built", path };
      } catch (error) {
        if (!(error instanceof InvalidInputError)) throw error;
        const [first] = error.faults;
        return { kind: "refused", because: first?.received ?? error.message };
      }
    },
  };
}
