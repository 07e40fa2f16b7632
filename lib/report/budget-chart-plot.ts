import type { BudgetChartData, DrawnRequirement } from "./budget-chart-data.ts";
import type { ChartFrame } from "./budget-chart-frame.ts";
import {
  ACCURACY_DASH,
  CHART_COLOURS,
  FONT,
  FONT_FAMILY,
  LINE_WIDTHS,
  STATEMENT_DASHES,
} from "./chart-look.ts";
import type { SvgNode, SvgPage } from "../drawing/svg-page.ts";
import { axisTicks } from "./symmetric-log.ts";
import type { SymmetricLog } from "./symmetric-log.ts";
import { voltageText } from "./voltage-text.ts";

/** The drawn axes, bands and lines, and where a figure stands in them, in pixels. */
export interface DrawnPlot {
  readonly svg: SvgNode;
  readonly x: (voltage: number) => number;
  readonly y: (error: number) => number;
}

/** Dash and colour of the statement at a place in the list. */
export function statementLook(place: number): { readonly stroke: string; readonly dash: string } {
  const colours = CHART_COLOURS.statements;
  return {
    stroke: colours[place % colours.length] ?? CHART_COLOURS.quiet,
    dash: STATEMENT_DASHES[place % STATEMENT_DASHES.length] ?? "",
  };
}

/** Text of a tick with a true minus sign. */
function tickText(value: number): string {
  return voltageText(value).replace("-", "−");
}

type PlotLibrary = SvgPage["plot"];

function grid(plot: PlotLibrary, frame: ChartFrame) {
  const { left, right, top, bottom } = frame.plot;
  const [width, height] = [right - left - 2 * frame.inset, bottom - top];
  const voltages = axisTicks(frame.voltage, { length: width, spacing: 40, ends: "asked" });
  const errors = axisTicks(frame.error, { length: height, spacing: 20, ends: "free" });
  const axis = { tickFormat: tickText, label: null, fontSize: FONT.plain, tickSize: 4 };
  return [
    plot.gridX(voltages, { stroke: CHART_COLOURS.grid, strokeOpacity: 1 }),
    plot.gridY(errors, { stroke: CHART_COLOURS.grid, strokeOpacity: 1 }),
    plot.axisX(voltages, { ...axis, anchor: "bottom" }),
    plot.axisY(errors, { ...axis, anchor: "left" }),
  ];
}

/** The tint joins the voltages of the rows; what is proven stands at them as bars. */
function ownError(plot: PlotLibrary, data: BudgetChartData) {
  const place = { x: "voltage", y1: "low", y2: "high" };
  return [
    plot.areaY(data.proven, { ...place, fill: CHART_COLOURS.tint }),
    plot.ruleX(data.proven, {
      ...place,
      stroke: CHART_COLOURS.proven,
      strokeWidth: LINE_WIDTHS.bar,
    }),
  ];
}

function limitLines(plot: PlotLibrary, data: BudgetChartData) {
  const look = { stroke: CHART_COLOURS.quiet, strokeDasharray: "1 3" };
  return [plot.ruleX(data.limits, { x: "voltage", ...look })];
}

function statementLines(plot: PlotLibrary, data: BudgetChartData) {
  return data.statements.flatMap(({ permitted }, place) => {
    const { stroke, dash } = statementLook(place);
    const look = {
      x: "voltage",
      stroke,
      strokeDasharray: dash,
      strokeWidth: LINE_WIDTHS.statement,
      clip: true,
    };
    const negative = permitted.map(({ voltage, error }) => ({ voltage, error: -error }));
    return [
      plot.lineY(permitted, { ...look, y: "error" }),
      plot.lineY(negative, { ...look, y: "error" }),
    ];
  });
}

function requirementLines(plot: PlotLibrary, requirements: readonly DrawnRequirement[]) {
  const look = {
    x: "voltage",
    stroke: CHART_COLOURS.required,
    strokeWidth: LINE_WIDTHS.required,
    clip: true,
  };
  return requirements
    .filter(({ over }) => over === "range")
    .flatMap(({ allowed }) => [
      plot.lineY(allowed, { ...look, y: "low" }),
      plot.lineY(allowed, { ...look, y: "high" }),
    ]);
}

/** Without its axis, whose ticks are chosen by us: the library leaves some out on such scales. */
function scale({ constant, domain }: SymmetricLog) {
  return { type: "symlog" as const, constant, domain: [...domain], axis: null };
}

function accuracyLines(plot: PlotLibrary, data: BudgetChartData) {
  const look = {
    x: "voltage",
    stroke: CHART_COLOURS.proven,
    strokeDasharray: ACCURACY_DASH,
    strokeWidth: LINE_WIDTHS.accuracy,
    clip: true,
  };
  return data.accuracy.branches.flatMap((branch) => [
    plot.lineY(branch, { ...look, y: "low" }),
    plot.lineY(branch, { ...look, y: "high" }),
  ]);
}

/** Draws axes, bands and lines; labels and what has no line in the library are added by others. */
export function budgetChartPlot(
  { plot, document }: SvgPage,
  data: BudgetChartData,
  frame: ChartFrame & { readonly height: number },
): DrawnPlot {
  const { left, right, top, bottom } = frame.plot;
  const svg = plot.plot({
    document: document as never,
    width: frame.width,
    height: frame.height,
    marginLeft: left,
    marginRight: frame.width - right,
    marginTop: top,
    marginBottom: frame.height - bottom,
    style: { fontFamily: FONT_FAMILY, fontSize: `${FONT.plain}px`, color: CHART_COLOURS.ink },
    x: { ...scale(frame.voltage), insetLeft: frame.inset, insetRight: frame.inset },
    y: scale(frame.error),
    marks: [
      ...grid(plot, frame),
      ...ownError(plot, data).slice(0, 1),
      plot.ruleY([0], { stroke: CHART_COLOURS.zero }),
      ...limitLines(plot, data),
      ...statementLines(plot, data),
      ...requirementLines(plot, data.requirements),
      ...accuracyLines(plot, data),
      ...ownError(plot, data).slice(1),
    ],
  }) as unknown as SvgNode & {
    scale(name: string): { apply(value: number): number } | undefined;
  };
  const apply = (name: string) => (value: number) => svg.scale(name)?.apply(value) ?? 0;
  return { svg, x: apply("x"), y: apply("y") };
}
