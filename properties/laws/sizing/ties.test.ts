// Falsified by a choice among equals that depends on workers or on how the work is cut, or that is
// not the first of the catalogue.
import { describe, expect, test } from "vitest";
import { compareCandidates } from "../../../lib/sizing/candidate.ts";
import { chosenParts } from "../../../lib/sizing/candidate-design.ts";
import type { CatalogueDocument } from "../../../lib/sizing/catalogue-schema.ts";
import { sizeDesign } from "../../../lib/sizing/size.ts";
import type { SizingResult } from "../../../lib/sizing/size.ts";
import { foundBy, leanQuestion } from "../../support/lean-sizing.ts";

describe("of combinations at one cost", () => {
  type Parts = (catalogue: CatalogueDocument) => void;

  async function foundWith(plant: Parts, require = ["8 % at 34 V"]): Promise<SizingResult> {
    const question = { ...leanQuestion(), require };
    plant(question.catalogue);
    const one = await sizeDesign(question, { part: 100 });
    const others = [{ part: 1 }, { workers: 2, part: 2 }];
    for (const options of others)
      expect(foundBy(await sizeDesign(question, options))).toEqual(foundBy(one));
    return one;
  }

  const clampsOf = ({ space, byError, byCapacitance }: SizingResult): readonly string[] =>
    [...byError, ...byCapacitance].flatMap((candidate) =>
      chosenParts(space, candidate).flatMap(({ kind, id }) => (kind === "clamp" ? [id] : [])),
    );

  test.each(["before", "behind"])(
    "a twin %s it leaves the first of the catalogue",
    async (side) => {
      const result = await foundWith(({ clamps }) => {
        const plain = clamps![2]!;
        const twin = { ...plain, id: "second source" };
        if (side === "before") clamps!.splice(2, 0, twin);
        else clamps!.splice(3, 0, twin);
      });
      const clamps = clampsOf(result);
      const [first, second] = ["clamp 200 pA", "second source"];
      expect(clamps).toContain(side === "before" ? second : first);
      expect(clamps).not.toContain(side === "before" ? first : second);
    },
    60_000,
  );

  test("the first of the catalogue stands for products, the most accurate for the error", async () => {
    const result = await foundWith(
      ({ clamps }) => {
        const [plain, better] = clamps!.slice(2);
        // Both meet the requirement. As dear as the plain one and more accurate: no difference to the smallest product.
        clamps!.splice(3, 1, { ...better!, cost: plain!.cost });
      },
      ["16 % at 34 V"],
    );
    const { space, byError, byCapacitance } = result;
    const idsOf = (candidates: typeof byError) =>
      clampsOf({ ...result, space, byError: candidates, byCapacitance: [] });
    expect(idsOf(byError)).not.toContain("clamp 200 pA");
    expect(idsOf(byCapacitance)).toContain("clamp 200 pA");
  }, 60_000);
});

test("candidates equal in what counts stand as their structures do, then as their options do", () => {
  const candidate = (structure: number, choice: readonly number[]) => ({
    structure,
    choice,
    cost: 1,
    used: 0.5,
    capacitance: 1e-9,
  });
  const inOrder = [
    candidate(0, [1, 2]),
    candidate(1, [0, 0]),
    candidate(1, [0, 1]),
    candidate(1, [1, 0]),
  ];
  expect([...inOrder].reverse().sort(compareCandidates)).toEqual(inOrder);
  expect(compareCandidates(inOrder[2]!, candidate(1, [0, 1]))).toBe(0);
});
