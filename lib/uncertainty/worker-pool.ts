import { createRequire } from "node:module";
import { fileURLToPath, pathToFileURL } from "node:url";
import { Tinypool } from "tinypool";

/** A function that a worker runs. */
export interface WorkerTask {
  /** File of the function as it stands among the sources, ending in .ts. */
  readonly file: URL;
  /** Its exported name. */
  readonly name: string;
}

function sourceLoader(): string[] {
  const found = createRequire(import.meta.url).resolve("tsx/esm/api");
  // What is found is the form for `require`; the form for `import` stands beside it.
  const loader = pathToFileURL(found.replace(/\.cjs$/, ".mjs")).href;
  const code = `import { register } from ${JSON.stringify(loader)}; register();`;
  return ["--import", `data:text/javascript,${encodeURIComponent(code)}`];
}

/**
 * Starts so many workers for a task, from the sources or from the build as the caller itself runs.
 * Destroy the pool, or the program does not end.
 */
export function openWorkers({ file, name }: WorkerTask, workers: number): Tinypool {
  // From the sources the workers need a loader for TypeScript, registered in each of them.
  const isSource = import.meta.url.endsWith(".ts");
  const path = fileURLToPath(file);
  return new Tinypool({
    filename: isSource ? path : path.replace(/\.ts$/, ".js"),
    name,
    minThreads: workers,
    maxThreads: workers,
    execArgv: isSource ? sourceLoader() : [],
  });
}
