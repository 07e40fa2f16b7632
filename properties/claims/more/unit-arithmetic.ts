import type { Design } from "../../../lib/design/design.ts";
import type { Configuration } from "../../../sim/firmware/port.ts";

/** Result units of a code by the stored constants, in exact integers. */
export function exactUnits(configuration: Configuration, code: number): number {
  const { multiplier, addend } = configuration.channels[0]!;
  const scale = 2n ** BigInt(configuration.fractionBits);
  const half = configuration.rounding === "nearest" ? scale / 2n : 0n;
  const sum = BigInt(code) * BigInt(multiplier) + BigInt(addend) + half;
  return Number(sum >= 0n ? sum / scale : -((-sum + scale - 1n) / scale));
}

/** The display of a design: its last digit in result units, and what it shows of a result. */
export function shownUnits({ scaling }: Design) {
  const { displayResolution, resultUnit } = scaling;
  const digit = (displayResolution ?? resultUnit).toNumber() / resultUnit.toNumber();
  const shown = (units: number): number =>
    digit === 1 ? units : Math.floor(units / digit + 0.5) * digit;
  return { digit, shown };
}
