// Falsified by: a power density of the 1/f noise that is not its formula, or does not meet that of
// the white noise at the corner; a value that depends on how many are asked for, or in what order.
import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import { InvalidInputError } from "../../../lib/errors.ts";
import { codeNoise } from "../../../lib/design/converter-quantities.ts";
import { FlickerNoise } from "../../../sim/flicker-noise.ts";
import { noiseOf } from "../../../sim/noise.ts";
import { philoxWords } from "../../../sim/philox-words.ts";
import { simulate } from "../../../sim/simulate.ts";
import { AT_CREST, TWO_POINT } from "./scenarios.ts";

const COUNT = 2 ** 20;

/** Fast Fourier transform in place, after the textbook: sorted by reversed bits, then butterflies. */
function transform(re: Float64Array, im: Float64Array): void {
  const n = re.length;
  for (let i = 1, j = 0; i < n; i += 1) {
    let bit = n >> 1;
    for (; j & bit; bit >>= 1) j ^= bit;
    j ^= bit;
    if (i < j) [re[i], re[j], im[i], im[j]] = [re[j]!, re[i]!, im[j]!, im[i]!];
  }
  for (let size = 2; size <= n; size *= 2) {
    const half = size / 2;
    for (let k = 0; k < half; k += 1) {
      const c = Math.cos((-2 * Math.PI * k) / size);
      const s = Math.sin((-2 * Math.PI * k) / size);
      for (let at = k; at < n; at += size) {
        const x = re[at + half]! * c - im[at + half]! * s;
        const y = re[at + half]! * s + im[at + half]! * c;
        re[at + half] = re[at]! - x;
        im[at + half] = im[at]! - y;
        re[at]! += x;
        im[at]! += y;
      }
    }
  }
}

/** One-sided power density times the sample rate by bin; a raised cosine keeps leakage out. */
function density(values: Float64Array): Float64Array {
  const n = values.length;
  const re = values.map((value, k) => value * (1 - Math.cos((2 * Math.PI * k) / n)));
  const im = new Float64Array(n);
  transform(re, im);
  return Float64Array.from({ length: n / 2 }, (_, k) => {
    const square = re[k]! ** 2 + im[k]! ** 2;
    return (2 * square) / (1.5 * n);
  });
}

function flicker(): FlickerNoise {
  return new FlickerNoise({ words: philoxWords(21), cut: 6 });
}

/** Mean of the ratio to a formula over the octave from a bin on. */
function ratioOver(found: Float64Array, bin: number, formula: (share: number) => number): number {
  let sum = 0;
  for (let k = bin; k < 2 * bin; k += 1) sum += found[k]! / formula(k / COUNT) / bin;
  return sum;
}

describe("1/f noise", () => {
  const values = new Float64Array(COUNT);
  flicker().add(values, { stream: 0, first: 0, scale: 1 });
  const found = density(values);

  it("has the power density 2 s^2 / (3 ln 2 f) in every octave up to a tenth of the rate", () => {
    // Algebra: straight lines between values h apart have 2 s^2 h sinc(f h)^4 (one-sided).
    for (let bin = 256; bin < 0.06 * COUNT; bin *= 2) {
      const ratio = ratioOver(found, bin, (share) => 2 / (3 * Math.LN2 * share));
      // A bin has a standard deviation of all of itself; the window ties two of them together.
      expect(Math.abs(ratio - 1), `bin ${bin}`).toBeLessThan(0.006 + 4 * Math.sqrt(1.94 / bin));
    }
  });

  it("the sum over the rows is that formula to within half a percent", () => {
    for (let step = 0; step <= 100; step += 1) {
      const f = 1e-4 * 2 ** (step / 10);
      let sum = 0;
      for (let h = 2 ** -10; h <= 2 ** 24; h *= 2) {
        const x = Math.PI * f * h;
        sum += 2 * h * (Math.sin(x) / x) ** 4;
      }
      expect(Math.abs(sum * 3 * Math.LN2 * f * 0.5 - 1)).toBeLessThan(0.006);
    }
  });

  it("gives the value of a sample however it is asked for", () => {
    const start = -300;
    const whole = new Float64Array(4000);
    flicker().add(whole, { stream: 4, first: start, scale: 2 });
    const stretches = fc.array(
      fc.record({
        at: fc.integer({ min: 0, max: 3800 }),
        count: fc.integer({ min: 1, max: 200 }),
      }),
      { minLength: 1, maxLength: 8 },
    );
    fc.assert(
      fc.property(stretches, (asked) => {
        const again = flicker();
        for (const { at, count } of asked) {
          const part = new Float64Array(count);
          again.add(part, { stream: 4, first: start + at, scale: 2 });
          expect(part).toEqual(whole.subarray(at, at + count));
        }
      }),
      { numRuns: 50, seed: 4701 },
    );
  });

  it("meets the white noise at the corner", () => {
    const corner = 100;
    const rate = TWO_POINT.timing!.sampleRate.toNumber();
    const parts = { design: TWO_POINT, words: philoxWords(22) };
    const both = noiseOf({ kind: "random", seed: 22, cut: 6, corner }, parts);
    const total = new Float64Array(COUNT);
    both(total, { stream: 0, first: 0, scale: 1 });
    const white = 2 * codeNoise(TWO_POINT).toNumber() ** 2;
    const measured = density(total);
    const formula = (share: number): number => white * (1 + corner / (share * rate));
    for (let bin = 512; bin < 0.25 * COUNT; bin *= 2)
      expect(Math.abs(ratioOver(measured, bin, formula) - 1)).toBeLessThan(
        0.02 + 4 * Math.sqrt(1.94 / bin),
      );
    // The octave about the corner holds twice the white noise.
    const at = Math.round((corner / rate) * COUNT);
    let sum = 0;
    for (let k = 0; k < at / 8; k += 1) sum += measured[at - Math.floor(at / 16) + k]!;
    expect(sum / Math.ceil(at / 8) / white).toBeCloseTo(2, 0);
  });

  it("reaches the codes, and a corner below zero is refused", () => {
    const noise = { kind: "random", seed: 5, cut: 4 } as const;
    const plain = simulate({ ...AT_CREST, noise });
    const corner = simulate({ ...AT_CREST, noise: { ...noise, corner: 500 } });
    expect(corner.codes()).not.toEqual(plain.codes());
    expect(simulate({ ...AT_CREST, noise: { ...noise, corner: 0 } }).codes()).toEqual(
      plain.codes(),
    );
    const broken = { ...AT_CREST, noise: { ...noise, cut: 9, corner: -1 } };
    expect(() => simulate(broken)).toThrow(InvalidInputError);
    expect(() => simulate(broken)).toThrow(/2 faults[\s\S]*\(noise\.corner\)/);
  });
});
