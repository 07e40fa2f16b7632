import { Decimal } from "../quantity/decimal.ts";
import type { Design } from "./design.ts";
import { between, putRatio, putRise, within } from "./quantity-register.ts";
import type { Register } from "./quantity-register.ts";

/** Crest of the highest rated mains with its tolerance, V, rounded up to 1 mV. */
export function highestCrest(design: Design): Decimal {
  const { voltages, tolerance } = design.conditions.mains;
  const highest = voltages.reduce((most, voltage) => Decimal.max(most, voltage), Decimal.zero);
  return highest
    .multiply(Decimal.one.add(tolerance))
    .multiply(Decimal.ofInteger(2).squareRoot(20, "up"))
    .roundUp(3);
}

function putInterference(register: Register, design: Design): void {
  const { coupling, remaining, origin } = design.interference!;
  const fastest = design.conditions.mains.frequencies.reduce(
    (most, f) => Decimal.max(most, f),
    Decimal.zero,
  );
  const twoPi = Decimal.parse("6.283185307179586477");
  const amplitude = coupling
    .multiply(remaining)
    .multiply(fastest)
    .multiply(twoPi)
    .multiply(highestCrest(design));
  register.each(
    "reading",
    {
      name: "interference",
      meaning: "mains current coupled onto the node at the moment of sampling",
      part: "interference",
      unit: "A",
    },
    () => ({ ...within(amplitude, origin), distribution: { shape: "arcsine" } }),
  );
}

/** Currents into the node, surface leakage, interference and the load of the sampling. */
export function putNode(register: Register, design: Design): void {
  for (const current of design.currents) {
    const { id, path: part } = current;
    register.put("production", "all", {
      name: `${id}_current`,
      meaning: "current into the node at its reference temperature",
      part,
      unit: "A",
      limits: current.limits,
    });
    if (current.doublesEvery !== undefined) putRise(register, id, part, current.rise);
  }
  if (design.board !== undefined) {
    const { origin } = design.board;
    const paths = ["acrossUpper", "nodeToGround", "nodeToSupply"] as const;
    for (const path of paths) {
      const resistance = design.board[path];
      if (resistance === undefined) continue;
      register.each(
        "environment",
        {
          name: `board_${path}`,
          meaning: "conductance of surface leakage",
          part: `board.${path}`,
          unit: "S",
        },
        () => between(Decimal.zero, Decimal.one.divide(resistance, 20, "up"), origin),
      );
    }
  }
  if (design.interference !== undefined) putInterference(register, design);
  const { sampling } = design.adc;
  if (sampling !== undefined && design.buffer === undefined) {
    putRatio(register, "sampling_tolerance", "relative tolerance of the sampling capacitor", {
      part: "adc.sampling",
      unit: "1",
      limits: within(sampling.tolerance, sampling.origin),
    });
  }
}
