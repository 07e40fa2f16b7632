import type { BudgetDocument, BudgetRow, SymbolRow, TermRow } from "./budget-document.ts";
import { limitNames } from "./limit-names.ts";
import {
  decimalsFor,
  percentNotBelow,
  percentOf,
  textNotAbove,
  textNotBelow,
} from "./outward-text.ts";
import { html, trustedMarkup } from "./page-markup.ts";
import type { Markup } from "./page-markup.ts";
import { pictureInPage } from "./page-style.ts";
import { pageTable } from "./page-table.ts";
import type { PageColumn } from "./page-table.ts";
import { rowsThatDecide } from "./record-results.ts";
import { shortNumber } from "./short-number.ts";
import { symbolUncertainty } from "./symbol-uncertainty.ts";
import { uncertaintyNotes, percentText } from "./uncertainty-notes.ts";
import { voltageText } from "./voltage-text.ts";

/** Pictures of the budget as SVG text. */
export interface BudgetPictures {
  readonly errorAgainstVoltage: string;
  readonly largestTerms?: string;
  readonly shares?: string;
}

/** Terms shown one by one at each voltage; budget.json has all. */
const SHOWN = 14;

const right = { align: "right" } as const;
const left = { align: "left" } as const;

/** A rounded indication less a voltage leaves a rest far behind the point, which says nothing. */
function settled(value: number): number {
  return Number(value.toPrecision(12));
}

function rowColumns(rows: readonly BudgetRow[]): readonly PageColumn<BudgetRow>[] {
  const decimals = decimalsFor(rows.map((row) => row.provenError));
  const percent = percentText(rows[0]?.coverageProbability ?? 0);
  const probable: readonly PageColumn<BudgetRow>[] = [
    {
      head: `${percent} low, V`,
      ...right,
      cell: (row) => textNotAbove(settled(row.coverageInterval?.lower ?? 0), decimals),
    },
    {
      head: `${percent} high, V`,
      ...right,
      cell: (row) => textNotBelow(settled(row.coverageInterval?.upper ?? 0), decimals),
    },
    {
      head: "expanded ±, V",
      ...right,
      cell: (row) => textNotBelow(row.expandedUncertainty ?? 0, decimals),
    },
  ];
  const isProbable = rows.every(({ coverageInterval }) => coverageInterval !== undefined);
  return [
    { head: "voltage, V", ...right, isHead: true, cell: (row) => voltageText(row.voltage) },
    { head: "proven low, V", ...right, cell: ({ low }) => textNotAbove(low.proven, decimals) },
    {
      head: "witnessed low, V",
      ...right,
      cell: ({ low }) => textNotBelow(low.witnessed, decimals),
    },
    {
      head: "witnessed high, V",
      ...right,
      cell: ({ high }) => textNotAbove(high.witnessed, decimals),
    },
    { head: "proven high, V", ...right, cell: ({ high }) => textNotBelow(high.proven, decimals) },
    { head: "gap, %", ...right, cell: (row) => percentNotBelow(row.gap, 2) },
    {
      head: "proven, % of voltage",
      ...right,
      cell: (row) => percentOf(row.provenError, row.voltage, 2) ?? "-",
    },
    ...(isProbable ? probable : []),
  ];
}

/** A picture in the page with its caption. */
export function picture(svg: string, caption: string): Markup {
  return html`<figure>
    ${trustedMarkup(pictureInPage(svg))}
    <figcaption>${caption}</figcaption>
  </figure> `;
}

function limitList(rows: readonly BudgetRow[]): Markup {
  const known = rows.filter(({ voltage, limits }) => voltage > 0 && limits.length > 0);
  const entries = known.map(({ voltage, limits }) => {
    const names = limitNames(limits).map(({ name, isRecalled }) =>
      isRecalled ? `${name}*` : name,
    );
    return html`<li>${voltageText(voltage)} V: ${names.join("; ")}</li> `;
  });
  if (entries.length === 0) return html``;
  return html`<h3>Published limits at these voltages</h3>
    <ul class="small">
      ${entries}
    </ul>
    <p class="small">* recalled and not read in the standard: see "From memory".</p> `;
}

