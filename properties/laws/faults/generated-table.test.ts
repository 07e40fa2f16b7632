// Falsified by: a generated fault that nothing notices and that lets the table hold without a
// written reason; a reason that is stale and kept silent; a change that changes nothing, or that the
// compiler refuses, and is counted as a survivor.
import { describe, expect, it } from "vitest";
import type { FaultBlockResult } from "../../faults/fault-block.ts";
import { faultTable, withGenerated } from "../../faults/fault-table.ts";
import { generatedFaults } from "../../faults/generated-faults.ts";
import type { GeneratedFault } from "../../faults/generated-faults.ts";
import { generatedTable } from "../../faults/generated-table.ts";
import type { GeneratedBuild, GeneratedParts } from "../../faults/generated-table.ts";
import type { Survivor } from "../../faults/survivors.ts";

const SOURCE = {
  file: "tiny.c",
  text: "int sum(int a, int b)\n{\n    int c = a + b;\n    c = c - 1;\n    return c * 2;\n}\n",
};
const { lines } = generatedFaults([SOURCE]);
const [first, second, third] = lines.map(([one]) => one!);

const built = ({ id }: GeneratedFault): GeneratedBuild => ({ id, path: `${id}.wasm` });
const reasonFor = ({ file, within, text, becomes }: GeneratedFault): Survivor => ({
  file,
  within,
  line: text.replaceAll(" ", "  "),
  becomes,
  because: "It is within what is promised.",
});

/** A block in which one claim noticed a fault. */
function noticing({ id }: GeneratedFault): FaultBlockResult {
  const failure = { draw: {}, margin: -1, because: "wrong", at: null };
  return {
    key: { claims: ["voltage"], block: 0, runs: 1 },
    unplayable: {},
    cells: [{ fault: id, claim: "voltage", judged: 1, failure }],
  };
}

function tableOf(parts: Partial<GeneratedParts>) {
  const usual = { lines, builds: lines.map(([one]) => built(one!)), results: [], survivors: [] };
  const generated = generatedTable({ ...usual, isWhole: true, ...parts });
  const whole = withGenerated(faultTable([], [], { results: [], complete: true }), generated);
  return { generated, whole };
}

describe("a table of generated faults", () => {
  it("is about every line that does something", () => {
    expect(lines.map(([one]) => one!.line)).toEqual([3, 4, 5]);
  });

  it("does not hold with a survivor, and names its place and its change", () => {
    const { whole } = tableOf({ results: [noticing(first!), noticing(second!)] });
    expect(whole.verdict).toBe("doesNotHold");
    expect(whole.reasons).toHaveLength(1);
    expect(whole.reasons[0]).toMatch(/^nothing notices tiny\.c:5: .*no reason is written$/);
  });

  it("holds where what survives has a written reason, whatever blanks are in its line", () => {
    const results = [noticing(first!), noticing(second!)];
    const { generated, whole } = tableOf({ results, survivors: [reasonFor(third!)] });
    expect(whole.verdict).toBe("holds");
    expect(generated.faults.map(({ outcome }) => outcome)).toEqual([
      "caught",
      "caught",
      "accepted",
    ]);
    expect(generated.stale).toEqual([]);
  });

  it("tells reasons that are for nothing, once all was asked for", () => {
    const elsewhere = { ...reasonFor(third!), within: "another" };
    const survivors = [reasonFor(first!), reasonFor(second!), elsewhere];
    const parts = {
      builds: [built(first!), { id: second!.id, equivalent: true as const }, built(third!)],
      results: [noticing(first!)],
      survivors,
    };
    expect(tableOf(parts).generated.stale.map(({ why }) => why)).toEqual([
      "it is noticed",
      "it changes nothing",
      "no such fault",
    ]);
    expect(tableOf({ ...parts, isWhole: false }).generated.stale).toEqual([]);
  });

  it("counts no survivor where the module is the same, refused by the host or by the compiler", () => {
    const builds: GeneratedBuild[] = [
      { id: first!.id, equivalent: true },
      { id: second!.id, host: "no memory" },
      { id: third!.id, refused: "tiny.c:5: error" },
    ];
    const { generated, whole } = tableOf({ builds });
    expect(whole.verdict).toBe("holds");
    expect(generated.faults.map(({ outcome }) => outcome)).toEqual(["equivalent", "caught"]);
    expect(generated.refused).toBe(1);
    expect(generated.notBuilt).toEqual([
      { file: "tiny.c", line: 3, because: "every change makes the same module" },
      { file: "tiny.c", line: 5, because: "tiny.c:5: error" },
    ]);
  });
});
