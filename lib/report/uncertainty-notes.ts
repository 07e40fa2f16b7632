import type { BudgetRow, RowUncertainty, ShareRow } from "./budget-document.ts";
import { percentNotBelow } from "./outward-text.ts";
import { printableText } from "./printable-text.ts";
import { voltageText } from "./voltage-text.ts";

/** "95 %" of a coverage probability. */
export function percentText(share: number): string {
  return `${Number((100 * share).toPrecision(6))} %`;
}

/** More voltages than this are counted and not listed. */
const LISTED = 6;

type UncertainRow = BudgetRow & RowUncertainty;

function hasUncertainty(row: BudgetRow): row is UncertainRow {
  return row.expandedUncertainty !== undefined && row.shares !== undefined;
}

function places(found: readonly UncertainRow[], all: number): string {
  if (found.length === all) return "At every voltage";
  if (found.length > LISTED) return `At ${found.length} of the ${all} voltages`;
  return `At ${found.map(({ voltage }) => `${voltageText(voltage)} V`).join(", ")}`;
}

function shareOf(shares: readonly ShareRow[], kind: ShareRow["kind"]): number {
  return shares.reduce((sum, share) => sum + (share.kind === kind ? share.share : 0), 0);
}

function largest(
  rows: readonly UncertainRow[],
): { row: UncertainRow; share: ShareRow } | undefined {
  const first = rows
    .flatMap((row) => (row.shares[0] === undefined ? [] : [{ row, share: row.shares[0] }]))
    .sort((one, other) => other.share.share - one.share.share)[0];
  return first;
}

/** How the figures were made. */
function methodNote(rows: readonly UncertainRow[]): string {
  const { coverageProbability, trials } = rows[0]!;
  const factors = rows.map(({ coverageFactor }) => coverageFactor);
  const [least, most] = [Math.min(...factors), Math.max(...factors)].map((k) => k.toFixed(2));
  const k = least === most ? `k = ${least}` : `k from ${least} to ${most}`;
  const unrest = Math.max(...rows.map(({ endStability }) => endStability));
  const percent = percentText(coverageProbability);
  return (
    `Expanded: for ${percent} by the law of propagation (JCGM 100), ${k}, about the expected ` +
    `error in the JSON; ${percent} low and high: ${trials} trials through the real roundings ` +
    `(JCGM 101), ends steady to ${percentNotBelow(unrest, 1)} % of half the interval (a rounded ` +
    "indication moves in whole steps). Both hold at the very voltage, the proven figures over its " +
    "band and without any probability."
  );
}

/** Rows whose expanded uncertainty reaches beyond what is possible. */
function beyondNote(rows: readonly UncertainRow[]): string {
  const beyond = rows.filter(
    ({ estimate, expandedUncertainty, low, high }) =>
      estimate - expandedUncertainty < low.proven || estimate + expandedUncertainty > high.proven,
  );
  const found = largest(beyond);
  if (found === undefined) return "";
  const percent = percentNotBelow(found.share.share, 0);
  const worst = voltageText(found.row.voltage);
  return (
    `${places(beyond, rows.length)} the expanded uncertainty reaches beyond the proven bound, ` +
    `which no error can: few terms with hard limits dominate (${printableText(found.share.symbol)} ` +
    `${percent} % of the variance at ${worst} V) and end before k standard uncertainties do.`
  );
}

/** Rows in which the law of propagation fails its validation. */
function invalidNote(rows: readonly UncertainRow[]): string {
  const failed = rows.filter(({ validated }) => !validated);
  if (failed.length === 0) return "";
  const rounding = Math.max(...failed.map(({ shares }) => shareOf(shares, "rounding")));
  const top = largest(failed);
  const reason =
    rounding >= 0.1
      ? `rounding, up to ${percentNotBelow(rounding, 0)} % of the variance, is no random spread at ` +
        "one voltage"
      : "the error is not normally distributed or an end falls on a rounding step" +
        (top === undefined
          ? ""
          : ` (${printableText(top.share.symbol)} makes up to ` +
            `${percentNotBelow(top.share.share, 0)} % of the variance)`);
  return (
    `${places(failed, rows.length)} the expanded uncertainty fails its validation against the ` +
    `trials: ${reason}. Use the interval there.`
  );
}

/** What a reader must know of expanded uncertainty and interval; only what applies. */
export function uncertaintyNotes(rows: readonly BudgetRow[]): readonly string[] {
  const known = rows.filter(hasUncertainty);
  if (known.length === 0 || known.length < rows.length) return [];
  const notes = [methodNote(known), beyondNote(known), invalidNote(known)];
  return notes.filter((note) => note !== "");
}