/** Section 2: the error against the voltage, as picture and table. */
export function pagePicture(budget: BudgetDocument, pictures: BudgetPictures): Markup {
  const { rows } = budget;
  const example = rows.find(({ voltage, limits }) => voltage > 0 && limits.length > 0) ?? rows[0];
  const band =
    example === undefined
      ? ""
      : ` The row of ${voltageText(example.voltage)} V stands for ${example.band.lower} V to ` +
        `${example.band.upper} V, the others likewise.`;
  return html`<section aria-labelledby="picture">
    <h2 id="picture">2. Error against voltage</h2>
    ${picture(
      pictures.errorAgainstVoltage,
      "Bars: proven bound; marks: witness; the table below holds the same figures.",
    )}
    ${pageTable({
      caption: "Error of indication: indication minus true voltage",
      columns: rowColumns(rows),
      rows,
    })}
    <p>
      Inside the declared limits no error passes a proven figure; a witnessed one is reached.${band}
    </p>
    ${uncertaintyNotes(rows).map((note) => html`<p>${note}</p> `)} ${limitList(rows)}
  </section> `;
}

/** One line of a budget table. */
interface TermLine {
  readonly term: TermRow;
  readonly symbol: SymbolRow | undefined;
  /** Share of the variance; undefined where no uncertainty was evaluated. */
  readonly share: number | undefined;
  /** Standard uncertainty that it contributes, V; its square is the share of the variance. */
  readonly contribution: number | undefined;
}

const OCCASIONS: Readonly<Record<SymbolRow["occasion"], string>> = {
  all: "",
  use: ", in use",
  adjustLow: ", at the lower adjustment point",
  adjustHigh: ", at the upper adjustment point",
};

function distributionText(symbol: SymbolRow | undefined): string {
  if (symbol === undefined) return "rectangular";
  const { distribution } = symbol;
  if (distribution.shape === "normal") return `normal, k = ${distribution.coverageFactor}`;
  return distribution.shape === "twoPoint" ? "two points" : distribution.shape;
}

/** Bar for a part of a whole; the figure stands beside it. */
function bar(part: number, whole: number): Markup {
  const width = Math.min(100, Math.max(0, (100 * part) / whole)).toFixed(1);
  return html`<span class="track" aria-hidden="true"
    ><span class="bar" style="width:${width}%"></span
  ></span>`;
}

function quantityCell({ term, symbol }: TermLine): Markup {
  const meaning = symbol === undefined || symbol.meaning === "" ? term.symbol : symbol.meaning;
  const occasion = symbol === undefined ? "" : OCCASIONS[symbol.occasion];
  return html`${meaning}${occasion}<br /><span class="small"
      >${term.symbol}; ${term.part}, ${term.kind}</span
    >`;
}

function termColumns(allowed: { readonly volts: number; readonly words: string }) {
  const columns: readonly PageColumn<TermLine>[] = [
    { head: "quantity", ...left, isHead: true, cell: quantityCell },
    {
      head: "estimate",
      ...right,
      cell: ({ symbol }) =>
        symbol === undefined ? "0" : shortNumber(Number(symbol.nominal), symbol.unit),
    },
    {
      head: "standard uncertainty",
      ...right,
      cell: ({ symbol }) =>
        symbol === undefined ? "-" : shortNumber(symbolUncertainty(symbol), symbol.unit),
    },
    { head: "distribution", ...left, cell: ({ symbol }) => distributionText(symbol) },
    {
      head: "degrees of freedom",
      ...right,
      cell: ({ symbol }) => String(symbol?.degreesOfFreedom ?? "∞"),
    },
    {
      head: "sensitivity, V per unit",
      ...right,
      cell: ({ symbol, contribution }) =>
        symbol === undefined || contribution === undefined
          ? "-"
          : shortNumber(Number((contribution / symbolUncertainty(symbol)).toPrecision(3)), ""),
    },
    {
      head: "contribution, V",
      ...right,
      cell: ({ contribution }) =>
        contribution === undefined ? "-" : textNotBelow(contribution, 4),
    },
    {
      head: "share of variance, %",
      ...right,
      cell: ({ share }) => (share === undefined ? "-" : percentNotBelow(share, 1)),
    },
    { head: "at its limit, V", ...right, cell: ({ term }) => textNotBelow(term.volts, 4) },
    {
      head: `${allowed.words}, %`,
      ...right,
      cell: ({ term }) => [
        percentOf(term.volts, allowed.volts, 1) ?? "-",
        bar(term.volts, allowed.volts),
      ],
    },
  ];
  return columns;
}

