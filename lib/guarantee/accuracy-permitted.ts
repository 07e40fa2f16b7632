import type { ShareAndVolts } from "../design/accuracy-statement.ts";
import { voltagesOfPart } from "./accuracy-part.ts";
import type { AccuracyPart, StatedInterval } from "./accuracy-part.ts";
import { SIDES } from "./bracket.ts";
import type { Magnitudes, Side } from "./bracket.ts";

/**
 * Largest error, V, that a statement permits everywhere on a piece of one polarity, away from zero
 * (`outward`, where the indication is larger than the voltage) or towards it. A hair below the
 * exact figure; the fit checks exactly.
 */
function permittedOn(
  { share, volts }: ShareAndVolts,
  piece: { readonly least: number; readonly largest: number },
  direction: "outward" | "inward",
): number {
  const [a, b] = [share.toNumber(), volts.toNumber()];
  const { least, largest } = piece;
  const hair = 1 - 1e-12;
  if (direction === "outward") return (hair * (a * least + b)) / (1 - a);
  // Towards zero the indication shrinks, is zero where the error reaches the voltage, and grows.
  if (b <= least) return (hair * (a * least + b)) / (1 + a);
  return hair * (b <= largest ? b : (b - a * largest) / (1 - a));
}

/** Largest error of each side, V, that all statements permit everywhere on a stretch of the part. */
export function permittedMagnitudes(
  statements: readonly ShareAndVolts[],
  stretch: StatedInterval,
  part: AccuracyPart,
): Magnitudes {
  const most: Record<Side, number> = { high: Infinity, low: Infinity };
  for (const { lower, upper } of voltagesOfPart(stretch, part)) {
    const isNegative = lower.sign() < 0;
    const ends = [Math.abs(lower.toNumber()), Math.abs(upper.toNumber())] as const;
    const piece = { least: Math.min(...ends), largest: Math.max(...ends) };
    for (const side of SIDES) {
      const direction = (side === "high") === isNegative ? "inward" : "outward";
      for (const statement of statements)
        most[side] = Math.min(most[side], permittedOn(statement, piece, direction));
    }
  }
  return most;
}
