// Falsified by an accuracy claim that passes firmware which reads late, two volts off, always flags,
// never answers or traps, or that fails firmware without a mistake.
import { describe, expect, test } from "vitest";
import { Decimal } from "../../../lib/quantity/decimal.ts";
import { unbiasedDraw } from "../../arbitraries/draws.ts";
import { play } from "../../campaign/play.ts";
import { ALL_CLAIMS } from "../../claims/all-claims.ts";
import type { Claim, Judgement } from "../../claims/claim.ts";
import { judgementOf } from "../../claims/judgement-of.ts";
import { DEFAULT_PROMISES } from "../../claims/promises.ts";
import { boundAt, voltageBoundsOf } from "../../claims/voltage-bounds.ts";
import { exampleDesign } from "../../support/example-designs.ts";
import { EXAMPLE_FAULTS } from "../../support/example-faults.ts";
import { plainFirmware } from "../../support/plain-firmware.ts";
import type { Mistake } from "../../support/plain-firmware.ts";

const design = exampleDesign("03-good-at-34-volts");
const subject = { design, promises: DEFAULT_PROMISES, bounds: voltageBoundsOf(design) };

function claimOf(id: string): Claim {
  return ALL_CLAIMS.find((claim) => claim.id === id)!;
}

/** At a crest, without a bounce: there is always something to be read. */
function judgementsOf(id: string, mistake?: Mistake): Judgement[] {
  const claim = claimOf(id);
  const space = claim.over(subject);
  const plain = { phase: 0, bounces: 0, secondPole: 0, decay: 15_000 };
  const firmware = plainFirmware(mistake).open();
  return [0, 1, 2, 3].map((trial) => {
    const draw = { ...unbiasedDraw(space.parameters, 3, trial), ...plain };
    return judgementOf(claim, play(subject, firmware, { space, draw }));
  });
}

const margins = (judgements: readonly Judgement[]): number[] =>
  judgements.flatMap((one) => (one.kind === "judged" ? [one.margin] : []));

describe("accuracy claims", () => {
  test.each(["voltage", "time", "together", "soundness"])("%s holds without a mistake", (id) => {
    const found = margins(judgementsOf(id));
    expect(found).toHaveLength(4);
    expect(Math.min(...found)).toBeGreaterThanOrEqual(0);
  });

  test.each([
    ["voltage", "offByTwoVolts"],
    ["together", "offByTwoVolts"],
    ["time", "late"],
    ["soundness", "traps"],
    ["availability", "alwaysFlags"],
    ["availability", "neverAnswers"],
  ] as const)("%s fails firmware with the mistake %s", (id, mistake) => {
    expect(margins(judgementsOf(id, mistake)).some((margin) => margin < 0)).toBe(true);
  });

  test("the canary fails, whatever the firmware does", () => {
    for (const mistake of [undefined, "neverAnswers", "alwaysFlags"] as const)
      expect(margins(judgementsOf("canary", mistake)).some((margin) => margin < 0)).toBe(true);
  });

  test("the proven limits cover the measuring interval, whatever the latency and the display", () => {
    const { atReading } = subject.bounds;
    const shown = {
      ...design,
      scaling: { ...design.scaling, displayResolution: Decimal.ofInteger(1) },
      timing: {
        ...design.timing!,
        latency: { lower: Decimal.ofInteger(-1), upper: Decimal.ofInteger(1) },
      },
    };
    expect(voltageBoundsOf(shown).atReading).toEqual(atReading);
    for (let voltage = -440; voltage <= 440; voltage += 1) {
      const prompt = boundAt(atReading, voltage)!;
      expect(prompt.high).toBeGreaterThan(0);
      expect(prompt.low).toBeLessThan(0);
    }
    expect(boundAt(atReading, 441)).toBeUndefined();
  });

  test("every claim has an identifier of its own, and the faults that it names are seeded", () => {
    const ids = ALL_CLAIMS.map(({ id }) => id);
    expect(new Set(ids).size).toBe(ids.length);
    const seeded = new Set(EXAMPLE_FAULTS.map(({ id }) => id));
    const named = ALL_CLAIMS.flatMap(({ mustCatch }) => mustCatch);
    expect(named.filter((id) => !seeded.has(id))).toEqual([]);
  });
});
