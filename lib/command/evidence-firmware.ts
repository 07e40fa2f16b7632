import { readFile } from "node:fs/promises";
import { basename } from "node:path";
import type { BuiltFirmware } from "../../sim/firmware/compile.ts";
import { builtFiles, readSources, sourcesOfManifest } from "../../sim/firmware/firmware-files.ts";
import type { RecordFirmware } from "../report/record-document.ts";
import { sha256Of } from "./evidence-inputs.ts";

/** Firmware as a folder of evidence keeps it. */
export interface KeptFirmware {
  readonly copies: ReadonlyMap<string, Buffer>;
  readonly described: RecordFirmware;
}

const FOLDER = "inputs/firmware";

/** A name of a file that is safe on every system. */
function plainName(path: string): string {
  return basename(path)
    .replaceAll(/[^A-Za-z0-9._-]/g, "_")
    .replace(/^\.+/, "_");
}

/** Names for files that may come from several folders: each once. */
function plainNames(paths: readonly string[]): readonly string[] {
  const used = new Set<string>();
  return paths.map((path) => {
    const plain = plainName(path);
    let name = plain;
    for (let count = 2; used.has(name); count += 1) name = `${count}-${plain}`;
    used.add(name);
    return name;
  });
}

/** One file has its own hash, several the hash of the list of theirs. */
function hashOf(copies: ReadonlyMap<string, Buffer>): string {
  const lines = [...copies].map(([path, bytes]) => `${sha256Of(bytes)}  ${path}`);
  return lines.length === 1 ? lines[0]!.slice(0, 64) : sha256Of(lines.join("\n"));
}

/** The sources beside a folder with what was built of them, so that a check needs no compiler. */
function keptBuild(paths: readonly string[], built: BuiltFirmware): KeptFirmware {
  const { manifest, trapping, plain } = built;
  const [first = ""] = paths;
  const { sources } = first.endsWith(".json")
    ? sourcesOfManifest(first)
    : readSources(paths, manifest.target);
  const names = plainNames(sources.map(({ file }) => file));
  const build = builtFiles(
    built,
    sources.map(({ text }, index) => ({ file: `../${names[index]!}`, sha256: sha256Of(text) })),
  );
  const copies = new Map<string, Buffer>([
    ...sources.map(({ text }, index) => [`${FOLDER}/${names[index]!}`, Buffer.from(text)] as const),
    ...[...build].map(
      ([name, content]) => [`${FOLDER}/build/${name}`, Buffer.from(content)] as const,
    ),
  ]);
  const { target, compiler } = manifest;
  return {
    copies,
    described: {
      name: manifest.name,
      path: `${FOLDER}/build/${manifest.name}.firmware.json`,
      sha256: hashOf(copies),
      language: "C",
      target: `int of ${target.int} bits, ${target.char} char`,
      builds: {
        compiler: `${compiler.name} ${compiler.version}`,
        trapping: trapping.length,
        plain: plain.length,
      },
    },
  };
}

/** Firmware in TypeScript: one file, as it is. */
async function keptProgram(path: string): Promise<KeptFirmware> {
  const place = `${FOLDER}/${plainName(path)}`;
  const copies = new Map([[place, await readFile(path)]]);
  return {
    copies,
    described: {
      name: plainName(path),
      path: place,
      sha256: hashOf(copies),
      language: "TypeScript",
    },
  };
}

/** Copies of firmware that could be loaded, and what the record says of it. */
export async function keepFirmware(
  paths: readonly string[],
  built: BuiltFirmware | undefined,
): Promise<KeptFirmware> {
  return built === undefined ? keptProgram(paths[0]!) : keptBuild(paths, built);
}
