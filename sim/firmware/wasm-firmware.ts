import { InvariantBrokenError, invariant } from "../../lib/errors.ts";
import { guard, guardsHold, MOST_BLOCK_SAMPLES, placeBuffers } from "./port-buffers.ts";
import type { PortBuffer, PortBuffers } from "./port-buffers.ts";
import { blockWords, configurationWords, reportOf, WORDS } from "./port-memory.ts";
import { MOST_TRACE_ENTRIES, REFUSALS } from "./port.ts";
import type {
  Action,
  BlockOutcome,
  Configuration,
  Firmware,
  FirmwareFault,
  Refusal,
  ReportOutcome,
  SampleBlock,
  StartOutcome,
  TraceEntry,
} from "./port.ts";
import type { LineTable } from "./line-table.ts";
import { faultOf, FirmwareStop } from "./wasm-faults.ts";
import { wasmEngine } from "./wasm-engine.ts";
import type { FirmwareExports, WasmModule } from "./wasm-engine.ts";

/** Edges of the control flow that one call may take, and those for each of its samples. */
const EDGES_PER_CALL = 200_000;
const EDGES_PER_SAMPLE = 5_000;

const PAGE = 65_536;

/** What memory holds before a start, beside the data that the module itself defines. */
export type MemoryPaint = "zeros" | "ones" | "random";

/** A module and how it is run. */
export interface WasmFirmwareParts {
  readonly module: WasmModule;
  readonly lines: LineTable;
  readonly paint: MemoryPaint;
}

/** Words of a fixed sequence, the same on every engine: noise to fill memory with. */
function paintMemory(words: Int32Array, paint: MemoryPaint): void {
  if (paint !== "random") {
    words.fill(paint === "zeros" ? 0 : -1);
    return;
  }
  let word = 0x9e37_79b9;
  for (let index = 0; index < words.length; index++) {
    word ^= word << 13;
    word ^= word >>> 17;
    word ^= word << 5;
    words[index] = word;
  }
}

function actionOf(kind: number, argument: number): Action | undefined | string {
  switch (kind) {
    case 0:
      return undefined;
    case 1:
      return { kind: "openContact" };
    case 2:
      return { kind: "selectInput", input: argument };
    case 3:
      return { kind: "changeRate", ticksPerSample: argument };
    case 4:
      return { kind: "endOfMeasurement" };
    default:
      return `an action numbered ${kind}`;
  }
}

function broken(reason: string): FirmwareFault {
  return { kind: "contractBroken", reason };
}
