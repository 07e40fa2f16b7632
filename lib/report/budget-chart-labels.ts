import type { BudgetChartData } from "./budget-chart-data.ts";
import { LABEL } from "./budget-chart-frame.ts";
import type { ChartFrame } from "./budget-chart-frame.ts";
import { badge } from "./budget-chart-marks.ts";
import { statementLook } from "./budget-chart-plot.ts";
import type { DrawnPlot } from "./budget-chart-plot.ts";
import { ACCURACY_DASH, CHART_COLOURS, FONT, LINE_WIDTHS } from "./chart-look.ts";
import { linesInBox } from "./chart-text.ts";
import { spreadLabels } from "./label-spread.ts";
import { svgElement } from "../drawing/svg-page.ts";
import type { SvgNode, SvgPage } from "../drawing/svg-page.ts";
import { voltageText } from "./voltage-text.ts";

interface Spot {
  readonly x: number;
  readonly y: number;
}

/** A line of the plot that is named at its right. */
interface NamedLine {
  readonly text: string;
  /** Ascending by x, pixels. */
  readonly spots: readonly Spot[];
  readonly stroke: string;
  readonly dash: string;
  readonly width: number;
  readonly badge?: number;
  /** Largest figure of the line, V, for a line that is nowhere inside the plot. */
  readonly largest: number;
}

/** From the plot to the labels at its right. */
const LEADER = 22;
/** A piece of the line in front of its name. */
const SAMPLE = { length: 24, room: 30 };
const BADGE_ROOM = 22;
/** Room along the top for one slanted label of a limit voltage. */
const SLANTED = 17;

function highSpots(
  points: readonly { readonly voltage: number; readonly high: number | undefined }[],
  plot: DrawnPlot,
): readonly Spot[] {
  return points.flatMap(({ voltage, high }) =>
    high === undefined ? [] : [{ x: plot.x(voltage), y: plot.y(high) }],
  );
}

/** Upper lines only: the lower ones mirror them with the same dash. */
function namedLines(data: BudgetChartData, plot: DrawnPlot): readonly NamedLine[] {
  const own: NamedLine = {
    text: "this design, proven",
    spots: highSpots(data.proven, plot),
    stroke: CHART_COLOURS.tint,
    dash: "none",
    width: 10,
    largest: 0,
  };
  const accuracy: NamedLine = {
    text: data.accuracy.label,
    spots: highSpots(data.accuracy.branches.at(-1) ?? [], plot),
    stroke: CHART_COLOURS.proven,
    dash: ACCURACY_DASH,
    width: LINE_WIDTHS.accuracy,
    largest: Math.max(0, ...data.accuracy.branches.flat().map(({ high }) => high)),
  };
  const required = data.requirements
    .filter(({ over }) => over === "range")
    .map(({ number, text, allowed }) => ({
      text,
      spots: highSpots(allowed, plot),
      stroke: CHART_COLOURS.required,
      dash: "none",
      width: LINE_WIDTHS.required,
      badge: number,
      largest: Math.max(0, ...allowed.map(({ high }) => high ?? 0)),
    }));
  const statements = data.statements.map(({ label, permitted }, place) => ({
    text: label,
    spots: permitted.map(({ voltage, error }) => ({ x: plot.x(voltage), y: plot.y(error) })),
    ...statementLook(place),
    width: LINE_WIDTHS.statement,
    largest: Math.max(0, ...permitted.map(({ error }) => error)),
  }));
  return [own, accuracy, ...required, ...statements].filter(({ spots }) => spots.length > 0);
}

/** Where a line ends at the right, or leaves the plot at its top; nothing where it is outside. */
function lastSpot({ spots }: NamedLine, top: number): Spot | undefined {
  const place = spots.findLastIndex(({ y }) => y >= top);
  const [inside, beyond] = [spots[place], spots[place + 1]];
  if (inside === undefined || beyond === undefined) return inside;
  const share = (inside.y - top) / (inside.y - beyond.y);
  return { x: inside.x + share * (beyond.x - inside.x), y: top };
}

function textIndent({ badge: number }: NamedLine): number {
  return SAMPLE.room + (number === undefined ? 0 : BADGE_ROOM);
}

interface PlacedLine extends NamedLine {
  readonly lines: readonly string[];
  readonly anchor: Spot;
  readonly isOutside: boolean;
}

