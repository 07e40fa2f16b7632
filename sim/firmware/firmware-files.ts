import { mkdirSync, readFileSync, renameSync, writeFileSync } from "node:fs";
import { basename, dirname, join, relative, resolve } from "node:path";
import { InvalidInputError } from "../../lib/errors.ts";
import type { Fault } from "../../lib/errors.ts";
import { hashOfManifest, packageHashes, sha256 } from "./compile.ts";
import type { BuiltFirmware, FirmwareSources } from "./compile.ts";
import { readDeclaredPromises } from "./declared-promises.ts";
import { readManifest } from "./firmware-manifest.ts";
import type { FirmwareManifest } from "./firmware-manifest.ts";
import { PORT_VERSION_TEXT } from "./port.ts";
import type { TargetModel } from "./port.ts";

function read(path: string, quantity: string): Uint8Array {
  try {
    return readFileSync(path);
  } catch (error) {
    const received = (error as Error).message;
    throw new InvalidInputError("firmware", [{ path, quantity, permitted: "readable", received }]);
  }
}

const OWN_INCLUDE = /^[ \t]*#[ \t]*include[ \t]*"([^"]+)"/gm;

/** The named C files and the headers beside them that they include. */
export function readSources(paths: readonly string[], target: TargetModel): FirmwareSources {
  const found = new Map<string, string>();
  const open = [...paths];
  for (let path = open.shift(); path !== undefined; path = open.shift()) {
    if (found.has(path)) continue;
    const text = Buffer.from(read(path, "C source")).toString("utf8");
    found.set(path, text);
    for (const [, header] of text.matchAll(OWN_INCLUDE))
      if (header !== "plumbvolt_port.h") open.push(join(dirname(path), header!));
  }
  const name = basename(paths[0] ?? "firmware").replace(/\.c$/, "");
  const sources = [...found].map(([file, text]) => ({ file, text }));
  return { name, sources, target };
}

/** A manifest as a file, with everything of it that has to be read again. */
function openManifest(path: string): FirmwareManifest {
  const text = Buffer.from(read(path, "firmware manifest")).toString("utf8");
  try {
    const manifest = readManifest(JSON.parse(text), path);
    readDeclaredPromises(manifest.promises ?? {});
    return manifest;
  } catch (error) {
    if (!(error instanceof SyntaxError)) throw error;
    const permitted = "a JSON document";
    throw new InvalidInputError("firmware manifest", [
      { path, quantity: "manifest", permitted, received: error.message },
    ]);
  }
}

/** The sources that a manifest names, as they are now. */
export function sourcesOfManifest(path: string): FirmwareSources {
  const { name, sources, target, promises } = openManifest(path);
  const folder = dirname(path);
  return {
    name,
    target,
    ...(promises === undefined ? {} : { promises }),
    sources: sources.map(({ file }) => {
      const place = join(folder, file);
      return { file: place, text: Buffer.from(read(place, "C source")).toString("utf8") };
    }),
  };
}

/** How a built firmware is read. */
export interface LoadOptions {
  /** True where its folder is named by the hash of the sources, which then need not be there. */
  readonly sourcesByHashOnly?: boolean;
}

/**
 * Firmware from the manifest of an earlier build, without the compiler. Throws InvalidInputError
 * where a source, a file of this package or a built file is not what the manifest says.
 */
export function loadFirmware(path: string, options: LoadOptions = {}): BuiltFirmware {
  const manifest = openManifest(path);
  const folder = dirname(path);
  const faults: Fault[] = [];
  const checked = (file: string, expected: string, hint: string): Uint8Array => {
    const content = read(join(folder, file), "file of the firmware");
    const found = sha256(content);
    if (found !== expected) {
      const permitted = `the one that was built, SHA-256 ${expected.slice(0, 12)}...`;
      const received = `SHA-256 ${found.slice(0, 12)}...`;
      faults.push({ path: file, quantity: "file of the firmware", permitted, received, hint });
    }
    return content;
  };
  const stale = "the build is stale: compile the firmware again";
  const sources = options.sourcesByHashOnly === true ? [] : manifest.sources;
  for (const { file, sha256: expected } of sources) checked(file, expected, stale);
  const builtWith = new Map(manifest.package.map((entry) => [entry.file, entry.sha256]));
  const current = new Map(packageHashes().map((entry) => [entry.file, entry.sha256]));
  for (const file of new Set([...current.keys(), ...builtWith.keys()])) {
    if (builtWith.get(file) === current.get(file)) continue;
    const received = current.has(file) && builtWith.has(file) ? "another" : "none";
    const permitted = "the same in this package and in the build";
    faults.push({ path: file, quantity: "file of the port", permitted, received, hint: stale });
  }
  if (manifest.port !== PORT_VERSION_TEXT) {
    const permitted = JSON.stringify(PORT_VERSION_TEXT);
    const received = JSON.stringify(manifest.port);
    faults.push({
      path: "port",
      quantity: "version of the port",
      permitted,
      received,
      hint: stale,
    });
  }
  const named = hashOfManifest(manifest);
  if (faults.length === 0 && manifest.hash !== named) {
    const permitted = `that of what the manifest says, ${named.slice(0, 12)}...`;
    const received = `${manifest.hash.slice(0, 12)}...`;
    faults.push({ path: "hash", quantity: "hash", permitted, received, hint: stale });
  }
  const { builds, lines } = manifest;
  const built = {
    manifest,
    trapping: checked(builds.trapping.file, builds.trapping.sha256, stale),
    plain: checked(builds.plain.file, builds.plain.sha256, stale),
    lines: Buffer.from(checked(lines.file, lines.sha256, stale)).toString("utf8"),
  };
  if (faults.length > 0) throw new InvalidInputError("firmware", faults);
  return built;
}

/**
 * The files of built firmware by name: its builds, its line table, and last the manifest, which
 * names the sources at the places given, seen from the folder of the build.
 */
export function builtFiles(
  { manifest, trapping, plain, lines }: BuiltFirmware,
  sources: FirmwareManifest["sources"],
): ReadonlyMap<string, string | Uint8Array> {
  const { builds, name } = manifest;
  return new Map<string, string | Uint8Array>([
    [builds.trapping.file, trapping],
    [builds.plain.file, plain],
    [manifest.lines.file, lines],
    [`${name}.firmware.json`, `${JSON.stringify({ ...manifest, sources }, undefined, 2)}\n`],
  ]);
}

/** Writes built firmware into a folder and returns the path of its manifest. */
export function writeFirmware(folder: string, built: BuiltFirmware): string {
  mkdirSync(folder, { recursive: true });
  const sources = built.manifest.sources.map(({ file, sha256: hash }) => ({
    file: relative(resolve(folder), resolve(file)),
    sha256: hash,
  }));
  let path = folder;
  for (const [name, content] of builtFiles(built, sources)) {
    path = join(folder, name);
    // Each file appears at once; the manifest comes last: what it names is there.
    writeFileSync(`${path}.new`, content);
    renameSync(`${path}.new`, path);
  }
  return path;
}
