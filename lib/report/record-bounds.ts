import type { AccuracyStatement } from "../design/accuracy-statement.ts";
import { permittedErrorsOver } from "../design/requirement.ts";
import type { Certificate } from "../guarantee/certificate.ts";
import { Decimal } from "../quantity/decimal.ts";
import type { EvidenceRecord } from "./record-document.ts";

type Band = Certificate["bands"][number];

/** Each row's figures must be those that a band of the certificate proves. */
function rowDifferences(record: EvidenceRecord, bands: readonly Band[]): string[] {
  return record.rows.flatMap(({ voltage, band, low, high }) => {
    const proven = bands.some(
      (one) =>
        one.lower <= Number(band.lower) &&
        one.upper >= Number(band.upper) &&
        one.high.proven <= high.proven &&
        one.low.proven >= low.proven,
    );
    return proven ? [] : [`row of ${voltage} V: not what the certificate proves`];
  });
}

/** The parts of the range, both polarities, for which the statement is given. */
function statedParts({
  statement,
  measuringInterval,
}: EvidenceRecord): (readonly [number, number])[] {
  const [from, to] = [Number(statement.from), Number(statement.to)];
  return measuringInterval.flatMap(([low, high]) =>
    (
      [
        [Math.max(from, Number(low)), Math.min(to, Number(high))],
        [Math.max(-to, Number(low)), Math.min(-from, Number(high))],
      ] as const
    ).filter(([lower, upper]) => lower < upper),
  );
}

/** Bands that prove the statement over their whole length, cut to one part, ascending. */
function provingBands(
  statement: AccuracyStatement,
  bands: readonly Band[],
  [lower, upper]: readonly [number, number],
): readonly Band[] {
  return bands
    .filter((band) => band.upper > lower && band.lower < upper)
    .filter((band) => {
      const range = { from: Math.max(band.lower, lower), to: Math.min(band.upper, upper) };
      const permitted = permittedErrorsOver(statement, range);
      return band.high.proven <= permitted.upper && band.low.proven >= permitted.lower;
    })
    .sort((one, other) => one.lower - other.lower);
}

/** The first voltage of a part that no proving band covers; undefined where all are covered. */
function firstUncovered(
  [lower, upper]: readonly [number, number],
  bands: readonly Band[],
): number | undefined {
  let reached = lower;
  for (const band of bands) {
    if (band.lower > reached) return reached;
    reached = Math.max(reached, band.upper);
  }
  return reached >= upper ? undefined : reached;
}

/**
 * Holds the record's rows and its accuracy statement against the bands of a certificate whose
 * proofs were confirmed: every row is proven, and every voltage of the statement lies in a band
 * whose proven error it permits. Returns what is not so.
 */
export function checkRecordBounds(
  record: EvidenceRecord,
  { bands }: Certificate,
): readonly string[] {
  const { statement } = record;
  const accuracy: AccuracyStatement = {
    kind: "indication",
    name: "",
    share: Decimal.parse(statement.share),
    volts: Decimal.parse(statement.volts),
  };
  const gaps = statedParts(record).flatMap((part) => {
    const gap = firstUncovered(part, provingBands(accuracy, bands, part));
    return gap === undefined ? [] : [`accuracy statement: not proven from ${gap} V on`];
  });
  return [...rowDifferences(record, bands), ...gaps];
}
