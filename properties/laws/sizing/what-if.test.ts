// Falsified by a slack that is not: a requirement that fails just inside it or is proven to hold
// just outside; by bits that change nothing in quantisation.
import { readFileSync } from "node:fs";
import { beforeAll, describe, expect, test } from "vitest";
import { measurementModel } from "../../../lib/chain/measurement-model.ts";
import type { Design } from "../../../lib/design/design.ts";
import type { Limits } from "../../../lib/design/quantity.ts";
import { readDesign } from "../../../lib/design/read-design.ts";
import { permittedErrors } from "../../../lib/design/requirement.ts";
import { bandsOf } from "../../../lib/guarantee/bands.ts";
import { enclosingInterval } from "../../../lib/guarantee/domain.ts";
import { ErrorBrackets } from "../../../lib/guarantee/error-brackets.ts";
import { Decimal } from "../../../lib/quantity/decimal.ts";
import { whatIf } from "../../../lib/sizing/what-if.ts";
import type { WhatIf } from "../../../lib/sizing/what-if.ts";

const path = new URL("../../../examples/03-good-at-34-volts/design.json", import.meta.url);
const design = readDesign(JSON.parse(readFileSync(path, "utf8")));
const voltage = Decimal.parse("34");
const [requirement] = design.requirements;
let found: WhatIf;

beforeAll(() => {
  found = whatIf(design, ["5 % at 34 V"]);
}, 60_000);

function times(limits: Limits, factor: number): Limits {
  const by = Decimal.ofDouble(factor);
  return { ...limits, lower: limits.lower.multiply(by), upper: limits.upper.multiply(by) };
}

/** Share of the allowed error, proven by a design of its own. */
function shareOf(changed: Design): { readonly proven: number; readonly reached: number } {
  const band = bandsOf(changed, [voltage]).find((one) => one.voltage?.equals(voltage) === true)!;
  const brackets = new ErrorBrackets(measurementModel(changed));
  const { high, low } = brackets.bound(enclosingInterval(band));
  const { lower, upper } = permittedErrors(requirement!.statement, voltage);
  const reach = (side: "high" | "low"): number => brackets.reach(side, enclosingInterval(band));
  return {
    proven: Math.max(high.proven / upper, low.proven / lower),
    reached: Math.max(reach("high") / upper, reach("low") / -lower),
  };
}

const [upper] = design.divider.upper;
const CHANGES: Readonly<Record<string, (factor: number) => Design>> = {
  adc_nonlinearity: (factor) => ({
    ...design,
    adc: { ...design.adc, integralNonlinearity: times(design.adc.integralNonlinearity!, factor) },
  }),
  upper1_tempco: (factor) => ({
    ...design,
    divider: { ...design.divider, upper: [{ ...upper!, tempco: times(upper!.tempco, factor) }] },
  }),
  reference_drift: (factor) => {
    const drift = design.reference.drift!;
    const limit = drift.limit.multiply(Decimal.ofDouble(factor));
    return { ...design, reference: { ...design.reference, drift: { ...drift, limit } } };
  },
};

describe("the slack of a figure", () => {
  test.each(Object.keys(CHANGES))("%s holds just inside and fails outside", (figure) => {
    const slack = found.slacks.find((one) => one.figure === figure)!;
    const { holdsAt, failsAt } = slack;
    expect(holdsAt).toBeGreaterThan(1);
    expect(failsAt).toBeGreaterThan(holdsAt!);
    const change = CHANGES[figure]!;
    expect(shareOf(change(holdsAt! * 0.999)).proven).toBeLessThanOrEqual(1.001);
    expect(shareOf(change(failsAt! * 1.002)).reached).toBeGreaterThan(1);
    // Halfway beyond nothing is proven any more: the slack is no idle lower bound.
    expect(shareOf(change(failsAt! * 1.01)).proven).toBeGreaterThan(1);
  });

  test("of all figures is listed from the least", () => {
    const ends = found.slacks.map(({ holdsAt }) => holdsAt ?? 0);
    expect(ends).toEqual([...ends].sort((one, other) => one - other));
    expect(ends.length).toBeGreaterThan(25);
  });
});

test("a perfect part never leaves more error than the part that is there", () => {
  for (const { used } of found.parts) expect(used).toBeLessThanOrEqual(found.used * 1.001);
  expect(found.parts[0]!.used).toBeLessThan(found.used);
});

test("more bits never hurt, each halves what quantisation costs, and the rest stays", () => {
  const used = found.resolutions.map((one) => one.used!);
  for (const [place, share] of used.entries())
    if (place > 0) expect(share).toBeLessThan(used[place - 1]! * 1.001);
  const at = (bits: number): number => found.resolutions.find((one) => one.bits === bits)!.used!;
  // Common practice, no source: rounding is half a code, so that its cost halves with each bit.
  expect((at(8) - at(9)) / (at(9) - at(10))).toBeCloseTo(2, 1);
  expect(at(16)).toBeCloseTo(found.used, 6);
  expect(found.enoughBits).toBeGreaterThan(12);
  expect(found.enoughBits).toBeLessThan(18);
});
