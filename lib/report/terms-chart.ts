import type { BudgetRow, SymbolRow } from "./budget-document.ts";
import { CHART_COLOURS, FONT, FONT_FAMILY } from "./chart-look.ts";
import { cutToWidth } from "./chart-text.ts";
import { decimalsFor, percentOf, textNotBelow } from "./outward-text.ts";
import { printableText } from "./printable-text.ts";
import { shareLines } from "./share-table.ts";
import { finishedSvg, svgElement, svgPage } from "../drawing/svg-page.ts";
import type { SvgNode, SvgPage } from "../drawing/svg-page.ts";
import { voltageText } from "./voltage-text.ts";
import { OCCASION_WORDS } from "./occasion-words.ts";

/** What the bars are held against and named by. */
export interface TermsContext {
  /** Error allowed at the row's voltage, V; without it the shares are those of the sum. */
  readonly allowed?: number;
  /** For the meanings of the quantities; without it their names are shown. */
  readonly symbols?: readonly SymbolRow[];
}

/** One bar. */
export interface TermBar {
  /** What the quantity is. */
  readonly meaning: string;
  /** Part, kind and the reading it belongs to; empty for the sum of the rest. */
  readonly origin: string;
  /** V. */
  readonly volts: number;
}

const WIDTH = 900;
const NAMES = 372;
const FIGURES = 128;
const TOP = 66;
const ROW = 34;
const BAR = 18;
const AXIS_ROOM = 52;
/** Every bar in the middle of its row. */
const BANDS = { paddingInner: 1 - BAR / ROW, paddingOuter: (1 - BAR / ROW) / 2, round: false };
/** Bars shown one by one; the terms behind them are summed. */
const SHOWN = 10;

/** The largest terms of a row, largest first, and the sum of the rest; in V as in the document. */
export function termBars(row: BudgetRow, symbols: readonly SymbolRow[] = []): readonly TermBar[] {
  const known = new Map(symbols.map((symbol) => [symbol.name, symbol]));
  const terms = row.terms
    .filter(({ volts }) => volts > 0)
    .sort((one, other) => other.volts - one.volts);
  const shown = terms.length > SHOWN + 1 ? terms.slice(0, SHOWN) : terms;
  const rest = terms.slice(shown.length);
  const bars = shown.map(({ symbol, part, kind, volts }) => {
    const { meaning = "", occasion = "all" } = known.get(symbol) ?? {};
    return {
      meaning: printableText(meaning === "" ? symbol : meaning),
      origin: printableText(`${part}, ${kind}${OCCASION_WORDS[occasion]}`),
      volts,
    };
  });
  if (rest.length === 0) return bars;
  const volts = rest.reduce((sum, term) => sum + term.volts, 0);
  return [...bars, { meaning: `${rest.length} smaller terms together`, origin: "", volts }];
}

interface Whole {
  readonly words: string;
  readonly volts: number;
}

/** Shares refer to what is allowed where that is known. */
function wholeOf(row: BudgetRow, { allowed }: TermsContext): Whole {
  return allowed !== undefined && allowed > 0
    ? { words: "of the allowed error", volts: allowed }
    : { words: "of their sum", volts: row.linearSum };
}

/** Bars with the words around them. */
interface Bars {
  readonly bars: readonly TermBar[];
  readonly heading: string;
  /** Above the figures. */
  readonly note: string;
  readonly axis: string;
  /** Figure beside a bar. */
  readonly figure: (value: number) => string;
  readonly description: string;
  readonly prefix: string;
}

const heightOf = (bars: readonly TermBar[]): number =>
  TOP + ROW * Math.max(1, bars.length) + AXIS_ROOM;

/** Axis and bars. */
function barPlot({ plot, document }: SvgPage, { bars }: Bars): SvgNode {
  const height = heightOf(bars);
  const ranked = bars.map((bar, rank) => ({ ...bar, rank }));
  const bottom = height - AXIS_ROOM;
  const largest = Math.max(0, ...bars.map(({ volts }) => volts));
  return plot.plot({
    document: document as never,
    width: WIDTH,
    height,
    marginLeft: NAMES,
    marginRight: FIGURES,
    marginTop: TOP,
    marginBottom: height - bottom,
    style: { fontFamily: FONT_FAMILY, fontSize: `${FONT.plain}px`, color: CHART_COLOURS.ink },
    x: { domain: [0, largest > 0 ? largest : 1], axis: null },
    y: { domain: ranked.map(({ rank }) => rank), axis: null, ...BANDS },
    marks: [
      plot.gridX({ stroke: CHART_COLOURS.grid, strokeOpacity: 1, ticks: 6 }),
      plot.axisX({ anchor: "bottom", label: null, ticks: 6, tickSize: 4, fontSize: FONT.plain }),
      plot.barX(ranked, {
        x: "volts",
        y: "rank",
        fill: ({ origin }: TermBar) => (origin === "" ? CHART_COLOURS.tint : CHART_COLOURS.proven),
        stroke: CHART_COLOURS.proven,
      }),
      plot.ruleX([0], { stroke: CHART_COLOURS.zero }),
    ],
  }) as unknown as SvgNode;
}

