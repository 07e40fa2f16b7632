#!/usr/bin/env node
// In a clone the sources run as they are; in the published package the build does.
import { existsSync } from "node:fs";

const source = new URL("../lib/command/main.ts", import.meta.url);
const fromSource = existsSync(source);
if (fromSource) (await import("tsx/esm/api")).register();
const built = new URL("../dist/lib/command/main.js", import.meta.url);
const { main } = await import((fromSource ? source : built).href);
process.exitCode = await main(process.argv);