function placedLine(line: NamedLine, { plot, width }: ChartFrame): PlacedLine {
  const spot = lastSpot(line, plot.top);
  const isOutside = spot === undefined;
  const text = isOutside
    ? `outside the plot, up to ±${voltageText(line.largest)} V: ${line.text}`
    : line.text;
  const room = width - plot.right - LEADER - textIndent(line) - 8;
  const box = { width: room, fontSize: FONT.small, lines: LABEL.lines };
  const anchor = spot ?? { x: plot.right, y: plot.top };
  return { ...line, lines: linesInBox(text, box), anchor, isOutside };
}

/** A thin leader from the end of the line to a sample of it. */
function sampleMarks(page: SvgPage, line: PlacedLine, { x, y }: Spot): readonly SvgNode[] {
  const { anchor, stroke, dash, width, isOutside } = line;
  const leader = `M${anchor.x + 2},${anchor.y}L${x - 4},${y}`;
  const thin = { fill: "none", stroke: CHART_COLOURS.zero, "stroke-width": 0.8 };
  const look = { stroke, "stroke-dasharray": dash, "stroke-width": width };
  return [
    ...(isOutside ? [] : [svgElement(page, "path", { d: leader, ...thin })]),
    svgElement(page, "path", { d: `M${x},${y}h${SAMPLE.length}`, ...look }),
  ];
}

function lineLabel(page: SvgPage, line: PlacedLine, { x, y }: Spot): readonly SvgNode[] {
  const { stroke, lines } = line;
  const fill = stroke === CHART_COLOURS.tint ? CHART_COLOURS.proven : stroke;
  const first = y - (LABEL.lineHeight * (lines.length - 1)) / 2;
  const start = x + textIndent(line);
  const spans = lines.map((words, place) => {
    const spot = { x: start, y: first + LABEL.lineHeight * place, dy: "0.35em" };
    return svgElement(page, "tspan", spot, [words]);
  });
  const number =
    line.badge === undefined ? [] : [badge(page, line.badge, { x: x + SAMPLE.room + 8, y })];
  const text = svgElement(page, "text", { "font-size": FONT.small, fill }, spans);
  return [...sampleMarks(page, line, { x, y }), ...number, text];
}

/** Names of the lines at the right of the plot, moved apart, each joined to the end of its line. */
function lineLabels(page: SvgPage, data: BudgetChartData, plot: DrawnPlot, frame: ChartFrame) {
  const lines = namedLines(data, plot).map((line) => placedLine(line, frame));
  const middles = spreadLabels(
    lines.map((line) => ({
      wanted: line.anchor.y,
      size: LABEL.lineHeight * line.lines.length + LABEL.gap,
    })),
    { from: frame.plot.top - 8, to: frame.plot.bottom + 8 },
  );
  return lines.flatMap((line, place) =>
    lineLabel(page, line, {
      x: frame.plot.right + LEADER,
      y: middles[place] ?? line.anchor.y,
    }),
  );
}

/** Slanted names of the limit voltages above the plot, each joined to its dotted line. */
function limitLabels(page: SvgPage, data: BudgetChartData, plot: DrawnPlot, frame: ChartFrame) {
  const { top, left, right } = frame.plot;
  const xs = data.limits.map(({ voltage }) => plot.x(voltage));
  const places = spreadLabels(
    xs.map((x) => ({ wanted: x, size: SLANTED })),
    { from: left - 20, to: right + 20 },
  );
  return data.limits.flatMap(({ label }, index) => {
    const [x, place] = [xs[index] ?? left, places[index] ?? left];
    const leader = { d: `M${x},${top}V${top - 3}L${place},${top - 12}`, fill: "none" };
    const turned = `translate(${place + 3},${top - 16}) rotate(-45)`;
    return [
      svgElement(page, "path", { ...leader, stroke: CHART_COLOURS.quiet }),
      svgElement(page, "text", { transform: turned, "font-size": FONT.small }, [label]),
    ];
  });
}

/** Every label in and around the plot, none over another. */
export function budgetChartLabels(
  page: SvgPage,
  data: BudgetChartData,
  plot: DrawnPlot,
  frame: ChartFrame,
): readonly SvgNode[] {
  return [
    svgElement(page, "g", { "text-anchor": "start", fill: CHART_COLOURS.quiet }, [
      ...limitLabels(page, data, plot, frame),
    ]),
    svgElement(page, "g", { "text-anchor": "start" }, [...lineLabels(page, data, plot, frame)]),
  ];
}
