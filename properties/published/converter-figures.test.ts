// Falsified by: a figure of an ideal converter, of jitter or of noise that differs from the
// published formula or worked number, or from a quantiser that is really run.
import { describe, expect, test } from "vitest";
import {
  codeSize,
  combinedSignalToNoise,
  effectiveBits,
  effectiveBitsOfError,
  idealSignalToNoise,
  jitterSignalToNoise,
  processingGain,
  roundingStandardUncertainty,
} from "../../lib/converter/figures.ts";
import { OutsideDomainError } from "../../lib/errors.ts";

describe("an ideal converter", () => {
  // Formula on public engineering pages (confirmed); values computed.
  test.each([
    [8, 49.926, 49.92],
    [10, 61.967, 61.96],
    [12, 74.008, 74],
    [14, 86.049, 86.04],
    [16, 98.091, 98.08],
    [18, 110.132, 110.12],
    [24, 146.255, 146.24],
  ])("with %d bits has %d dB of signal over quantisation noise", (bits, exact, ruleOfThumb) => {
    expect(idealSignalToNoise(bits)).toBeCloseTo(exact, 3);
    expect(6.02 * bits + 1.76).toBeCloseTo(ruleOfThumb, 9);
    expect(Math.abs(idealSignalToNoise(bits) - ruleOfThumb)).toBeLessThan(0.02);
  });

  test("reaches that figure when a sine is really rounded to its codes", () => {
    const bits = 12;
    const amplitude = 2 ** (bits - 1);
    const samples = 200_003;
    let [signal, noise] = [0, 0];
    for (let index = 0; index < samples; index += 1) {
      // 7 919 periods in a prime number of samples: no phase is met twice.
      const value = amplitude * Math.sin((2 * Math.PI * 7_919 * index) / samples);
      const rounded = Math.floor(value + 0.5);
      signal += value * value;
      noise += (rounded - value) ** 2;
    }
    expect(10 * Math.log10(signal / noise)).toBeCloseTo(idealSignalToNoise(bits), 1);
    // Near its crest the sine rests on few codes, so the error is not quite uniform.
    expect(Math.sqrt(noise / samples)).toBeCloseTo(roundingStandardUncertainty(1), 2);
  });

  test("rounds with a standard uncertainty of 0.288675 codes", () => {
    // JCGM 100, F.2.2.1 (from memory; reproduced by calculation).
    expect(roundingStandardUncertainty(1)).toBeCloseTo(0.288675, 6);
    expect(roundingStandardUncertainty(2)).toBeCloseTo(2 * 0.288675, 6);
  });

  test("has codes of span / 2^bits (computed)", () => {
    expect(codeSize({ bits: 12, span: 10 })).toBeCloseTo(2.441406e-3, 9);
    expect(codeSize({ bits: 16, span: 10 })).toBeCloseTo(152.5879e-6, 10);
    // An 800 V span: common practice, no source.
    expect(codeSize({ bits: 8, span: 800 })).toBe(3.125);
    expect(codeSize({ bits: 10, span: 800 })).toBe(0.78125);
  });
});

describe("processing gain", () => {
  test("brings 12 bits at 60 MHz in 1 Hz of bandwidth to 148.77 dB (public worked number)", () => {
    const gain = processingGain({ sampleRate: 60e6, bandwidth: 1 });
    // The page rounds the formula to 6.02 N + 1.76 first; the exact one gives 148.779 dB.
    expect(6.02 * 12 + 1.76 + gain).toBeCloseTo(148.771, 3);
    expect(idealSignalToNoise(12) + gain).toBeCloseTo(148.779, 3);
  });

  test("is nothing when all of the band is kept, and is refused beyond it", () => {
    expect(processingGain({ sampleRate: 2, bandwidth: 1 })).toBe(0);
    expect(() => processingGain({ sampleRate: 2, bandwidth: 1.1 })).toThrow(OutsideDomainError);
  });
});

