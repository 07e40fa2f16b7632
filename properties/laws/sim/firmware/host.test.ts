// Falsified by: a firmware that goes wrong and is taken for a good one, or a trap whose C line is
// not the one that caused it; memory of an earlier run that is seen in the next.
import { describe, expect, test } from "vitest";
import { readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { InvariantBrokenError } from "../../../../lib/errors.ts";
import { loadFirmware } from "../../../../sim/firmware/firmware-files.ts";
import { firmwareSource } from "../../../../sim/firmware/firmware-source.ts";
import { guardedFirmware } from "../../../../sim/firmware/guarded-firmware.ts";
import { PORT_VERSION } from "../../../../sim/firmware/port.ts";
import type { BlockOutcome, Configuration, Firmware } from "../../../../sim/firmware/port.ts";

const FOLDER = fileURLToPath(new URL("../../../support/harness-firmware/", import.meta.url));
const BUILT = loadFirmware(`${FOLDER}build/harness.firmware.json`);
const SOURCE = firmwareSource(BUILT);
const LINES = readFileSync(`${FOLDER}harness.c`, "utf8").split("\n");

function configured(behaviour: number): Configuration {
  return {
    port: PORT_VERSION,
    tickRate: 1_000_000,
    ticksPerSample: 100,
    codeBits: 10,
    trustedCodes: [1, 1022],
    role: "single",
    channels: [{ zeroCode256: 131_072, multiplier: 1024, addend: -524_288 }],
    fractionBits: 10,
    rounding: "nearest",
    resultUnit: 1000,
    triggerLevel: behaviour,
    lines: [],
    moments: [1_000_000],
    window: 20_000,
    windowPosition: "centred",
    inputLag: 0,
    mode: "watch",
  };
}

function handIn(behaviour: number, codes = [5, 6, 7]): BlockOutcome {
  const firmware = SOURCE.open();
  expect(firmware.start(configured(behaviour))).toEqual({ kind: "started" });
  return firmware.samples({
    timeStamp: 0,
    missed: 0,
    saturated: 0,
    codes: [Int32Array.from(codes)],
  });
}

/** Number of the line that holds a text. */
function lineWith(text: string): number {
  return LINES.findIndex((line) => line.includes(text)) + 1;
}

describe("firmware in TypeScript", () => {
  const throwing = (error: unknown): Firmware => {
    const fail = (): never => {
      throw error;
    };
    return guardedFirmware({ start: fail, rearm: fail, samples: fail, report: fail, trace: [] });
  };

  test("what it throws is a trap of its own, in every call", () => {
    const firmware = throwing(new TypeError("no period yet"));
    const trap = { kind: "trap", reason: "the firmware threw TypeError: no period yet" };
    expect(firmware.start(configured(0))).toEqual(trap);
    expect(firmware.rearm(configured(0))).toEqual(trap);
    expect(firmware.report()).toEqual(trap);
    const block = { timeStamp: 0, missed: 0, saturated: 0, codes: [Int32Array.of(1)] };
    expect(firmware.samples(block)).toEqual(trap);
  });

  test("a fault of the package is not taken for one of the firmware", () => {
    const firmware = throwing(new InvariantBrokenError("ours"));
    expect(() => firmware.report()).toThrow(InvariantBrokenError);
  });
});

describe("host of C firmware", () => {
  test("samples that are taken are counted", () => {
    expect(handIn(0)).toEqual({ kind: "used", used: 3 });
  });

  test("an endless loop spends the budget at its line", () => {
    const outcome = handIn(2);
    expect(outcome.kind).toBe("budgetSpent");
    const at = outcome.kind === "budgetSpent" ? outcome.at : undefined;
    expect(at?.file).toBe("harness.c");
    expect([lineWith("for (;;)"), lineWith("sink++")]).toContain(at?.line);
  });

  test("a signed overflow is told with its line and reason", () => {
    expect(handIn(3)).toEqual({
      kind: "trap",
      reason: "overflow of a signed addition",
      at: { file: "harness.c", line: lineWith("sink = big + codes[0]") },
    });
  });

  test("a write behind a buffer breaks its guard", () => {
    expect(handIn(4)).toEqual({ kind: "guardBroken", buffer: "codes of channel 0" });
  });

  test("a changed input is seen", () => {
    expect(handIn(5)).toEqual({ kind: "inputChanged", buffer: "codes of channel 0" });
  });

  test("more samples taken than given break the contract", () => {
    expect(handIn(6).kind).toBe("contractBroken");
  });

  test("a failed assertion is told with its line", () => {
    const at = { file: "harness.c", line: lineWith("PV_ASSERT(codes") };
    expect(handIn(7)).toEqual({ kind: "trap", reason: "assertion failed", at });
  });

  test("an access outside memory is told with its line", () => {
    const outcome = handIn(8);
    expect(outcome).toMatchObject({ kind: "trap", at: { line: lineWith("0x7fffff00u") } });
  });

  test("an action, phase or refusal that the port does not define breaks the contract", () => {
    expect(handIn(9).kind).toBe("contractBroken");
    const firmware = SOURCE.open();
    firmware.start(configured(10));
    expect(firmware.report().kind).toBe("contractBroken");
    expect(SOURCE.open().start(configured(99))).toEqual({
      kind: "refused",
      reason: "other",
      code: 11,
    });
  });

  test.each([
    [11, "an instant of the candidate, which is not known"],
    [13, "an end of a crossing that is not known"],
    [14, "a reading not taken"],
  ])("what a report does not know is zero: %i", (behaviour, reason) => {
    const firmware = SOURCE.open();
    firmware.start(configured(behaviour));
    const codes = [Int32Array.of(5, 6)];
    firmware.samples({ timeStamp: 0, missed: 0, saturated: 0, codes });
    const outcome = firmware.report();
    expect(outcome).toEqual({
      kind: "contractBroken",
      reason: expect.stringContaining(reason) as string,
    });
  });

  test("an action has to be written in full", () => {
    expect(handIn(12)).toMatchObject({
      kind: "contractBroken",
      reason: expect.stringContaining("argument is not written") as string,
    });
  });

  test("all flags of a firmware that always flags are told", () => {
    const firmware = SOURCE.open();
    firmware.start(configured(1));
    const outcome = firmware.report();
    expect(outcome.kind === "report" && outcome.report.flags.size).toBe(6);
  });

  test("a start after a fault, or after a run, finds memory as after power-up", () => {
    const firmware = SOURCE.open();
    const block = { timeStamp: 0, missed: 0, saturated: 0, codes: [Int32Array.of(3, 4)] };
    const openings = [0, 3, 0].map((behaviour) => {
      firmware.start(configured(behaviour));
      if (firmware.samples(block).kind !== "used") return "fault";
      const outcome = firmware.report();
      return outcome.kind === "report" ? outcome.report.opening : outcome.kind;
    });
    expect(openings).toEqual([2, "fault", 2]);
  });

  test("a block longer than the buffers is taken whole", () => {
    expect(
      handIn(
        0,
        Array.from({ length: 10_000 }, () => 1),
      ),
    ).toEqual({
      kind: "used",
      used: 10_000,
    });
  });

  test("a module without the port's exports is refused", () => {
    const empty = Uint8Array.of(0, 97, 115, 109, 1, 0, 0, 0);
    expect(() => firmwareSource({ ...BUILT, trapping: empty })).toThrow(/pv_samples/);
    expect(() => firmwareSource({ ...BUILT, trapping: Uint8Array.of(1) })).toThrow(
      /valid WebAssembly/,
    );
  });
});
