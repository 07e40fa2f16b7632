// Falsified by: a seeded fault that changes nothing, or whose text no longer occurs once.
import { describe, expect, test } from "vitest";
import { readFileSync } from "node:fs";
import { SOURCE_FAULTS, withFault } from "../../../faults/index.ts";

const FOLDER = new URL("../../../../examples/21-trigger-firmware/", import.meta.url);

describe("seeded faults of the example firmware", () => {
  test.each(SOURCE_FAULTS)("$id changes one place of $file", (fault) => {
    const source = readFileSync(new URL(fault.file, FOLDER), "utf8");
    expect(withFault(source, fault)).not.toBe(source);
  });

  test("their names are different", () => {
    expect(new Set(SOURCE_FAULTS.map(({ id }) => id)).size).toBe(SOURCE_FAULTS.length);
  });
});
