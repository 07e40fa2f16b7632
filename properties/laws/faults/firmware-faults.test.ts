// Falsified by a fault whose text is not in the example firmware exactly once, by one that changes
// nothing, by two of one name, and by a replacement that is made in another file.
import { readFileSync, readdirSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { InvariantBrokenError } from "../../../lib/errors.ts";
import { withFault } from "../../faults/firmware-fault.ts";
import { FIRMWARE_FAULTS } from "../../faults/firmware-faults.ts";

const FOLDER = new URL("../../../examples/21-trigger-firmware/", import.meta.url);
const SOURCES = readdirSync(FOLDER)
  .filter((file) => /\.[ch]$/.test(file))
  .map((file) => ({
    file: `firmware/${file}`,
    text: readFileSync(new URL(file, FOLDER), "utf8"),
  }));

describe("seeded faults of the example firmware", () => {
  it("are thirty or more, each with a name of its own and a claim that is expected to fail", () => {
    const names = new Set(FIRMWARE_FAULTS.map(({ id }) => id));
    expect(names.size).toBe(FIRMWARE_FAULTS.length);
    expect(names.size).toBeGreaterThanOrEqual(30);
    for (const { caughtBy } of FIRMWARE_FAULTS) expect(caughtBy.length).toBeGreaterThan(0);
  });

  it.each(FIRMWARE_FAULTS)("$id changes one file, in one place", (fault) => {
    const faulty = withFault(SOURCES, fault);
    const changed = faulty.filter(({ text }, index) => text !== SOURCES[index]!.text);
    expect(changed.map(({ file }) => file)).toEqual([`firmware/${fault.file}`]);
  });

  it("a fault whose text is gone from the sources is refused", () => {
    const gone = { ...FIRMWARE_FAULTS[0]!, find: "no such text" };
    expect(() => withFault(SOURCES, gone)).toThrow(InvariantBrokenError);
    const twice = SOURCES.map(({ file, text }) => ({ file, text: text + text }));
    expect(() => withFault(twice, FIRMWARE_FAULTS[0]!)).toThrow(InvariantBrokenError);
  });
});
