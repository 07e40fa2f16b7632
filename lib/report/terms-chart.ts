import type { BudgetRow, SymbolRow } from "./budget-document.ts";
import { CHART_COLOURS, FONT, FONT_FAMILY } from "./chart-look.ts";
import { cutToWidth } from "./chart-text.ts";
import { decimalsFor, percentOf, textNotBelow } from "./outward-text.ts";
import { printableText } from "./printable-text.ts";
import { finishedSvg, svgElement, svgPage } from "./svg-page.ts";
import type { SvgNode, SvgPage } from "./svg-page.ts";
import { voltageText } from "./voltage-text.ts";

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

/** The same quantity enters a two-point adjusted indication up to three times. */
const OCCASION_WORDS: Readonly<Record<SymbolRow["occasion"], string>> = {
  all: "",
  use: ", in use",
  adjustLow: ", at the lower adjustment point",
  adjustHigh: ", at the upper adjustment point",
};

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

interface Bars {
  readonly row: BudgetRow;
  readonly bars: readonly TermBar[];
  readonly whole: Whole;
  readonly height: number;
}

/** Axis and bars. */
function barPlot({ plot, document }: SvgPage, { bars, height }: Bars): SvgNode {
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
function barTexts(page: SvgPage, { bars, whole }: Bars): readonly SvgNode[] {
  const decimals = Math.min(4, decimalsFor(bars.map(({ volts }) => volts)));
  const width = NAMES - 24;
  const ink = { fill: CHART_COLOURS.ink };
  return bars.flatMap(({ meaning, origin, volts }, rank) => {
    const middle = TOP + ROW * (rank + 0.5);
    const name = { x: NAMES - 10, y: middle - (origin === "" ? -4 : 3), "text-anchor": "end" };
    const under = { x: NAMES - 10, y: middle + 11, "text-anchor": "end" };
    const percent = percentOf(volts, whole.volts, 1);
    const figure = `${textNotBelow(volts, decimals)} V${percent === undefined ? "" : `, ${percent} %`}`;
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

function frameTexts(page: SvgPage, { row, whole, height }: Bars): readonly SvgNode[] {
  const ink = { fill: CHART_COLOURS.ink };
  const heading = { x: 16, y: 26, "text-anchor": "start", "font-weight": "bold" };
  const figures = { x: WIDTH - 12, y: TOP - 10, "text-anchor": "end" };
  const axis = { x: (NAMES + WIDTH - FIGURES) / 2, y: height - 14, "text-anchor": "middle" };
  return [
    svgElement(page, "text", { ...heading, ...ink, "font-size": FONT.heading }, [
      `Largest terms of the error at ${voltageText(row.voltage).replace("-", "−")} V`,
    ]),
    svgElement(page, "text", { ...figures, fill: CHART_COLOURS.quiet, "font-size": FONT.small }, [
      `V, and % ${whole.words}`,
    ]),
    svgElement(page, "text", { ...axis, ...ink, "font-size": FONT.plain }, [
      "largest magnitude of the term, V",
    ]),
  ];
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
  const drawn: Bars = {
    row,
    bars,
    whole,
    height: TOP + ROW * Math.max(1, bars.length) + AXIS_ROOM,
  };
  const page = await svgPage();
  const svg = barPlot(page, drawn);
  svg.append(...barTexts(page, drawn), ...frameTexts(page, drawn));
  const voltage = voltageText(row.voltage);
  const decimals = decimalsFor(bars.map(({ volts }) => volts));
  const spoken = bars.map(({ meaning, origin, volts }) => {
    const from = origin === "" ? "" : ` (${origin})`;
    return `${meaning}${from} ${textNotBelow(volts, decimals)} V`;
  });
  return finishedSvg(page, svg, {
    title: `Largest terms of the error at ${voltage} V`,
    description: `${spoken.join("; ")}. Whole: ${textNotBelow(whole.volts, decimals)} V ${whole.words}.`,
    prefix: "terms-chart",
  });
}
