import { InvalidInputError, invariant } from "../../lib/errors.ts";
import type { Fault } from "../../lib/errors.ts";

/** Files of the compiler's own file system, by name. */
export type SourceFiles = Readonly<Record<string, string | Uint8Array>>;

/** A tool of the packaged compiler. */
type Tool = (
  args: string[] | null,
  files: Record<string, string | Uint8Array>,
  options: {
    readonly stdout?: (bytes: Uint8Array | null) => void;
    readonly stderr?: (bytes: Uint8Array | null) => void;
    readonly fetchProgress?: () => void;
  },
) => Promise<Record<string, unknown>>;

interface CompilerPackage {
  readonly version: string;
  readonly commands: Readonly<Record<string, Tool>>;
}

/** What a run of a tool left behind. */
interface ToolRun {
  readonly files: Readonly<Record<string, unknown>>;
  readonly output: string;
}

const PACKAGE = "@yowasp/clang";

/** The module in the file system of the tools. */
const NAME = "firmware.wasm";

/** A remark of the compiler about a line. */
export interface Remark {
  readonly file: string;
  readonly line: number;
  readonly says: string;
}

/** The packaged compiler; absent where the optional package is not installed. */
export interface Compiler {
  readonly version: string;
  /** Compiles and links; throws InvalidInputError with all that the compiler said. */
  build(flags: readonly string[], files: SourceFiles): Promise<Uint8Array>;
  /** Compiles one C file of these to an object; throws as `build` does. */
  object(flags: readonly string[], files: SourceFiles, unit: string): Promise<Uint8Array>;
  /** Links objects; throws as `build` does. */
  link(flags: readonly string[], objects: SourceFiles): Promise<Uint8Array>;
  /** What the compiler remarks on without building anything, with file and line. */
  remarks(flags: readonly string[], files: SourceFiles): Promise<readonly Remark[]>;
  /** Disassembly; its addresses are places in the file. */
  disassemble(wasm: Uint8Array): Promise<string>;
  /** Source lines, as JSON of the symboliser, of places in the content of the code section. */
  symbolise(wasm: Uint8Array, places: readonly number[]): Promise<string>;
}

const DIAGNOSTIC = /^\/?([^:\s]+):(\d+):(?:\d+:)? (?:fatal )?(?:error|warning): (.*)$/;

function remarksIn(text: string): readonly Remark[] {
  return text.split("\n").flatMap((row) => {
    const match = DIAGNOSTIC.exec(row);
    if (match === null) return [];
    const [, file, line, says] = match;
    return [{ file: file!, line: Number(line), says: says! }];
  });
}

/** One fault for each message with a place; the whole text where there is none. */
function faultsOf(text: string): readonly Fault[] {
  const permitted = "accepted by the compiler without an error or warning";
  const remarks = remarksIn(text);
  if (remarks.length > 0)
    return remarks.map(({ file, line, says }) => ({
      path: `${file}:${line}`,
      quantity: "C source",
      permitted,
      received: says,
    }));
  return [{ path: "", quantity: "C sources", permitted, received: text.trim() || "no message" }];
}

async function loadPackage(): Promise<CompilerPackage> {
  try {
    return (await import(PACKAGE)) as CompilerPackage;
  } catch (error) {
    throw new InvalidInputError("compiler", [
      {
        path: PACKAGE,
        quantity: "C compiler package",
        permitted: "installed",
        received: (error as Error).message,
        hint: `npm install --save-dev ${PACKAGE}; firmware that is already built needs none`,
      },
    ]);
  }
}

async function run(
  tool: Tool,
  args: readonly string[],
  files: SourceFiles,
): Promise<ToolRun & { readonly failed: boolean; readonly messages: string }> {
  const output: Uint8Array[] = [];
  const messages: Uint8Array[] = [];
  const collect = (list: Uint8Array[]) => (bytes: Uint8Array | null) => {
    if (bytes !== null) list.push(Uint8Array.from(bytes));
  };
  const text = (list: Uint8Array[]): string => Buffer.concat(list).toString("utf8");
  const options = { stdout: collect(output), stderr: collect(messages) };
  // Without arguments a tool loads itself alone. Loaded on the way of a first order, it would tell
  // of that on standard output, in the middle of a document.
  await tool(null, {}, { fetchProgress: () => undefined });
  try {
    const left = await tool([...args], { ...files }, options);
    return { files: left, output: text(output), messages: text(messages), failed: false };
  } catch (error) {
    // The tools end with an exception that carries their exit code; anything else is passed on.
    if (!(error instanceof Error && "code" in error)) throw error;
    return { files: {}, output: text(output), messages: text(messages), failed: true };
  }
}

/** Loads the compiler; throws InvalidInputError with what to install where it is absent. */
export async function loadCompiler(): Promise<Compiler> {
  const { version, commands } = await loadPackage();
  const { clang, objdump, symbolizer } = commands;
  invariant(
    clang !== undefined && objdump !== undefined && symbolizer !== undefined,
    "the package has its tools",
  );
  const made = async (
    args: readonly string[],
    files: SourceFiles,
    name: string,
  ): Promise<Uint8Array> => {
    const result = await run(clang, [...args, "-o", name], files);
    if (result.failed) throw new InvalidInputError("firmware", faultsOf(result.messages));
    const file = result.files[name];
    invariant(file instanceof Uint8Array, `the compiler wrote ${name}`);
    return file;
  };
  return {
    version,
    build(flags, files) {
      const units = Object.keys(files).filter((name) => name.endsWith(".c"));
      return made([...flags, ...units], files, NAME);
    },
    object: (flags, files, unit) => made([...flags, "-c", unit], files, `${unit}.o`),
    link: (flags, objects) => made([...flags, ...Object.keys(objects)], objects, NAME),
    async remarks(flags, files) {
      const units = Object.keys(files).filter((name) => name.endsWith(".c"));
      const result = await run(clang, [...flags, "-fsyntax-only", ...units], files);
      const remarks = remarksIn(result.messages);
      if (result.failed && remarks.length === 0)
        throw new InvalidInputError("firmware", faultsOf(result.messages));
      return remarks;
    },
    async disassemble(wasm) {
      const args = ["-d", "--no-show-raw-insn", NAME];
      const result = await run(objdump, args, { [NAME]: wasm });
      invariant(!result.failed, `the module can be disassembled: ${result.messages}`);
      return result.output;
    },
    async symbolise(wasm, places) {
      const addresses = places.map((place) => `0x${place.toString(16)}`);
      const args = [`--obj=${NAME}`, "--output-style=JSON", ...addresses];
      const result = await run(symbolizer, args, { [NAME]: wasm });
      invariant(!result.failed, `the debug information can be read: ${result.messages}`);
      return result.output;
    },
  };
}