/** Names at the left of the bars and figures at the right of the plot. */
function barTexts(page: SvgPage, { bars, figure: figureOf }: Bars): readonly SvgNode[] {
  const width = NAMES - 24;
  const ink = { fill: CHART_COLOURS.ink };
  return bars.flatMap(({ meaning, origin, volts }, rank) => {
    const middle = TOP + ROW * (rank + 0.5);
    const name = { x: NAMES - 10, y: middle - (origin === "" ? -4 : 3), "text-anchor": "end" };
    const under = { x: NAMES - 10, y: middle + 11, "text-anchor": "end" };
    const figure = figureOf(volts);
    const plain = { width, fontSize: FONT.plain };
    const small = { width, fontSize: FONT.small };
    return [
      svgElement(page, "text", { ...name, ...ink, "font-size": FONT.plain }, [
        cutToWidth(meaning, plain),
      ]),
      svgElement(page, "text", { ...under, fill: CHART_COLOURS.quiet, "font-size": FONT.small }, [
        cutToWidth(origin, small),
      ]),
      svgElement(
        page,
        "text",
        { x: WIDTH - 12, y: middle + 4, "text-anchor": "end", ...ink, "font-size": FONT.plain },
        [figure],
      ),
    ];
  });
}

function frameTexts(page: SvgPage, { bars, ...words }: Bars): readonly SvgNode[] {
  const height = heightOf(bars);
  const ink = { fill: CHART_COLOURS.ink };
  const heading = { x: 16, y: 26, "text-anchor": "start", "font-weight": "bold" };
  const figures = { x: WIDTH - 12, y: TOP - 10, "text-anchor": "end" };
  const axis = { x: (NAMES + WIDTH - FIGURES) / 2, y: height - 14, "text-anchor": "middle" };
  return [
    svgElement(page, "text", { ...heading, ...ink, "font-size": FONT.heading }, [
      words.heading.replace("at -", "at −"),
    ]),
    svgElement(page, "text", { ...figures, fill: CHART_COLOURS.quiet, "font-size": FONT.small }, [
      words.note,
    ]),
    svgElement(page, "text", { ...axis, ...ink, "font-size": FONT.plain }, [words.axis]),
  ];
}

async function barChart(drawn: Bars): Promise<string> {
  const page = await svgPage();
  const svg = barPlot(page, drawn);
  svg.append(...barTexts(page, drawn), ...frameTexts(page, drawn));
  const { heading: title, description, prefix } = drawn;
  return finishedSvg(page, svg, { title, description, prefix });
}

/**
 * The largest terms at one voltage as horizontal bars in an SVG file of 900 pixels width, each with
 * its volts and its share of what is allowed there; magnitudes at one point, whose sum is not the
 * proven error. It reads without colour and has a title and a text alternative.
 *
 * Throws InvalidInputError for a figure that is not finite.
 */
export async function termsChart(row: BudgetRow, context: TermsContext = {}): Promise<string> {
  const bars = termBars(row, context.symbols);
  const whole = wholeOf(row, context);
  const decimals = decimalsFor(bars.map(({ volts }) => volts));
  const fewer = Math.min(4, decimals);
  const spoken = bars.map(({ meaning, origin, volts }) => {
    const from = origin === "" ? "" : ` (${origin})`;
    return `${meaning}${from} ${textNotBelow(volts, decimals)} V`;
  });
  return barChart({
    bars,
    heading: `Largest terms of the error at ${voltageText(row.voltage)} V`,
    note: `V, and % ${whole.words}`,
    axis: "largest magnitude of the term, V",
    figure: (volts) => {
      const percent = percentOf(volts, whole.volts, 1);
      return `${textNotBelow(volts, fewer)} V${percent === undefined ? "" : `, ${percent} %`}`;
    },
    description: `${spoken.join("; ")}. Whole: ${textNotBelow(whole.volts, decimals)} V ${whole.words}.`,
    prefix: "terms-chart",
  });
}

/**
 * The largest shares of the variance at one voltage as bars, in the same form. Undefined for a row
 * without uncertainty.
 */
export async function sharesChart(
  row: BudgetRow,
  symbols: readonly SymbolRow[] = [],
): Promise<string | undefined> {
  const { shares } = row;
  if (shares === undefined) return undefined;
  const bars = shareLines(shares, symbols).map(({ words, origin, share }) => ({
    meaning: words,
    origin,
    volts: 100 * share,
  }));
  const figure = (percent: number): string => `${percent.toFixed(1)} %`;
  const spoken = bars.map(({ meaning, volts }) => `${meaning} ${figure(volts)}`);
  return barChart({
    bars,
    heading: `Shares of the variance of the error at ${voltageText(row.voltage)} V`,
    note: "% of the variance, first order",
    axis: "share of the variance, %",
    figure,
    description: `${spoken.join("; ")}.`,
    prefix: "shares-chart",
  });
}
