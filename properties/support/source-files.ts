import { readdirSync, readFileSync } from "node:fs";
import { join, posix, sep } from "node:path";
import { fileURLToPath } from "node:url";

/** Root of the project. */
export const ROOT = fileURLToPath(new URL("../../", import.meta.url));

/** Texts by their path from the root, with slashes. */
export type SourceFiles = ReadonlyMap<string, string>;

/** Every file of the folders that ends in one of the endings, its text read. */
export function filesIn(folders: readonly string[], endings: readonly string[]): SourceFiles {
  const files = new Map<string, string>();
  for (const folder of folders) {
    const entries = readdirSync(join(ROOT, folder), { recursive: true, withFileTypes: true });
    for (const entry of entries) {
      if (!entry.isFile() || !endings.some((ending) => entry.name.endsWith(ending))) continue;
      const path = join(entry.parentPath, entry.name);
      files.set(path.slice(ROOT.length).split(sep).join("/"), readFileSync(path, "utf8"));
    }
  }
  return files;
}

const SPECIFIER =
  /^(?:import|export)\s(?:[^"';]*?\sfrom\s)?"([^"]+)"|\bimport\(\s*"([^"]+)"\s*\)/gm;

/** What a TypeScript text imports or re-exports, in its order. */
export function importsOf(text: string): string[] {
  return [...text.matchAll(SPECIFIER)].map((match) => match[1] ?? match[2] ?? "");
}

/** Path from the root of a relative import; undefined for a package. */
export function resolvedImport(from: string, specifier: string): string | undefined {
  return specifier.startsWith(".") ? posix.join(posix.dirname(from), specifier) : undefined;
}
