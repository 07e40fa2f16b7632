import { HOST_RUNTIME } from "./line-table.ts";
import type { LineTable } from "./line-table.ts";
import type { FirmwareFault, SourceLocation } from "./port.ts";
import { UNDEFINED_REASONS } from "./undefined-reasons.ts";
import { wasmEngine } from "./wasm-engine.ts";

/** Thrown by the host's functions to end a call into firmware. */
export class FirmwareStop extends Error {
  override name = "FirmwareStop";
  readonly reason: "budget" | "assertion" | number;

  constructor(reason: "budget" | "assertion" | number) {
    super("a call into firmware was stopped");
    this.reason = reason;
  }
}

const FRAME = /at (\S+) \(?wasm:\/\/[^)]*:0x([0-9a-f]+)/g;

/** Line of the innermost frame that is the firmware's own. */
function locationOf(error: Error, lines: LineTable): SourceLocation | undefined {
  for (const [, , place] of (error.stack ?? "").matchAll(FRAME)) {
    const location = lines.at(Number.parseInt(place!, 16));
    if (location !== undefined && location.file !== HOST_RUNTIME) return location;
  }
  return undefined;
}

function reasonOf(error: Error): string {
  if (error instanceof FirmwareStop) {
    if (error.reason === "assertion") return "assertion failed";
    return UNDEFINED_REASONS[error.reason as number] ?? "undefined behaviour";
  }
  if (error instanceof RangeError) return "calls nested too deeply";
  return error.message;
}

/** What a stopped call means; rethrows what did not come from firmware. */
export function faultOf(error: unknown, lines: LineTable, budget: number): FirmwareFault {
  const isOurs =
    error instanceof FirmwareStop ||
    error instanceof RangeError ||
    error instanceof wasmEngine.RuntimeError;
  if (!isOurs) throw error;
  const location = locationOf(error, lines);
  const at = location === undefined ? {} : { at: location };
  if (error instanceof FirmwareStop && error.reason === "budget")
    return { kind: "budgetSpent", budget, ...at };
  return { kind: "trap", reason: reasonOf(error), ...at };
}
