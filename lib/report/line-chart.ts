import { CHART_COLOURS, FONT, FONT_FAMILY, STATEMENT_DASHES } from "./chart-look.ts";
import { printableText } from "./printable-text.ts";
import { finishedSvg, svgElement, svgPage } from "../drawing/svg-page.ts";
import type { SvgNode } from "../drawing/svg-page.ts";

/** One line of a chart with its own name at its end. */
export interface ChartLine {
  readonly name: string;
  /** Ascending in x; positive where an axis is logarithmic. */
  readonly points: readonly { readonly x: number; readonly y: number }[];
}

/** A chart of lines over one quantity; all data, no drawing. */
export interface LineChart {
  readonly title: string;
  /** What is shown under which conditions, one sentence or more, under the title. */
  readonly subtitle: string;
  readonly xLabel: string;
  readonly yLabel: string;
  readonly logarithmic: { readonly x: boolean; readonly y: boolean };
  readonly lines: readonly ChartLine[];
  /** Points with a word beside them. */
  readonly marks?: readonly { readonly x: number; readonly y: number; readonly text: string }[];
  /** Begins the identifiers inside the picture. */
  readonly prefix: string;
}

const WIDTH = 900;
const HEIGHT = 480;
const MARGIN = { top: 76, right: 230, bottom: 58, left: 72 } as const;
const NAME_STEP = 15;
const LONGEST_NAME = 34;

interface Placed {
  readonly line: ChartLine;
  readonly x: number;
  readonly y: number;
}

/** Names at the ends of their lines, moved apart where they would meet. */
function placedNames(lines: readonly ChartLine[], scaleY: (y: number) => number): Placed[] {
  const ends = lines
    .filter(({ points }) => points.length > 0)
    .map((line) => ({ line, x: WIDTH - MARGIN.right + 8, y: scaleY(line.points.at(-1)!.y) }))
    .sort((one, other) => one.y - other.y);
  let last = -Infinity;
  const placed = ends.map((end) => {
    last = Math.max(end.y, last + NAME_STEP);
    return { ...end, y: last };
  });
  const excess = Math.max(0, last - (HEIGHT - MARGIN.bottom));
  return placed.map((one) => ({ ...one, y: one.y - excess }));
}

function shortName(name: string): string {
  const text = printableText(name);
  return text.length > LONGEST_NAME ? `${text.slice(0, LONGEST_NAME - 1)}…` : text;
}

/**
 * Lines over a common axis as the text of an SVG file, each named at its end and told apart by its
 * dash, with title and text alternative. The same bytes for the same data.
 */
export async function lineChart(chart: LineChart): Promise<string> {
  const page = await svgPage();
  const { plot, document } = page;
  const { statements, proven, ink, quiet, grid, witnessed } = CHART_COLOURS;
  const colours = [proven, ...statements];
  const marks = chart.lines.map((line, order) =>
    plot.line([...line.points], {
      x: "x",
      y: "y",
      stroke: colours[order % colours.length] ?? ink,
      strokeWidth: order === 0 ? 2.2 : 1.6,
      ...(order === 0
        ? {}
        : { strokeDasharray: STATEMENT_DASHES[(order - 1) % STATEMENT_DASHES.length] ?? "4 4" }),
    }),
  );
  const axis = (isLogarithmic: boolean): { type: "log" | "linear" } => ({
    type: isLogarithmic ? "log" : "linear",
  });
  // Prefixes as "500m" would stand beside a unit that has its own.
  const tickFormat = (value: number): string => String(Number(value.toPrecision(6)));
  const svg = plot.plot({
    document: document as never,
    width: WIDTH,
    height: HEIGHT,
    marginTop: MARGIN.top,
    marginRight: MARGIN.right,
    marginBottom: MARGIN.bottom,
    marginLeft: MARGIN.left,
    style: { fontFamily: FONT_FAMILY, fontSize: `${FONT.plain}px`, color: ink },
    x: { ...axis(chart.logarithmic.x), label: null, tickFormat },
    y: { ...axis(chart.logarithmic.y), label: null, tickFormat },
    marks: [
      plot.gridX({ stroke: grid, strokeOpacity: 1 }),
      plot.gridY({ stroke: grid, strokeOpacity: 1 }),
      ...marks,
      plot.dot([...(chart.marks ?? [])], { x: "x", y: "y", r: 4, fill: witnessed, stroke: ink }),
      plot.text([...(chart.marks ?? [])], {
        x: "x",
        y: "y",
        text: "text",
        dy: -12,
        fontSize: FONT.small,
        fill: ink,
      }),
    ],
  });
  const scale = svg.scale("y");
  const node = svg as unknown as SvgNode;
  const word = (text: string, at: Record<string, string | number>): SvgNode =>
    svgElement(
      page,
      "text",
      { fill: ink, "font-size": FONT.plain, "text-anchor": "start", ...at },
      [text],
    );
  for (const { line, x, y } of placedNames(chart.lines, (value) => Number(scale?.apply(value))))
    node.append(word(shortName(line.name), { x, y: y + 4, "font-size": FONT.small }));
  const middleY = (MARGIN.top + HEIGHT - MARGIN.bottom) / 2;
  node.append(
    word(chart.title, { x: 16, y: 26, "font-size": FONT.heading, "font-weight": "bold" }),
    word(chart.subtitle, { x: 16, y: 48, fill: quiet, "font-size": FONT.small }),
    word(chart.xLabel, {
      x: (MARGIN.left + WIDTH - MARGIN.right) / 2,
      y: HEIGHT - 14,
      "text-anchor": "middle",
    }),
    word(chart.yLabel, {
      x: 16,
      y: middleY,
      "text-anchor": "middle",
      transform: `rotate(-90 16 ${middleY})`,
    }),
  );
  const spoken = chart.lines.map(({ name, points }) => {
    const [first, last] = [points[0], points.at(-1)];
    if (first === undefined || last === undefined) return printableText(name);
    const figure = (value: number): string => value.toPrecision(3);
    const at = ({ x, y }: typeof first): string => `${figure(y)} at ${figure(x)}`;
    return `${printableText(name)}: ${at(first)} to ${at(last)}`;
  });
  const noted = (chart.marks ?? []).map(({ text }) => text);
  return finishedSvg(page, node, {
    title: chart.title,
    description: `${chart.subtitle} ${[...spoken, ...noted].join("; ")}.`,
    prefix: chart.prefix,
  });
}