describe("jitter", () => {
  // Formula on several public pages (confirmed); values computed.
  test.each([
    [10e6, 10e-12, 64.04],
    [70e6, 1e-12, 67.13],
    [100e6, 1e-12, 64.04],
    [100e6, 50e-15, 90.06],
    [1e6, 1e-9, 44.04],
    [50, 1e-6, 70.06],
    [50, 100e-6, 30.06],
  ])("of a %d Hz sine sampled within %d s leaves %d dB", (frequency, jitter, decibels) => {
    expect(jitterSignalToNoise({ frequency, jitter })).toBeCloseTo(decibels, 2);
  });

  test("counts 9.03 dB more against the full-scale range than against the sine's r.m.s.", () => {
    // A public data sheet note, confirmed: 10 MHz, 10 ps, "73 dB" against full scale range.
    const slew = (2 * Math.PI * 10e6 * 0.5) / Math.SQRT2;
    const againstRange = -20 * Math.log10(slew * 10e-12);
    expect(Math.round(againstRange)).toBe(73);
    const againstSine = jitterSignalToNoise({ frequency: 10e6, jitter: 10e-12 });
    expect(againstRange - againstSine).toBeCloseTo(9.03, 2);
  });

  test("and quantisation add as noise: 12 bits, 10 MHz, 10 ps leave 63.62 dB", () => {
    // Additive noise model of a public tutorial (confirmed); value computed.
    const jitter = jitterSignalToNoise({ frequency: 10e6, jitter: 10e-12 });
    expect(combinedSignalToNoise([idealSignalToNoise(12), jitter])).toBeCloseTo(63.62, 2);
    expect(combinedSignalToNoise([70])).toBeCloseTo(70, 12);
    expect(combinedSignalToNoise([70, 70])).toBeCloseTo(70 - 10 * Math.log10(2), 12);
    expect(() => combinedSignalToNoise([])).toThrow(OutsideDomainError);
  });
});

describe("effective bits (IEEE 1057, IEEE 1241, from memory)", () => {
  test("are the bits themselves for an ideal converter, by either definition", () => {
    for (let bits = 1; bits <= 32; bits += 1) {
      expect(effectiveBits(idealSignalToNoise(bits))).toBeCloseTo(bits, 10);
      const errorInCodes = roundingStandardUncertainty(1);
      expect(effectiveBitsOfError({ bits, errorInCodes })).toBe(bits);
    }
  });

  test("are 10.34 for the 64.04 dB that 10 ps leave at 10 MHz, and (SINAD - 1.76) / 6.02", () => {
    const ratio = jitterSignalToNoise({ frequency: 10e6, jitter: 10e-12 });
    expect(effectiveBits(ratio)).toBeCloseTo(10.34, 2);
    expect(effectiveBits(74)).toBeCloseTo((74 - 1.76) / 6.02, 2);
  });

  test("fall by one for each doubling of the error", () => {
    const errorInCodes = 2 * roundingStandardUncertainty(1);
    expect(effectiveBitsOfError({ bits: 12, errorInCodes })).toBeCloseTo(11, 12);
  });
});

test("figures of what is no converter are refused", () => {
  for (const bits of [0, -1, 8.5, 33, Number.NaN]) {
    expect(() => idealSignalToNoise(bits)).toThrow(OutsideDomainError);
    expect(() => codeSize({ bits, span: 1 })).toThrow(OutsideDomainError);
    expect(() => effectiveBitsOfError({ bits, errorInCodes: 1 })).toThrow(OutsideDomainError);
  }
  expect(() => codeSize({ bits: 8, span: 0 })).toThrow("span must be greater than zero");
  expect(() => jitterSignalToNoise({ frequency: 0, jitter: 1 })).toThrow(OutsideDomainError);
  expect(() => effectiveBits(Number.NaN)).toThrow(OutsideDomainError);
});
