import { createRequire } from "node:module";
import { fileURLToPath, pathToFileURL } from "node:url";

/** A function that a worker runs. */
export interface WorkerTask {
  /** File of the function as it stands among the sources, ending in .ts. */
  readonly file: URL;
  /** Its exported name. */
  readonly name: string;
}

// From the sources the workers need a loader for TypeScript, registered in each of them.
const isSource = import.meta.url.endsWith(".ts");

/** A module of this code, as an address. */
export function moduleOf(code: string): string {
  return `data:text/javascript,${encodeURIComponent(code)}`;
}

/** Options of the engine for a worker. */
export function loaderOptions(): string[] {
  if (!isSource) return [];
  const found = createRequire(import.meta.url).resolve("tsx/esm/api");
  // What is found is the form for `require`; the form for `import` stands beside it.
  const loader = pathToFileURL(found.replace(/\.cjs$/, ".mjs")).href;
  return ["--import", moduleOf(`import { register } from ${JSON.stringify(loader)}; register();`)];
}

/** The file as it can be run: of the sources or of the build, as the caller. */
export function runnableOf(file: URL): string {
  const path = fileURLToPath(file);
  return isSource ? path : path.replace(/\.ts$/, ".js");
}
