import { Decimal } from "../quantity/decimal.ts";
import type { Design } from "./design.ts";
import type { Limits } from "./quantity.ts";
import { putDrift, putRatio, putRise, within } from "./quantity-register.ts";
import type { Register } from "./quantity-register.ts";

/** Voltage reference. */
export function putReference(register: Register, design: Design): void {
  const { reference } = design;
  const part = "reference";
  putRatio(register, "reference_initial", "relative initial tolerance of the reference", {
    part,
    unit: "1",
    limits: reference.initial,
  });
  const box = within(reference.boxExcursion, reference.tempcoOrigin);
  const meaning = "relative excursion of the reference over temperature, box method";
  if (design.adjustment.kind !== "none") {
    register.put("production", "all", {
      name: "reference_box",
      meaning: `${meaning}, at adjustment`,
      part,
      unit: "1",
      limits: box,
    });
  }
  register.put("environment", "use", {
    name: "reference_box_use",
    meaning: design.adjustment.kind === "none" ? meaning : `${meaning}, change since adjustment`,
    part,
    unit: "1",
    limits: box,
  });
  putDrift(register, design, { id: "reference", part, drift: reference.drift });
  if (reference.lineRegulation !== undefined) {
    putRatio(
      register,
      "reference_lineRegulation",
      "relative change of the reference per volt of supply",
      {
        part,
        unit: "1/V",
        limits: reference.lineRegulation,
      },
    );
  }
}

/** Buffer between node and converter. */
export function putBuffer(register: Register, design: Design): void {
  const { buffer } = design;
  if (buffer === undefined) return;
  const part = "buffer";
  const ratios: readonly (readonly [string, string, string, Limits | undefined])[] = [
    ["buffer_gainError", "relative gain error of the buffer", "1", buffer.gainError],
    ["buffer_gainTempco", "temperature coefficient of the gain", "1/K", buffer.gainTempco],
    ["buffer_offset", "input offset of the buffer", "V", buffer.offset],
    ["buffer_offsetTempco", "offset change with temperature", "V/K", buffer.offsetTempco],
    [
      "buffer_commonMode",
      "offset change per volt of node voltage",
      "1",
      buffer.commonModeRejection && within(buffer.commonModeRejection, buffer.origin),
    ],
    [
      "buffer_supply",
      "offset change per volt of supply",
      "1",
      buffer.supplyRejection && within(buffer.supplyRejection, buffer.origin),
    ],
  ];
  for (const [name, meaning, unit, limits] of ratios)
    if (limits !== undefined) putRatio(register, name, meaning, { part, unit, limits });
  putRise(register, "buffer", part, buffer.rise);
  if (buffer.crossoverStep !== undefined) {
    const step = buffer.crossoverStep;
    register.each(
      "production",
      { name: "buffer_crossover", meaning: "offset step of the input stage", part, unit: "V" },
      () => step,
    );
  }
}

/** Standard deviation of one code by noise of converter, buffer and reference, LSB, rounded up. */
export function codeNoise(design: Design): Decimal {
  const { adc, buffer, reference } = design;
  const span = reference.voltage.multiply(adc.spanRatio);
  const codes = Decimal.ofInteger(2n ** BigInt(adc.bits));
  const inCodes = (volts: Decimal): Decimal => volts.multiply(codes).divide(span, 20, "up");
  const parts = [
    adc.noise,
    buffer?.noise && inCodes(buffer.noise.multiply(buffer.gain)),
    reference.noise && inCodes(reference.noise),
  ];
  const sum = parts.reduce<Decimal>(
    (total, part) => (part === undefined ? total : total.add(part.multiply(part))),
    Decimal.zero,
  );
  return sum.isZero() ? Decimal.zero : sum.squareRoot(12, "up");
}

/** Converter and noise. */
export function putConverter(register: Register, design: Design): void {
  const { adc, conditions, adjustment } = design;
  const part = "adc";
  const lasting: readonly (readonly [string, string, string, Limits | undefined])[] = [
    ["adc_offset", "offset of the converter", "LSB", adc.offset],
    ["adc_offsetTempco", "offset change with temperature", "LSB/K", adc.offsetTempco],
    ["adc_gainError", "relative gain error of the converter", "1", adc.gainError],
    ["adc_gainTempco", "temperature coefficient of the gain", "1/K", adc.gainTempco],
  ];
  for (const [name, meaning, unit, limits] of lasting)
    if (limits !== undefined) putRatio(register, name, meaning, { part, unit, limits });
  if (adc.offsetTempco !== undefined || adc.gainTempco !== undefined)
    putRise(register, "adc", part, adc.rise);
  const perReading: readonly (readonly [string, string, Limits | undefined])[] = [
    ["adc_nonlinearity", "integral nonlinearity at the code", adc.integralNonlinearity],
    ["adc_unadjusted", "total unadjusted error at the code", adc.totalUnadjustedError],
  ];
  for (const [name, meaning, limits] of perReading)
    if (limits !== undefined)
      register.each("production", { name, meaning, part, unit: "LSB" }, () => limits);
  if (adc.memory !== undefined) {
    const memory = adc.memory;
    register.each(
      "reading",
      {
        name: "adc_memory",
        meaning: "carry-over and incomplete settling, share of span",
        part,
        unit: "1",
      },
      () => memory,
    );
  }
  const noise = codeNoise(design);
  if (noise.isZero()) return;
  register.each(
    "reading",
    { name: "noise", meaning: "noise of the reading, cut", part, unit: "LSB" },
    (occasion) => {
      const averaged =
        occasion === "use" || adjustment.kind === "none"
          ? conditions.readingsAveraged
          : adjustment.averagedReadings;
      const root = Decimal.ofInteger(averaged).squareRoot(20, "down");
      const limit = noise.multiply(conditions.noiseCut).divide(root, 12, "up");
      return {
        ...within(limit, adc.origin),
        distribution: { shape: "normal", coverageFactor: conditions.noiseCut.toNumber() },
      };
    },
  );
}
