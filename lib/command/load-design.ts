import { createHash } from "node:crypto";
import { readFile } from "node:fs/promises";
import { resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { InvalidInputError } from "../errors.ts";
import type { Design } from "../design/design.ts";
import { readDesign } from "../design/read-design.ts";

/** A design with the hash of the bytes it was read from. */
export interface LoadedDesign {
  readonly design: Design;
  /** The document before it was read as a design. */
  readonly document: unknown;
  readonly sha256: string;
  readonly path: string;
}

function unreadable(path: string, received: string, hint?: string): InvalidInputError {
  return new InvalidInputError("design", [
    {
      path,
      quantity: "design file",
      permitted: "a readable .json or .ts file",
      received,
      ...(hint === undefined ? {} : { hint }),
    },
  ]);
}

async function documentOf(path: string, text: string): Promise<unknown> {
  if (path.endsWith(".ts")) {
    const { tsImport } = await import("tsx/esm/api");
    const loaded: unknown = await tsImport(pathToFileURL(resolve(path)).href, import.meta.url);
    const module = loaded as { default?: unknown; design?: unknown };
    const exported = module.design ?? module.default;
    if (exported === undefined)
      throw unreadable(path, "no export", 'export the design as "design" or as default');
    return exported;
  }
  try {
    return JSON.parse(text) as unknown;
  } catch (error) {
    throw unreadable(path, "text that is no JSON", (error as Error).message);
  }
}

/** Reads a design from a JSON or TypeScript file. Throws {@link InvalidInputError}. */
export async function loadDesign(path: string): Promise<LoadedDesign> {
  if (!path.endsWith(".json") && !path.endsWith(".ts"))
    throw unreadable(path, "another kind of file");
  let bytes: Buffer;
  try {
    bytes = await readFile(path);
  } catch (error) {
    throw unreadable(path, (error as NodeJS.ErrnoException).code ?? "no file");
  }
  const document = await documentOf(path, bytes.toString("utf8"));
  return {
    design: readDesign(document),
    document,
    sha256: createHash("sha256").update(bytes).digest("hex"),
    path,
  };
}
