import { importsOf, resolvedImport } from "./source-files.ts";
import type { SourceFiles } from "./source-files.ts";

/** Folders of lib in their order: each may use those before it and its own. */
export const LIB_ORDER = [
  "errors",
  "interval",
  "quantity",
  "expression",
  "random",
  "statistics",
  "circuit",
  "drawing",
  "converter",
  "design",
  "chain",
  "guarantee",
  "uncertainty",
  "decision",
  "sizing",
  "report",
  "index",
] as const;

/**
 * Parts of lib that the simulation may use: what owns the design, what every picture needs, and no
 * second model of the chain.
 */
const FOR_SIM = new Set(["errors", "quantity", "random", "statistics", "drawing", "design"]);

/** Parts of the properties that ship: what a campaign needs. Only the command may use them. */
const SHIPPED_PROPERTIES = /^properties\/(?:(?:arbitraries|claims|campaign|faults)\/|index\.ts$)/;

/** Part of lib a path belongs to: its folder, or the file where it lies in lib itself. */
function partOfLib(path: string): string | undefined {
  return /^lib\/([^/.]+)/.exec(path)?.[1];
}

function reasonAgainst(from: string, to: string): string | undefined {
  if (!/^(?:lib|sim)\//.test(from)) return undefined;
  const target = partOfLib(to);
  const source = partOfLib(from);
  if (target === "command" && source !== "command") return "nothing imports lib/command";
  const isShipped = SHIPPED_PROPERTIES.test(to) && source === "command";
  if (to.startsWith("properties/") && !isShipped) return "what ships imports no properties";
  if (source === "command") return undefined;
  if (source !== undefined) {
    if (!to.startsWith("lib/")) return "lib uses lib only";
    const [own, other] = [source, target].map((part) =>
      (LIB_ORDER as readonly (string | undefined)[]).indexOf(part),
    ) as [number, number];
    if (own < 0 || other < 0) return "every folder of lib has a place in the order";
    return other > own ? `lib/${source} stands before lib/${target}` : undefined;
  }
  if (from.startsWith("sim/") && target !== undefined && !FOR_SIM.has(target))
    return `the simulation does not use lib/${target}`;
  return undefined;
}

/** Imports that run against the direction, one sentence each. */
export function wrongImports(files: SourceFiles): string[] {
  return [...files].flatMap(([path, text]) =>
    importsOf(text).flatMap((specifier) => {
      const to = resolvedImport(path, specifier);
      if (to === undefined) return [];
      const reason = reasonAgainst(path, to);
      return reason === undefined ? [] : [`${path} imports ${to}: ${reason}`];
    }),
  );
}

/** Relative imports whose file does not exist, or that leave out its ending. */
export function danglingImports(files: SourceFiles): string[] {
  return [...files].flatMap(([path, text]) =>
    importsOf(text).flatMap((specifier) => {
      const to = resolvedImport(path, specifier);
      const known = to === undefined || files.has(to) || !to.endsWith(".ts");
      const ended = to === undefined || /\.(?:ts|json)$/.test(to);
      return known && ended ? [] : [`${path} imports ${specifier}`];
    }),
  );
}

/** Circles of files that import one another, each named once by its first file. */
export function importCircles(files: SourceFiles): string[] {
  const circles: string[] = [];
  const done = new Set<string>();
  const path: string[] = [];
  const visit = (file: string): void => {
    const at = path.indexOf(file);
    if (at >= 0) {
      circles.push([...path.slice(at), file].join(" -> "));
      return;
    }
    if (done.has(file)) return;
    path.push(file);
    for (const specifier of importsOf(files.get(file) ?? "")) {
      const to = resolvedImport(file, specifier);
      if (to !== undefined && files.has(to)) visit(to);
    }
    path.pop();
    done.add(file);
  };
  for (const file of files.keys()) visit(file);
  return circles;
}
