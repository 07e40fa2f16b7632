import { OutsideDomainError } from "../errors.ts";
import { requireFinite, requirePositive } from "../quantity/number-domain.ts";

/**
 * A full-scale sine has 2^bits / sqrt(8) codes r.m.s., an ideal rounding 1 / sqrt(12) code: their
 * ratio is 2^bits times this.
 */
const SINE_OVER_ROUNDING = Math.sqrt(1.5);

function requireBits(bits: number): void {
  if (Number.isInteger(bits) && bits >= 1 && bits <= 32) return;
  throw new OutsideDomainError({
    path: "",
    quantity: "number of bits",
    permitted: "an integer from 1 to 32",
    received: String(bits),
  });
}

function decibels(ratioOfAmplitudes: number): number {
  return 20 * Math.log10(ratioOfAmplitudes);
}

/**
 * Size of one code, V, of a converter with that many bits over a span in V: span / 2^bits. Throws
 * OutsideDomainError unless the bits are an integer from 1 to 32 and the span is above zero.
 */
export function codeSize(converter: { readonly bits: number; readonly span: number }): number {
  requireBits(converter.bits);
  requirePositive([{ quantity: "span", value: converter.span, unit: "V" }]);
  return converter.span / 2 ** converter.bits;
}

/**
 * Standard uncertainty of an ideal rounding to codes of that size: size / sqrt(12), in the unit of
 * the size. Source: JCGM 100, F.2.2.1.
 */
export function roundingStandardUncertainty(size: number): number {
  requirePositive([{ quantity: "code size", value: size, unit: "V" }]);
  return size / Math.sqrt(12);
}

/**
 * Signal over quantisation noise, dB, of an ideal converter for a full-scale sine: 20 log10(2^bits
 * sqrt(3/2)), often written 6.02 bits + 1.76.
 */
export function idealSignalToNoise(bits: number): number {
  requireBits(bits);
  return decibels(2 ** bits * SINE_OVER_ROUNDING);
}

/**
 * Gain in signal over noise, dB, when only a bandwidth in Hz of all that was sampled, at a rate in
 * Hz, is kept and the noise is white: 10 log10(rate / (2 bandwidth)). Throws OutsideDomainError
 * unless both are above zero and the bandwidth is at most half of the rate.
 */
export function processingGain(filter: {
  readonly sampleRate: number;
  readonly bandwidth: number;
}): number {
  const { sampleRate, bandwidth } = filter;
  requirePositive([
    { quantity: "sample rate", value: sampleRate, unit: "Hz" },
    { quantity: "bandwidth", value: bandwidth, unit: "Hz" },
  ]);
  if (2 * bandwidth > sampleRate) {
    throw new OutsideDomainError({
      path: "",
      quantity: "bandwidth",
      permitted: `at most half of the sample rate ${sampleRate} Hz`,
      received: `${bandwidth} Hz`,
    });
  }
  return 10 * Math.log10(sampleRate / (2 * bandwidth));
}

/**
 * Signal over noise, dB, that a random sampling instant leaves of a sine: -20 log10(2 pi f t), with
 * the frequency in Hz and the standard deviation of the instant in s.
 */
export function jitterSignalToNoise(sampling: {
  readonly frequency: number;
  readonly jitter: number;
}): number {
  const { frequency, jitter } = sampling;
  requirePositive([
    { quantity: "frequency", value: frequency, unit: "Hz" },
    { quantity: "jitter", value: jitter, unit: "s" },
  ]);
  return -decibels(2 * Math.PI * frequency * jitter);
}

/**
 * Signal over the sum of independent noises, dB, from the ratio for each of them, dB. Throws
 * OutsideDomainError for an empty list or a ratio that is not finite.
 */
export function combinedSignalToNoise(ratios: readonly number[]): number {
  requireFinite(ratios.map((value) => ({ quantity: "signal over noise", value, unit: "dB" })));
  if (ratios.length === 0) {
    throw new OutsideDomainError({
      path: "",
      quantity: "list of noises",
      permitted: "one ratio or more",
      received: "none",
    });
  }
  const noise = ratios.reduce((sum, ratio) => sum + 10 ** (-ratio / 10), 0);
  return -10 * Math.log10(noise);
}

/**
 * Effective number of bits of a converter that reaches a signal over noise and distortion, dB, with
 * a full-scale sine; the inverse of {@link idealSignalToNoise}. Source: IEEE 1057, IEEE 1241 (from
 * memory).
 */
export function effectiveBits(signalToNoiseAndDistortion: number): number {
  requireFinite([
    { quantity: "signal over noise and distortion", value: signalToNoiseAndDistortion, unit: "dB" },
  ]);
  return (signalToNoiseAndDistortion - decibels(SINE_OVER_ROUNDING)) / decibels(2);
}

/**
 * Effective number of bits of a converter whose error has the r.m.s. value given, in codes: the
 * bits less one for each doubling over an ideal rounding. Source: IEEE 1057, IEEE 1241 (from
 * memory).
 */
export function effectiveBitsOfError(converter: {
  readonly bits: number;
  readonly errorInCodes: number;
}): number {
  const { bits, errorInCodes } = converter;
  requireBits(bits);
  requirePositive([{ quantity: "r.m.s. error", value: errorInCodes, unit: "codes" }]);
  return bits - Math.log2(errorInCodes / roundingStandardUncertainty(1));
}
