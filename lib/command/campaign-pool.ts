import { createRequire } from "node:module";
import { fileURLToPath, pathToFileURL } from "node:url";
import { Tinypool } from "tinypool";
import type { BlockResult } from "../../properties/campaign/block.ts";
import type { CampaignTask } from "./campaign-worker.ts";

/** Workers that do blocks. Close it, or the program does not end. */
export interface CampaignPool {
  run(task: CampaignTask): Promise<BlockResult>;
  close(): Promise<void>;
}

function sourceLoader(): string[] {
  const found = createRequire(import.meta.url).resolve("tsx/esm/api");
  // What is found is the form for `require`; the form for `import` stands beside it.
  const loader = pathToFileURL(found.replace(/\.cjs$/, ".mjs")).href;
  const code = `import { register } from ${JSON.stringify(loader)}; register();`;
  return ["--import", `data:text/javascript,${encodeURIComponent(code)}`];
}

/** Starts workers for a campaign; at least one. */
export function openCampaignPool(workers: number): CampaignPool {
  // From the sources the workers need a loader for TypeScript, registered in each of them.
  const isSource = import.meta.url.endsWith(".ts");
  const file = new URL(isSource ? "./campaign-worker.ts" : "./campaign-worker.js", import.meta.url);
  const pool = new Tinypool({
    filename: fileURLToPath(file),
    name: "runTask",
    minThreads: workers,
    maxThreads: workers,
    execArgv: isSource ? sourceLoader() : [],
  });
  return {
    run: async (task) => (await pool.run(task)) as BlockResult,
    close: () => pool.destroy(),
  };
}
