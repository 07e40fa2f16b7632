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

/** One instance of a module with the buffers of the port behind its own memory. */
class Instance {
  readonly exports: FirmwareExports;
  readonly buffers: PortBuffers;
  readonly words: Int32Array;
  private readonly image: Uint8Array;
  private readonly painted: Int32Array;
  private readonly imageStart: number;

  constructor(
    { module, paint }: WasmFirmwareParts,
    trace: (instant: number, lane: number, value: number) => void,
  ) {
    const stop = (reason: FirmwareStop["reason"]) => () => {
      throw new FirmwareStop(reason);
    };
    const plumbvolt = {
      pv_trace: trace,
      pv_budget_spent: stop("budget"),
      pv_assert_failed: stop("assertion"),
      pv_undefined: (reason: number) => stop(reason)(),
    } as Readonly<Record<string, (...words: number[]) => void>>;
    this.exports = new wasmEngine.Instance(module, { plumbvolt }).exports;
    const { memory, __heap_base, __global_base } = this.exports;
    // Behind the firmware's data, on a boundary of eight bytes.
    this.buffers = placeBuffers(Math.ceil(__heap_base.value / 8) * 2);
    const missing = this.buffers.end * 4 - memory.buffer.byteLength;
    if (missing > 0) memory.grow(Math.ceil(missing / PAGE));
    this.exports.pv_set_budget?.(EDGES_PER_CALL);
    this.exports._initialize?.();
    this.words = new Int32Array(memory.buffer);
    this.imageStart = __global_base.value;
    this.image = new Uint8Array(memory.buffer).slice(this.imageStart, __heap_base.value);
    this.painted = new Int32Array(this.words.length);
    paintMemory(this.painted, paint);
  }

  /** Memory as after power-up. */
  reset(): void {
    this.words.set(this.painted);
    new Uint8Array(this.words.buffer).set(this.image, this.imageStart);
  }
}

/** Words of an output before a call: the port has them written in full. */
const UNWRITTEN = 0x3d9f_60b7;

/** What a call hands over and may not change, and what it may write. */
interface CallParts {
  readonly inputs: readonly (readonly [PortBuffer, Int32Array])[];
  readonly output?: PortBuffer;
  readonly samples: number;
}

/** C firmware in WebAssembly behind the port. */
export class WasmFirmware implements Firmware {
  private readonly parts: WasmFirmwareParts;
  private instance: Instance;
  private entries: TraceEntry[] = [];
  private configuration: Configuration | undefined;
  private isSpoilt = false;

  constructor(parts: WasmFirmwareParts) {
    this.parts = parts;
    this.instance = this.newInstance();
  }

  private newInstance(): Instance {
    return new Instance(this.parts, (instant, lane, value) => {
      if (this.entries.length < MOST_TRACE_ENTRIES)
        this.entries.push({ instant: instant >>> 0, lane: lane >>> 0, value });
    });
  }

  /** Major and minor version of the port that the firmware declares, 16 bits each. */
  portVersion(): number {
    this.instance.exports.pv_set_budget?.(EDGES_PER_CALL);
    return this.instance.exports.pv_port_version() >>> 0;
  }

  get trace(): readonly TraceEntry[] {
    return this.entries;
  }

  /** Calls firmware with buffers between guards; the answer or how it went wrong. */
  private call(
    { inputs, output, samples }: CallParts,
    run: (exports: FirmwareExports) => number,
  ): number | FirmwareFault {
    const { words, exports } = this.instance;
    for (const [buffer, content] of inputs) {
      words.set(content, buffer.start);
      guard(words, buffer, content.length);
    }
    if (output !== undefined) {
      words.fill(UNWRITTEN, output.start, output.start + output.words);
      guard(words, output, output.words);
    }
    const budget = EDGES_PER_CALL + EDGES_PER_SAMPLE * samples;
    try {
      exports.pv_set_budget?.(budget);
      const answer = run(exports) >>> 0;
      return this.damage(inputs, output) ?? answer;
    } catch (error) {
      return faultOf(error, this.parts.lines, budget);
    }
  }

  private damage(
    inputs: CallParts["inputs"],
    output: PortBuffer | undefined,
  ): FirmwareFault | undefined {
    const { words } = this.instance;
    if (output !== undefined && !guardsHold(words, output, output.words))
      return { kind: "guardBroken", buffer: output.name };
    for (const [buffer, content] of inputs) {
      if (!guardsHold(words, buffer, content.length))
        return { kind: "guardBroken", buffer: buffer.name };
      for (let index = 0; index < content.length; index++)
        if (words[buffer.start + index] !== content[index])
          return { kind: "inputChanged", buffer: buffer.name };
    }
    return undefined;
  }

