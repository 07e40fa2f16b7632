// Falsified by a worse grade with a smaller error, in any kind of part.
import { readFileSync } from "node:fs";
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { sizingSpace } from "../../../lib/sizing/space.ts";

const folder = new URL("../../../examples/31-sizing/", import.meta.url);
const read = (name: string): unknown => JSON.parse(readFileSync(new URL(name, folder), "utf8"));

describe("grades", () => {
  const question = {
    template: read("template.json"),
    catalogue: read("catalogue.json"),
    require: ["5 % at 34 V"],
  };
  const space = sizingSpace(question);

  const kinds = ["upper", "lower", "network", "reference"] as const;
  const others = ["converter", "buffer", "clamp", "adjustment"] as const;

  test.each([...kinds, ...others])(
    "of the kind %s: a better one never has the larger error",
    (kind) => {
      const structures = space.structures.filter(
        ({ plan }, index) =>
          index % 7 === 0 &&
          plan.kinds.some(([option, another]) => option!.kind === kind && another !== undefined),
      );
      expect(structures.length).toBeGreaterThan(5);
      const drawn = fc.record({
        structure: fc.constantFrom(...structures),
        numbers: fc.array(fc.integer({ min: 0, max: 5_039 }), { minLength: 8, maxLength: 8 }),
      });
      fc.assert(
        fc.property(drawn, ({ structure, numbers }) => {
          if (structure.excluded() !== undefined) return;
          const { kinds } = structure.plan;
          const changed = kinds.findIndex(([option]) => option!.kind === kind);
          // The catalogue lists every kind from the plainest grade to the best.
          const worse = kinds.map(({ length }, index) =>
            index === changed ? numbers[index]! % (length - 1) : numbers[index]! % length,
          );
          const better = worse.with(changed, worse[changed]! + 1);
          const proven = structure.prove(worse).used;
          expect(structure.seenShare(better)).toBeLessThanOrEqual(proven);
          // Proofs stop within a thousandth of the true maximum; far out they stop for work.
          if (proven < 5) expect(structure.prove(better).used).toBeLessThanOrEqual(proven * 1.002);
        }),
        { numRuns: 4 },
      );
    },
    30_000,
  );
});
