import { add, constant, divide, multiply, named, subtract } from "../expression/build.ts";
import type { Expression } from "../expression/node.ts";
import { AMBIENT_ORIGIN_CELSIUS } from "../design/occasions.ts";
import { Decimal } from "../quantity/decimal.ts";
import type { ReadingSymbols } from "./reading-symbols.ts";
import type { Stage } from "./stage.ts";

function drifting(reading: ReadingSymbols, value: Expression, tempco: string, id: string) {
  if (!reading.has(tempco)) return value;
  const temperature = reading.temperatureAbove(id, AMBIENT_ORIGIN_CELSIUS);
  return add(value, multiply(reading.lasting(tempco), temperature));
}

/** The buffer on the node voltage over the reference voltage. */
export function bufferStage(reading: ReadingSymbols, referenceVoltage: Expression): Stage[] {
  const { buffer, conditions } = reading.design;
  if (buffer === undefined) return [];
  const middle = conditions.supply.lower
    .add(conditions.supply.upper)
    .multiply(Decimal.parse("0.5"));
  const gain = multiply(
    buffer.gain,
    add(1, reading.lasting("buffer_gainError")),
    drifting(reading, constant(1), "buffer_gainTempco", "buffer"),
  );
  const bySupply = reading.has("buffer_supply")
    ? multiply(reading.lasting("buffer_supply"), subtract(reading.here("supply"), middle))
    : constant(0);
  const offset = add(
    drifting(reading, reading.lasting("buffer_offset"), "buffer_offsetTempco", "buffer"),
    bySupply,
    reading.hereOrZero("buffer_crossover"),
  );
  return [
    {
      gain: add(1, reading.lastingOrZero("buffer_commonMode")),
      offset: divide(named(`bufferError_${reading.occasion}`, offset), referenceVoltage),
    },
    { gain, offset: constant(0) },
  ];
}

/** The converter: from voltage over reference to the code before rounding, LSB. */
export function converterStage(reading: ReadingSymbols): Stage {
  const { adc } = reading.design;
  const codes = Decimal.ofInteger(2n ** BigInt(adc.bits));
  const gain = divide(
    multiply(
      codes,
      add(1, reading.lastingOrZero("adc_gainError")),
      drifting(reading, constant(1), "adc_gainTempco", "adc"),
    ),
    adc.spanRatio,
  );
  const offset = add(
    drifting(reading, reading.lastingOrZero("adc_offset"), "adc_offsetTempco", "adc"),
    reading.hereOrZero("adc_nonlinearity"),
    reading.hereOrZero("adc_unadjusted"),
    multiply(codes, reading.hereOrZero("adc_memory")),
    reading.hereOrZero("noise"),
  );
  return { gain, offset };
}
