#!/usr/bin/env node
// The build runs where it is no older than the sources; in a clone with newer sources, or without
// a build, the sources run as they are. The published package has the build alone.
import { existsSync, readdirSync, statSync } from "node:fs";

const at = (path) => new URL(`../${path}`, import.meta.url);
const source = at("lib/command/main.ts");
const built = at("dist/lib/command/main.js");

/** Time of the last change below a folder, ms; what is no TypeScript does not count. */
function lastChange(folder) {
  return readdirSync(folder, { withFileTypes: true }).reduce((latest, entry) => {
    const place = new URL(entry.isDirectory() ? `${entry.name}/` : entry.name, folder);
    if (entry.isDirectory()) return Math.max(latest, lastChange(place));
    return entry.name.endsWith(".ts") ? Math.max(latest, statSync(place).mtimeMs) : latest;
  }, 0);
}

function isCurrent() {
  if (!existsSync(source)) return true;
  if (!existsSync(built)) return false;
  const folders = ["lib/", "sim/", "properties/"].map((folder) => lastChange(at(folder)));
  const settings = ["package.json", "tsconfig.json", "tsconfig.build.json"];
  const changes = [...folders, ...settings.map((file) => statSync(at(file)).mtimeMs)];
  return statSync(built).mtimeMs >= Math.max(...changes);
}

const fromBuild = isCurrent();
if (!fromBuild) (await import("tsx/esm/api")).register();
const { main } = await import((fromBuild ? built : source).href);
process.exitCode = await main(process.argv);
