import { createHash } from "node:crypto";
import { existsSync, readFileSync } from "node:fs";
import { InvalidInputError, invariant } from "../../lib/errors.ts";
import type { Fault } from "../../lib/errors.ts";
import { loadCompiler } from "./compiler.ts";
import type { Compiler, Remark, SourceFiles } from "./compiler.ts";
import { MANIFEST_FORMAT } from "./firmware-manifest.ts";
import type { DeclaredPromises } from "./declared-promises.ts";
import type { FirmwareManifest } from "./firmware-manifest.ts";
import { lineTableText, stoppingPlaces } from "./line-table.ts";
import { PORT_VERSION_TEXT } from "./port.ts";
import type { TargetModel } from "./port.ts";
import { startOfCode, strippedModule } from "./wasm-sections.ts";

/** One file handed to the compiler. */
export interface SourceFile {
  /** Name by which the manifest lists it and by which others include it: its last part. */
  readonly file: string;
  readonly text: string;
}

/** Firmware to be compiled. */
export interface FirmwareSources {
  readonly name: string;
  readonly sources: readonly SourceFile[];
  readonly target: TargetModel;
  /** What it promises; kept in the manifest, no part of its hash. */
  readonly promises?: DeclaredPromises;
}

/** Firmware as built: everything that a simulation needs, without the compiler. */
export interface BuiltFirmware {
  readonly manifest: FirmwareManifest;
  readonly trapping: Uint8Array;
  readonly plain: Uint8Array;
  /** Text of the line table of the trapping build. */
  readonly lines: string;
}

const PACKAGE_FILES = ["plumbvolt_port.h", "host_runtime.c"] as const;

const WARNINGS =
  "-Wall -Wextra -Wconversion -Wsign-conversion -Wswitch-default -Wimplicit-fallthrough -Werror";

/**
 * The stack lies first, so that its overflow leaves memory and traps. Optimisation at link time
 * brings the count of edges, and small functions of other files, into each function.
 */
const LINKING =
  "-nostartfiles -mexec-model=reactor -Wl,--no-entry -Wl,-z,stack-size=16384 -Wl,--stack-first " +
  "-Wl,--export=__heap_base -Wl,--export=__global_base";

const COMPILING = `-std=c11 ${WARNINGS} -DPV_HOST`;

const COMMON = `--target=wasm32-wasip1 -flto ${COMPILING} ${LINKING}`;

/** Calls that stop are not merged, so that each of them has its own line. */
const CHECKS =
  "-O1 -g -fsanitize=undefined,implicit-conversion -fno-sanitize-recover=all " +
  "-fsanitize-minimal-runtime -fno-sanitize-merge " +
  "-fsanitize-coverage=edge,no-prune,trace-pc-guard";

const NO_MERGE = "-Wl,-mllvm,-enable-tail-merge=0";

const TRAPPING = `${COMMON} ${NO_MERGE} ${CHECKS}`;

/**
 * A front end whose int has 16 bits: it shows what the text alone tells of such a target. Nothing
 * is run with it. The compiler has no flag for the width of int: only a target of a processor family
 * brings one of 16 bits, so the name of one stands here and means no more than that.
 */
const LINT_16 =
  "--target=msp430-none-elf -ffreestanding -std=c11 -ferror-limit=0 -Wall -Wextra -Wconversion " +
  "-Wsign-conversion";

const PLAIN = `${COMMON} -O2`;

/** SHA-256 in hexadecimal digits. */
export function sha256(content: string | Uint8Array): string {
  return createHash("sha256").update(content).digest("hex");
}

/** A file of the folder `c`: beside the sources of this package, also when it runs as built. */
export function packageFile(name: string): string {
  const places = [`./c/${name}`, `../../../sim/firmware/c/${name}`].map(
    (path) => new URL(path, import.meta.url),
  );
  const place = places.find((url) => existsSync(url));
  invariant(place !== undefined, `the package holds ${name}`);
  return readFileSync(place, "utf8");
}

/** The files of this package that enter every build, with their hashes. */
export function packageHashes(): { file: string; sha256: string }[] {
  return PACKAGE_FILES.map((file) => ({ file, sha256: sha256(packageFile(file)) }));
}

function charFlag({ char }: TargetModel): string {
  return char === "signed" ? "-fsigned-char" : "-funsigned-char";
}

/** Flags of both builds for a target. */
function flagsFor(target: TargetModel): { readonly trapping: string; readonly plain: string } {
  const sign = charFlag(target);
  return { trapping: `${TRAPPING} ${sign}`, plain: `${PLAIN} ${sign}` };
}

/** Flags of the trapping build in two steps: for one file, and for the objects together. */
export function trappingFlags(target: TargetModel): {
  readonly compiling: readonly string[];
  readonly linking: readonly string[];
} {
  const both = "--target=wasm32-wasip1 -flto";
  return {
    compiling: `${both} ${COMPILING} ${CHECKS} ${charFlag(target)}`.split(" "),
    linking: `${both} -O1 ${LINKING} ${NO_MERGE}`.split(" "),
  };
}

