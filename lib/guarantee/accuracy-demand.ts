import { Decimal } from "../quantity/decimal.ts";
import { voltagesOfPart } from "./accuracy-part.ts";
import type { AccuracyPart, ProvenBand, StatedInterval } from "./accuracy-part.ts";
import type { Side } from "./bracket.ts";

/** What one side of one band asks of a statement: error <= share * indication + volts. */
export interface AccuracyDemand {
  readonly band: ProvenBand;
  readonly side: Side;
  /** Least magnitude of the indication at which the error can stand, V. */
  readonly indication: Decimal;
  /** Magnitude of the error, V, above zero. */
  readonly error: Decimal;
}

/** One band on one polarity, seen by magnitudes. */
interface Piece {
  readonly band: ProvenBand;
  /** Least and largest magnitude of the true voltage, V. */
  readonly least: Decimal;
  readonly largest: Decimal;
  /** Largest error away from zero and the side of the error on which it stands. */
  readonly outward: Decimal;
  readonly outwardSide: Side;
  /** Largest error towards zero, and past it. */
  readonly inward: Decimal;
  readonly inwardSide: Side;
}

function pieceOf(band: ProvenBand, { lower, upper }: StatedInterval): Piece {
  const [above, below] = [Decimal.ofDouble(band.high), Decimal.ofDouble(band.low).negate()];
  return lower.sign() < 0
    ? {
        band,
        least: upper.negate(),
        largest: lower.negate(),
        outward: below,
        outwardSide: "low",
        inward: above,
        inwardSide: "high",
      }
    : {
        band,
        least: lower,
        largest: upper,
        outward: above,
        outwardSide: "high",
        inward: below,
        inwardSide: "low",
      };
}

/** Least magnitude of |V| - inward over the piece: zero where the indication can reach zero. */
function leastInward({ least, largest, inward }: Piece): Decimal {
  if (inward.compare(least) <= 0) return least.subtract(inward);
  return inward.compare(largest) <= 0 ? Decimal.zero : inward.subtract(largest);
}

/**
 * For a share a below 1 the excess |e| - a |V + e| - b is largest, on either side of the error,
 * where the error has its largest magnitude: away from zero it grows by 1 - a per volt of error,
 * towards zero by 1 + a, and past zero by 1 - a again. It falls as the indication moves away from
 * zero. So each side asks one thing, at its largest error and the least indication that goes with
 * it, and nothing that is not asked by a voltage and an error inside the band.
 */
function demandsOfPiece(piece: Piece): AccuracyDemand[] {
  const { band, outward, inward } = piece;
  const demands: AccuracyDemand[] = [];
  if (outward.sign() > 0) {
    const indication = piece.least.add(outward);
    demands.push({ band, side: piece.outwardSide, indication, error: outward });
  }
  if (inward.sign() > 0) {
    const indication = leastInward(piece);
    demands.push({ band, side: piece.inwardSide, indication, error: inward });
  }
  return demands;
}

/**
 * Everything that the bands ask of a statement |I - V| <= a |I| + b over the part of the range:
 * with 0 <= a < 1 and b >= 0 it holds for every voltage and error of the bands exactly where it
 * meets all these demands. Exact; at most two demands per band and polarity.
 */
export function accuracyDemands(
  bands: readonly ProvenBand[],
  part: AccuracyPart,
): readonly AccuracyDemand[] {
  return bands.flatMap((band) =>
    voltagesOfPart(band, part).flatMap((voltages) => demandsOfPiece(pieceOf(band, voltages))),
  );
}
