// Falsified by: a product below the promised smallest capacitance that gets a verdict, or is drawn;
// a capacitance in scope that is never drawn; firmware that traps on such a product and is excused.
import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import { stratifiedDraws } from "../../arbitraries/draws.ts";
import { productParameters } from "../../arbitraries/product.ts";
import { play } from "../../campaign/play.ts";
import { ALL_CLAIMS } from "../../claims/all-claims.ts";
import type { Episode, Subject } from "../../claims/episode.ts";
import { judgementOf } from "../../claims/judgement-of.ts";
import { changed, openings } from "../../claims/more/spaces.ts";
import { DEFAULT_PROMISES } from "../../claims/promises.ts";
import { voltageBoundsOf } from "../../claims/voltage-bounds.ts";
import { plainFirmware } from "../../support/plain-firmware.ts";
import type { Mistake } from "../../support/plain-firmware.ts";
import { TWO_POINT } from "../sim/scenarios.ts";

const subject: Subject = {
  design: TWO_POINT,
  promises: { ...DEFAULT_PROMISES, smallestCapacitance: 22e-9 },
  bounds: voltageBoundsOf(TWO_POINT),
};

/** A disconnection of a product of so many F; of a line filter, on each side of its inductance. */
function played(
  capacitance: number,
  mistake?: Mistake,
  kind: "passive, switch off" | "line filter" = "passive, switch off",
): Episode {
  const usual = openings(subject, { products: [kind] });
  const space = changed(usual, [], (scenario) => {
    const { product } = scenario;
    if (product.kind === "passive") return { ...scenario, product: { ...product, capacitance } };
    return product.kind === "lineFilter"
      ? { ...scenario, product: { ...product, capacitance, innerCapacitance: capacitance } }
      : scenario;
  });
  const [draw] = fc.sample(stratifiedDraws(space.parameters), { numRuns: 1, seed: 5 });
  return play(subject, plainFirmware(mistake).open(), { space, draw: draw! });
}

/** Claims that are made of such a disconnection. */
const CLAIMS = ALL_CLAIMS.filter((claim) => claim.over(subject) === openings(subject));

/** Identifiers of the claims that say something of an episode. */
function speaking(episode: Episode): string[] {
  return CLAIMS.filter((claim) => judgementOf(claim, episode).kind === "judged").map(
    ({ id }) => id,
  );
}

describe("products in scope", () => {
  it("have every capacitance from the smallest promised one to the greatest, and no other", () => {
    const spanned = fc.property(fc.integer({ min: 1, max: 2_000_000 }), (tenths) => {
      const parameters = productParameters(["passive, switch off"], tenths * 1e-10);
      const { strata } = parameters.find(({ name }) => name === "capacitance")!;
      const inOrder = strata.toSorted((one, other) => one.least - other.least);
      expect(inOrder[0]!.least).toBe(tenths);
      inOrder.forEach(({ least, most }, index) => {
        expect(most).toBeGreaterThanOrEqual(least);
        if (index > 0) expect(least).toBe(inOrder[index - 1]!.most + 1);
      });
      expect(inOrder.at(-1)!.most).toBeGreaterThanOrEqual(100_000);
    });
    fc.assert(spanned, { examples: [[12], [98], [99], [100], [10_000], [99_999], [100_000]] });
  });

  it("are judged, one that is as small as promised too", () => {
    expect(speaking(played(22e-9))).toContain("voltage");
    expect(speaking(played(100e-9))).toContain("voltage");
    expect(speaking(played(11e-9, undefined, "line filter"))).not.toEqual([]);
    expect(speaking(played(10.5e-9, undefined, "line filter"))).toEqual([]);
  });
});

describe("a product below the smallest capacitance", () => {
  it("gets no verdict from any claim, although they would have one", () => {
    const episode = played(21e-9);
    const unasked = CLAIMS.filter((claim) => claim.judge(episode).kind === "judged");
    expect(unasked.length).toBeGreaterThan(3);
    expect(speaking(episode)).toEqual([]);
  });

  it("is no excuse for firmware that goes wrong", () => {
    expect(speaking(played(21e-9, "traps"))).toEqual(CLAIMS.map(({ id }) => id));
  });
});