const COMPILER = "clang";

/** Parts of a manifest that a firmware is named by. */
type Named = Pick<FirmwareManifest, "name" | "sources" | "package" | "target" | "compiler">;

/** The name that a manifest gives its firmware, from what the manifest says of it. */
export function hashOfManifest({ name, sources, target, compiler, ...named }: Named): string {
  const parts = [
    name,
    ...sources.map((entry) => `${lastPart(entry.file)} ${entry.sha256}`),
    ...named.package.map((entry) => `${entry.file} ${entry.sha256}`),
    ...Object.values(flagsFor(target)),
    JSON.stringify(target),
    ...(target.int === 16 ? [LINT_16] : []),
    compiler.version,
  ];
  return sha256(parts.join("\n"));
}

/** What names a firmware: sources, package files, flags, target and compiler. */
export function firmwareHash(firmware: FirmwareSources, version: string): string {
  const { name, target } = firmware;
  const sources = firmware.sources.map(({ file, text }) => ({ file, sha256: sha256(text) }));
  const compiler = { name: COMPILER, version };
  return hashOfManifest({ name, sources, package: packageHashes(), target, compiler });
}

/** Last part of a path: the name by which C sources include each other. */
export function lastPart(file: string): string {
  return file.split("/").at(-1)!;
}

function requireUsable({ sources }: FirmwareSources): void {
  const faults: Fault[] = [];
  const names = sources.map(({ file }) => lastPart(file));
  const reserved: readonly string[] = PACKAGE_FILES;
  for (const [index, name] of names.entries()) {
    const path = sources[index]!.file;
    const fault = (permitted: string): number =>
      faults.push({ path, quantity: "source name", permitted, received: name });
    if (!/\.[ch]$/.test(name)) fault("one that ends in .c or .h");
    if (names.indexOf(name) !== index) fault("different from the other names");
    if (reserved.includes(name)) fault("none of the package's own");
  }
  if (!names.some((name) => name.endsWith(".c"))) {
    const received = names.join(", ") || "none";
    faults.push({ path: "", quantity: "C sources", permitted: "one or more", received });
  }
  if (faults.length > 0) throw new InvalidInputError("firmware", faults);
}

function filesOf({ sources }: FirmwareSources, runtime: boolean): SourceFiles {
  const files: Record<string, string> = {};
  for (const { file, text } of sources) files[lastPart(file)] = text;
  files["plumbvolt_port.h"] = packageFile("plumbvolt_port.h");
  if (runtime) files["host_runtime.c"] = packageFile("host_runtime.c");
  return files;
}

/** The line of every instruction at which a call can end. */
async function linesOf(compiler: Compiler, module: Uint8Array): Promise<string> {
  const places = stoppingPlaces(await compiler.disassemble(module));
  const start = startOfCode(module);
  // Debug information counts from the content of the code section.
  const answer = await compiler.symbolise(
    module,
    places.map((place) => place - start),
  );
  return lineTableText(places, answer);
}

/** Remarks for a target with an int of 16 bits; the simulation's int has 32. */
async function lintOf(compiler: Compiler, firmware: FirmwareSources): Promise<readonly Remark[]> {
  const flags = `${LINT_16} ${charFlag(firmware.target)}`;
  return compiler.remarks(flags.split(" "), filesOf(firmware, false));
}

/**
 * Compiles firmware twice: trapping, with checks for undefined behaviour and an edge budget, and
 * plain, as a product's compiler would. Same input, same bytes. Throws InvalidInputError with all
 * that the compiler said, warnings included, and where the compiler is not installed.
 */
export async function compileFirmware(firmware: FirmwareSources): Promise<BuiltFirmware> {
  requireUsable(firmware);
  const compiler = await loadCompiler();
  const flags = flagsFor(firmware.target);
  const whole = await compiler.build(flags.trapping.split(" "), filesOf(firmware, true));
  const lines = await linesOf(compiler, whole);
  const trapping = strippedModule(whole);
  const plain = strippedModule(
    await compiler.build(flags.plain.split(" "), filesOf(firmware, false)),
  );
  const { name, target, sources, promises } = firmware;
  const lint = target.int === 16 ? { lint: [...(await lintOf(compiler, firmware))] } : {};
  const file = (kind: string): string => `${name}.${kind}`;
  const manifest: FirmwareManifest = {
    format: MANIFEST_FORMAT,
    name,
    port: PORT_VERSION_TEXT,
    target,
    compiler: { name: COMPILER, version: compiler.version },
    sources: sources.map((source) => ({ file: source.file, sha256: sha256(source.text) })),
    package: [...packageHashes()],
    builds: {
      trapping: { file: file("trapping.wasm"), sha256: sha256(trapping), flags: flags.trapping },
      plain: { file: file("plain.wasm"), sha256: sha256(plain), flags: flags.plain },
    },
    lines: { file: file("lines.txt"), sha256: sha256(lines) },
    ...lint,
    ...(promises === undefined ? {} : { promises }),
    hash: firmwareHash(firmware, compiler.version),
  };
  return { manifest, trapping, plain, lines };
}
