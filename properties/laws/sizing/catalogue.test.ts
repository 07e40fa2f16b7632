// Falsified by a catalogue with a fault that is read, by a fault without its place, or by one of
// several faults that is not reported.
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { InvalidInputError } from "../../../lib/errors.ts";
import { readCatalogue } from "../../../lib/sizing/read-catalogue.ts";

/* eslint-disable-next-line typescript/no-explicit-any -- documents are broken on purpose */
type Broken = any;

const path = new URL("../../../examples/31-sizing/catalogue.json", import.meta.url);
const text = readFileSync(path, "utf8");

function faultsOf(spoil: (document: Broken) => void): readonly string[] {
  const document: unknown = JSON.parse(text);
  spoil(document);
  try {
    readCatalogue(document);
    return [];
  } catch (error) {
    if (!(error instanceof InvalidInputError)) throw error;
    return error.faults.map((fault) => fault.path);
  }
}

describe("a parts catalogue", () => {
  test("is read with the values of its series", () => {
    const { upperValues, rooms } = readCatalogue(JSON.parse(text));
    // IEC 60063, E6 (from memory).
    expect(upperValues.map(String)).toEqual([
      "2200000",
      "3300000",
      "4700000",
      "6800000",
      "10000000",
      "15000000",
    ]);
    expect(rooms.map(String)).toEqual(["0.04", "0.12"]);
  });

  test("is refused with the places of all faults of its figures at once", () => {
    const found = faultsOf((catalogue) => {
      catalogue.references[1].initial = "0.5 kg";
      catalogue.converters[0].totalUnadjustedError = "2 LSB";
      catalogue.buffers[2].bias.limit = "-3 nA";
      catalogue.networks[1].upper.tolerance = { lower: "1 %", upper: "2 %" };
      catalogue.networks[0].tempco = "1 V";
      catalogue.adjustments[1].at.voltage = "300 mA";
      catalogue.upper.from = "20 Mohm";
      catalogue.lower.rooms.push("100 %");
    });
    expect([...found].sort()).toEqual([
      "adjustments[1].at.voltage",
      "buffers[2].bias.limit",
      "converters[0]",
      "lower.rooms[2]",
      "networks[0].tempco",
      "networks[1].upper.tolerance",
      "references[1].initial",
      "upper",
    ]);
  });

  test("is refused with the places of all faults of its shape at once", () => {
    const found = faultsOf((catalogue) => {
      catalogue.adjustments[2].low.voltag = 3;
      delete catalogue.buffers[0].gain;
      catalogue.buffers[1].cost = -1;
      catalogue.converters[3].bits = 11.5;
      catalogue.extra = true;
    });
    expect([...found].sort()).toEqual([
      "adjustments[2].low.voltag",
      "buffers[0].gain",
      "buffers[1].cost",
      "converters[3].bits",
      "extra",
    ]);
  });

  test("is refused where its grades contradict one another", () => {
    const found = faultsOf((catalogue) => {
      catalogue.clamps[1].id = catalogue.clamps[0].id;
      catalogue.clamps.push({ ...catalogue.clamps[2], id: "another", cost: 9 });
      catalogue.upper.counts.push(10);
      catalogue.lower.rooms.push("0.04");
    });
    expect([...found].sort()).toEqual([
      "clamps[1].id",
      "clamps[5].cost",
      "lower.rooms[2]",
      "upper.counts[1]",
    ]);
  });

  test("says the values of the legs where it lists networks", () => {
    expect(
      faultsOf((catalogue) => {
        delete catalogue.lower;
      }),
    ).toEqual(["networks"]);
  });

  test("may list the same figures twice at one cost", () => {
    const again = (catalogue: Broken): void => {
      catalogue.clamps.push({ ...catalogue.clamps[2], id: "second source" });
    };
    expect(faultsOf(again)).toEqual([]);
  });
});