/** The allowed error at a row's voltage, of the strictest requirement judged there. */
function allowedAt(budget: BudgetDocument, row: BudgetRow) {
  const limits = budget.requirements
    .filter(({ voltage }) => voltage === row.voltage)
    .map(({ limit }) => limit);
  return limits.length === 0
    ? { volts: row.provenError, words: "of the proven error" }
    : { volts: Math.min(...limits), words: "of the allowed error" };
}

function budgetAtRow(budget: BudgetDocument, row: BudgetRow): Markup {
  const symbols = new Map(budget.symbols.map((symbol) => [symbol.name, symbol]));
  const shares = new Map((row.shares ?? []).map(({ symbol, share }) => [symbol, share]));
  const terms = row.terms.filter(({ volts }) => volts > 0);
  const lines = terms.slice(0, SHOWN).map((term): TermLine => {
    const share = row.shares === undefined ? undefined : (shares.get(term.symbol) ?? 0);
    const known = share !== undefined && row.combinedStandardUncertainty !== undefined;
    const contribution = known ? Math.sqrt(share) * row.combinedStandardUncertainty : undefined;
    return { term, symbol: symbols.get(term.symbol), share, contribution };
  });
  const rest = terms.slice(SHOWN);
  const restVolts = rest.reduce((sum, { volts }) => sum + volts, 0);
  const { linearSum, rootSumSquare, combinedStandardUncertainty: combined } = row;
  const names = limitNames(row.limits);
  const where = names[0] === undefined ? "" : `, ${names[0].name}`;
  const more = names.length > 1 ? ` and ${names.length - 1} more` : "";
  return html`<section aria-labelledby="at-${voltageText(row.voltage)}">
    <h3 id="at-${voltageText(row.voltage)}">At ${voltageText(row.voltage)} V${where}${more}</h3>
    <p>
      Proven ${textNotAbove(row.low.proven, 4)} V to ${textNotBelow(row.high.proven, 4)} V.
      ${combined === undefined ? "" : `Combined standard uncertainty ${textNotBelow(combined, 4)} V.`}
      ${rest.length} smaller terms, ${textNotBelow(restVolts, 4)} V together at their limits, stand
      in budget.json.
      <span class="small"
        >Common practice would have said: linear sum ${textNotBelow(linearSum, 4)} V,
        root-sum-square ${textNotBelow(rootSumSquare, 4)} V.</span
      >
    </p>
    ${pageTable({
      caption: `Budget at ${voltageText(row.voltage)} V, largest terms first`,
      columns: termColumns(allowedAt(budget, row)),
      rows: lines,
    })}
  </section> `;
}

/** Section 3: the budget at each voltage that decides. */
export function pageBudgets(budget: BudgetDocument, pictures: BudgetPictures): Markup {
  const { largestTerms, shares } = pictures;
  return html`<section aria-labelledby="budget">
    <h2 id="budget">3. What makes the error, at each limit voltage</h2>
    ${largestTerms === undefined ? "" : picture(largestTerms, "Where a requirement is hardest to meet.")}
    ${shares === undefined ? "" : picture(shares, "Shares of the variance at the same voltage.")}
    <p>
      Magnitudes of sensitivities, contributions and shares are those of the law of propagation at
      the expected values (JCGM 100). "At its limit" is the largest magnitude of the term at the
      point where the error is greatest, which the products of quantities make larger; it takes no
      probability.
    </p>
    ${rowsThatDecide(budget).map((row) => budgetAtRow(budget, row))}
  </section> `;
}
