// Falsified by a fault whose text is not in the example firmware exactly once, by one that changes
// nothing, by two of one name, and by a replacement that is made in another file.
import { readFileSync, readdirSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { InvalidInputError } from "../../../lib/errors.ts";
import { readFirmwareFaults, withFault } from "../../faults/firmware-fault.ts";
import { EXAMPLE_FAULTS } from "../../support/example-faults.ts";

const FOLDER = new URL("../../../examples/21-trigger-firmware/", import.meta.url);
const SOURCES = readdirSync(FOLDER)
  .filter((file) => /\.[ch]$/.test(file))
  .map((file) => ({
    file: `firmware/${file}`,
    text: readFileSync(new URL(file, FOLDER), "utf8"),
  }));

describe("seeded faults of the example firmware", () => {
  it("are thirty or more, each with a name of its own and a claim that is expected to fail", () => {
    const names = new Set(EXAMPLE_FAULTS.map(({ id }) => id));
    expect(names.size).toBe(EXAMPLE_FAULTS.length);
    expect(names.size).toBeGreaterThanOrEqual(30);
    for (const { caughtBy } of EXAMPLE_FAULTS) expect(caughtBy.length).toBeGreaterThan(0);
  });

  it.each(EXAMPLE_FAULTS)("$id changes the files that it names", (fault) => {
    const faulty = withFault(SOURCES, fault);
    const changed = faulty.filter(({ text }, index) => text !== SOURCES[index]!.text);
    const named = [...new Set(fault.edits.map(({ file }) => `firmware/${file}`))];
    expect(changed.map(({ file }) => file)).toEqual(named.toSorted());
  });

  it("a fault whose text is gone from the sources, or is there twice, is refused by name", () => {
    const [first] = EXAMPLE_FAULTS;
    const gone = { ...first!, edits: [{ ...first!.edits[0]!, find: "no such text" }] };
    expect(() => withFault(SOURCES, gone)).toThrow(/threshold-off.edits\[0\].find/);
    const twice = SOURCES.map(({ file, text }) => ({ file, text: text + text }));
    expect(() => withFault(twice, first!)).toThrow(InvalidInputError);
  });

  it("several edits of one file are made where they stand, whichever comes first", () => {
    const sources = [{ file: "a.c", text: "one two three" }];
    const edits = ["three", "one"].map((find) => ({ file: "a.c", find, replace: `<${find}>` }));
    const fault = { id: "both", says: "Both.", edits, caughtBy: ["time"] };
    expect(withFault(sources, fault)).toEqual([{ file: "a.c", text: "<one> two <three>" }]);
  });

  it("a document with faults of its own is refused with all of them", () => {
    const bad = { format: "plumbvolt.faults/1", faults: [{ id: "A b", says: "", edits: [] }] };
    expect(() => readFirmwareFaults(bad)).toThrow(/id[^]*says[^]*edits[^]*caughtBy/);
    const [one] = EXAMPLE_FAULTS;
    const twice = { format: "plumbvolt.faults/1", faults: [one, one] };
    expect(() => readFirmwareFaults(twice)).toThrow(/faults\[1\].id/);
  });
});
