/** A compiled module. */
export interface WasmModule {
  readonly [Symbol.toStringTag]?: string;
}

interface WasmMemory {
  readonly buffer: ArrayBuffer;
  grow(pages: number): number;
}

/** What a firmware's module exports. */
export interface FirmwareExports {
  readonly memory: WasmMemory;
  readonly __heap_base: { readonly value: number };
  readonly __global_base: { readonly value: number };
  readonly _initialize?: () => void;
  readonly pv_set_budget?: (edges: number) => void;
  readonly pv_port_version: () => number;
  readonly pv_start: (configuration: number) => number;
  readonly pv_rearm: (configuration: number) => number;
  readonly pv_samples: (block: number, action: number) => number;
  readonly pv_report: (report: number) => void;
}

interface Listed {
  readonly name: string;
  readonly kind: string;
  readonly module?: string;
}

type HostFunction = (...words: number[]) => void;

/** The part of the engine's WebAssembly that is used here; the standard library has no types. */
export const { WebAssembly: wasmEngine } = globalThis as unknown as {
  readonly WebAssembly: {
    readonly Module: {
      new (bytes: Uint8Array): WasmModule;
      exports(module: WasmModule): readonly Listed[];
      imports(module: WasmModule): readonly Listed[];
    };
    readonly Instance: new (
      module: WasmModule,
      imports: Readonly<Record<string, Readonly<Record<string, HostFunction>>>>,
    ) => { readonly exports: FirmwareExports };
    readonly RuntimeError: new (message?: string) => Error;
    readonly CompileError: new (message?: string) => Error;
  };
};
