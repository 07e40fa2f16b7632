import { InvalidInputError } from "../../lib/errors.ts";
import type { Fault } from "../../lib/errors.ts";
import type { BuiltFirmware } from "./compile.ts";
import { readLineTable } from "./line-table.ts";
import { PORT_VERSION } from "./port.ts";
import type { FirmwareSource } from "./port.ts";
import { WasmFirmware } from "./wasm-firmware.ts";
import type { MemoryPaint } from "./wasm-firmware.ts";
import { wasmEngine } from "./wasm-engine.ts";
import type { WasmModule } from "./wasm-engine.ts";

const EXPORTS: Readonly<Record<string, string>> = {
  memory: "memory",
  __heap_base: "global",
  __global_base: "global",
  pv_port_version: "function",
  pv_start: "function",
  pv_rearm: "function",
  pv_samples: "function",
  pv_report: "function",
};

const IMPORTS = ["pv_trace", "pv_budget_spent", "pv_assert_failed", "pv_undefined"];

/** How a firmware is run. */
export interface RunOptions {
  /** With traps and edge budget, or as a product's compiler would build it: it may hang. */
  readonly build?: "trapping" | "plain";
  readonly paint?: MemoryPaint;
}

function compiled(bytes: Uint8Array): WasmModule {
  try {
    return new wasmEngine.Module(bytes);
  } catch (error) {
    const received = (error as Error).message;
    throw new InvalidInputError("firmware", [
      { path: "", quantity: "module", permitted: "valid WebAssembly", received },
    ]);
  }
}

function requireInterface(module: WasmModule): void {
  const faults: Fault[] = [];
  const exported = new Map(wasmEngine.Module.exports(module).map(({ name, kind }) => [name, kind]));
  for (const [name, kind] of Object.entries(EXPORTS)) {
    const received = exported.get(name) ?? "nothing";
    if (received === kind) continue;
    faults.push({ path: name, quantity: "export of the module", permitted: `a ${kind}`, received });
  }
  for (const { module: from, name } of wasmEngine.Module.imports(module)) {
    if (from === "plumbvolt" && IMPORTS.includes(name)) continue;
    const permitted = "one that the port offers";
    faults.push({ path: name, quantity: "import of the module", permitted, received: `${from}` });
  }
  if (faults.length > 0) throw new InvalidInputError("firmware", faults);
}

/** Refuses another major version, and a minor version that the host does not know yet. */
function requirePort(version: number): void {
  const [major, minor] = [version >>> 16, version & 0xffff];
  if (major === PORT_VERSION.major && minor <= PORT_VERSION.minor) return;
  throw new InvalidInputError("firmware", [
    {
      path: "pv_port_version",
      quantity: "version of the port",
      permitted: `${PORT_VERSION.major}.0 to ${PORT_VERSION.major}.${PORT_VERSION.minor}`,
      received: `${major}.${minor}`,
    },
  ]);
}

/**
 * Built firmware that can be opened as often as wanted. Throws InvalidInputError for a module
 * without the port's exports, with foreign imports, or of another version of the port.
 */
export function firmwareSource(
  built: BuiltFirmware,
  { build = "trapping", paint = "zeros" }: RunOptions = {},
): FirmwareSource {
  const { name, hash, target, compiler } = built.manifest;
  const module = compiled(built[build]);
  requireInterface(module);
  const lines = readLineTable(build === "trapping" ? built.lines : "");
  const open = (): WasmFirmware => new WasmFirmware({ module, lines, paint });
  requirePort(open().portVersion());
  const tools = `${compiler.name} ${compiler.version}`;
  const identity = { name, language: "c", hash, target, tools } as const;
  if (build === "plain") return { identity, open };
  let plain: WasmModule | undefined;
  const openPlain = (): WasmFirmware => {
    plain ??= compiled(built.plain);
    return new WasmFirmware({ module: plain, lines: readLineTable(""), paint: "random" });
  };
  return { identity, open, openPlain };
}
