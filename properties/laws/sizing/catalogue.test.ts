// Falsified by a catalogue with a fault that is read, by a fault without its place, or by one of
// several faults that is not reported.
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { InvalidInputError } from "../../../lib/errors.ts";
import { readCatalogue } from "../../../lib/sizing/read-catalogue.ts";

/** Documents are broken on purpose: any key may be set, added to or taken away. */
type Changes = Readonly<Record<string, unknown>>;

/** Puts values at places such as "references.1.initial"; undefined takes the key away. */
function changed(document: unknown, changes: Changes): void {
  for (const [place, value] of Object.entries(changes)) {
    const keys = place.split(".");
    const last = keys.pop()!;
    let owner = document as Record<string, unknown>;
    for (const key of keys) owner = owner[key] as Record<string, unknown>;
    if (value === undefined) delete owner[last];
    else owner[last] = value;
  }
}

const path = new URL("../../../examples/31-sizing/catalogue.json", import.meta.url);
const text = readFileSync(path, "utf8");

function faultsOf(changes: Changes): readonly string[] {
  const document: unknown = JSON.parse(text);
  changed(document, changes);
  try {
    readCatalogue(document);
    return [];
  } catch (error) {
    if (!(error instanceof InvalidInputError)) throw error;
    return error.faults.map((fault) => fault.path);
  }
}

const { clamps } = JSON.parse(text) as { readonly clamps: readonly object[] };
const clamp = clamps[2];
/** The next free place of the list. */
const free = clamps.length;

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
    const found = faultsOf({
      "references.1.initial": "0.5 kg",
      "converters.0.totalUnadjustedError": "2 LSB",
      "buffers.2.bias.limit": "-3 nA",
      "networks.1.upper.tolerance": { lower: "1 %", upper: "2 %" },
      "networks.0.tempco": "1 V",
      "adjustments.1.at.voltage": "300 mA",
      "upper.from": "20 Mohm",
      "lower.rooms.2": "100 %",
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
    const found = faultsOf({
      "adjustments.2.low.voltag": 3,
      "buffers.0.gain": undefined,
      "buffers.1.cost": -1,
      "converters.3.bits": 11.5,
      extra: true,
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
    const found = faultsOf({
      "clamps.1.id": "clamp 5 nA",
      [`clamps.${free}`]: { ...clamp, id: "another", cost: 9 },
      "upper.counts.1": 10,
      "lower.rooms.2": "0.04",
    });
    expect([...found].sort()).toEqual([
      "clamps[1].id",
      `clamps[${free}].cost`,
      "lower.rooms[2]",
      "upper.counts[1]",
    ]);
  });

  test("says the values of the legs where it lists networks", () => {
    expect(faultsOf({ lower: undefined })).toEqual(["networks"]);
  });

  test("may list the same figures twice at one cost", () => {
    expect(faultsOf({ [`clamps.${free}`]: { ...clamp, id: "second source" } })).toEqual([]);
  });
});