  private spoilt<T>(fault: T): T {
    this.isSpoilt = true;
    return fault;
  }

  private requireRunning(): Configuration {
    if (this.configuration === undefined || this.isSpoilt)
      throw new InvariantBrokenError("firmware takes calls between a start and its first fault");
    return this.configuration;
  }

  private begin(configuration: Configuration, entry: "pv_start" | "pv_rearm"): StartOutcome {
    this.entries = [];
    this.configuration = undefined;
    const { buffers } = this.instance;
    const inputs = [[buffers.configuration, configurationWords(configuration)]] as const;
    const answer = this.call({ inputs, samples: 0 }, (exports) =>
      exports[entry](buffers.configuration.start * 4),
    );
    if (typeof answer !== "number") return this.spoilt(answer);
    if (answer >= REFUSALS.length) return this.spoilt(broken(`a refusal numbered ${answer}`));
    if (answer > 0) return { kind: "refused", reason: REFUSALS[answer] as Refusal, code: answer };
    this.configuration = configuration;
    return { kind: "started" };
  }

  start(configuration: Configuration): StartOutcome {
    // A fault may have left globals of the module, as its stack pointer, anywhere.
    if (this.isSpoilt) this.instance = this.newInstance();
    this.isSpoilt = false;
    this.instance.reset();
    return this.begin(configuration, "pv_start");
  }

  rearm(configuration: Configuration): StartOutcome {
    invariant(!this.isSpoilt, "firmware is re-armed before its first fault");
    return this.begin(configuration, "pv_rearm");
  }

  samples(block: SampleBlock): BlockOutcome {
    this.requireRunning();
    const length = block.codes[0]?.length ?? 0;
    invariant(
      length > 0 && block.codes.every((codes) => codes.length === length),
      "a block has one sample or more, of each channel as many",
    );
    const count = Math.min(length, MOST_BLOCK_SAMPLES);
    const { buffers, words } = this.instance;
    const places = block.codes.map((_, channel) => buffers.codes[channel]!.start * 4);
    const inputs = [
      [buffers.block, Int32Array.from(blockWords(block, count, places))] as const,
      ...block.codes.map(
        (codes, channel) => [buffers.codes[channel]!, codes.subarray(0, count)] as const,
      ),
    ];
    const used = this.call({ inputs, output: buffers.action, samples: count }, (exports) =>
      exports.pv_samples(buffers.block.start * 4, buffers.action.start * 4),
    );
    if (typeof used !== "number") return this.spoilt(used);
    const { start } = buffers.action;
    if (words[start + 1] === UNWRITTEN)
      return this.spoilt(broken("an action whose argument is not written"));
    const action = actionOf(words[start]! >>> 0, words[start + 1]! >>> 0);
    if (typeof action === "string") return this.spoilt(broken(action));
    if (used < 1 || used > count)
      return this.spoilt(broken(`${used} samples taken of ${count} given`));
    if (action !== undefined) return { kind: "used", used, action };
    if (used < count)
      return this.spoilt(broken(`${used} samples taken of ${count} without an action`));
    return count < length ? this.rest(block, count) : { kind: "used", used };
  }

  /** The rest of a block longer than the buffers. */
  private rest(block: SampleBlock, taken: number): BlockOutcome {
    const { ticksPerSample } = this.requireRunning();
    const outcome = this.samples({
      timeStamp: (block.timeStamp + taken * ticksPerSample) % 2 ** 32,
      missed: 0,
      saturated: block.saturated,
      codes: block.codes.map((codes) => codes.subarray(taken)),
    });
    return outcome.kind === "used" ? { ...outcome, used: outcome.used + taken } : outcome;
  }

  report(): ReportOutcome {
    const configuration = this.requireRunning();
    const { buffers, words } = this.instance;
    const { report } = buffers;
    const answer = this.call({ inputs: [], output: report, samples: 0 }, (exports) => {
      exports.pv_report(report.start * 4);
      return 0;
    });
    if (typeof answer !== "number") return this.spoilt(answer);
    const found = reportOf(words.slice(report.start, report.start + WORDS.report), configuration);
    if (typeof found === "string") return this.spoilt(broken(found));
    return { kind: "report", report: found };
  }
}
