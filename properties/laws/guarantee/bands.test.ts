// Falsified by: a voltage of the range in no band, a gap or an overlap between bands, or a band
// that does not hold the voltage it was made for.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { scalingConstants } from "../../../lib/design/scaling-constants.ts";
import { bandsOf } from "../../../lib/guarantee/bands.ts";
import { Decimal } from "../../../lib/quantity/decimal.ts";
import { EXAMPLES, exampleDesign } from "../../support/example-designs.ts";

/** Voltages in hundredths of a volt from -500 V to 500 V: some lie outside the range. */
const voltageLists = fc
  .uniqueArray(fc.integer({ min: -50_000, max: 50_000 }), { maxLength: 30 })
  .map((list) => list.map((hundredths) => Decimal.ofScaled(BigInt(hundredths), -2)));

describe.each(EXAMPLES)("the bands of %s", (example) => {
  const design = exampleDesign(example);
  const { lower, upper } = design.measuringInterval;
  const code = 1 / scalingConstants(design).codesPerVolt.toNumber();

  test("follow one another from end to end of the range, each with its voltage inside", () => {
    fc.assert(
      fc.property(voltageLists, (voltages) => {
        const bands = bandsOf(design, voltages);
        expect(bands[0]!.lower.equals(lower)).toBe(true);
        expect(bands.at(-1)!.upper.equals(upper)).toBe(true);
        for (const [index, band] of bands.entries()) {
          expect(band.lower.compare(band.upper)).toBeLessThan(0);
          const next = bands[index + 1];
          if (next !== undefined) expect(band.upper.equals(next.lower)).toBe(true);
          if (band.voltage === undefined) continue;
          expect(band.lower.compare(band.voltage)).toBeLessThanOrEqual(0);
          expect(band.upper.compare(band.voltage)).toBeGreaterThanOrEqual(0);
        }
        const made = bands.flatMap(({ voltage }) => voltage ?? []).map(String);
        const inside = voltages.filter(
          (voltage) => voltage.compare(lower) >= 0 && voltage.compare(upper) <= 0,
        );
        expect(made.sort()).toEqual(inside.map(String).sort());
      }),
      { numRuns: 50, seed: 20_260_161 },
    );
  });

  test("are about a code wide round a voltage and never so many that work runs away", () => {
    const bands = bandsOf(design, [Decimal.parse("34"), Decimal.parse("-126.5"), upper]);
    for (const band of bands) {
      if (band.voltage === undefined) continue;
      const width = band.upper.subtract(band.lower).toNumber();
      expect(width).toBeGreaterThanOrEqual(Math.min(code, 0.2));
      expect(width).toBeLessThanOrEqual(Math.max(1.2 * code, 0.25));
    }
    expect(bands.length).toBeLessThan(300);
  });
});
