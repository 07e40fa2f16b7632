import { dirname, join } from "node:path";
import type { Command } from "commander";
import { Option } from "commander";
import type { FirmwareSources } from "../../sim/firmware/compile.ts";
import { compileCached } from "../../sim/firmware/firmware-cache.ts";
import type { DeclaredPromises } from "../../sim/firmware/declared-promises.ts";
import {
  readSources,
  sourcesOfManifest,
  writeFirmware,
} from "../../sim/firmware/firmware-files.ts";
import { firmwareSource } from "../../sim/firmware/firmware-source.ts";
import { InvalidInputError } from "../errors.ts";
import { printableText } from "../report/printable-text.ts";
import { textTable, wrappedText } from "../report/text-table.ts";
import type { TextColumn } from "../report/text-table.ts";
import { loadPromises } from "./load-promises.ts";
import { targetLines } from "./target-text.ts";
import type { Terminal } from "./terminal.ts";

interface CompileFlags {
  readonly out?: string;
  readonly promises?: string;
  readonly int: string;
  readonly char: "signed" | "unsigned";
}

type Row = readonly [string, string];

const COLUMNS: readonly TextColumn<Row>[] = [
  { head: ["", "firmware"], align: "left", cell: ([name]) => name },
  { head: ["", ""], align: "left", cell: ([, value]) => value },
];

function sourcesOf(files: readonly string[], flags: CompileFlags): FirmwareSources {
  const sources = codeOf(files, flags);
  return flags.promises === undefined
    ? sources
    : { ...sources, promises: loadPromises(flags.promises) };
}

function codeOf(files: readonly string[], flags: CompileFlags): FirmwareSources {
  const [first] = files;
  if (first?.endsWith(".json") !== true) {
    const target = { int: flags.int === "16" ? 16 : 32, char: flags.char } as const;
    return readSources(files, target);
  }
  if (files.length === 1) return sourcesOfManifest(first);
  throw new InvalidInputError("options", [
    {
      path: "<files>",
      quantity: "files to compile",
      permitted: "C files, or one manifest",
      received: `${files.length} files`,
    },
  ]);
}

function promisesText(declared: DeclaredPromises | undefined): string {
  if (declared === undefined) return "none declared: claims use the usual ones";
  const names = Object.keys(declared);
  return `declared: ${names.join(", ") || "none"}; the usual ones for the rest`;
}

function folderFor(files: readonly string[], out: string | undefined): string {
  if (out !== undefined) return out;
  const folder = dirname(files[0]!);
  return files[0]!.endsWith(".json") ? folder : join(folder, "build");
}

/** Adds `compile` to the program: C firmware to WebAssembly with a manifest beside it. */
export function addCompileCommand(program: Command, terminal: Terminal): void {
  program
    .command("compile")
    .description("compile C firmware for the simulation, with a manifest that needs no compiler")
    .argument("<files...>", "C files (headers beside them are found), or the manifest of a build")
    .option("--out <folder>", "folder of the build; `build` beside the first file where absent")
    .option(
      "--promises <file>",
      "JSON document of what the firmware promises, kept in the manifest",
    )
    .addOption(
      new Option("--int <bits>", "int of the product's compiler, recorded")
        .choices(["16", "32"])
        .default("32"),
    )
    .addOption(
      new Option("--char <sign>", "plain char of the product's compiler")
        .choices(["signed", "unsigned"])
        .default("signed"),
    )
    .action(async (files: readonly string[], flags: CompileFlags) => {
      const built = await compileCached(sourcesOf(files, flags));
      firmwareSource(built);
      const path = writeFirmware(folderFor(files, flags.out), built);
      const { manifest, trapping, plain } = built;
      const rows: Row[] = [
        ["name", manifest.name],
        ["port", manifest.port],
        ["compiler", `${manifest.compiler.name} ${manifest.compiler.version}`],
        ["target", `int of ${manifest.target.int} bits, ${manifest.target.char} char`],
        ["trapping build", `${trapping.length} bytes`],
        ["plain build", `${plain.length} bytes`],
        ["promises", promisesText(manifest.promises)],
        ["hash", manifest.hash.slice(0, 16)],
      ];
      terminal.print(textTable(COLUMNS, rows, terminal.width).join("\n"));
      const { width } = terminal;
      for (const line of targetLines(manifest))
        terminal.print(wrappedText(printableText(line), { width, indent: 2 }).join("\n"));
      terminal.print(`written: ${path}`);
    });
}
