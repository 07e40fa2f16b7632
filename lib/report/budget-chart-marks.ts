import type { AllowedErrors, BudgetChartData, ErrorSpan } from "./budget-chart-data.ts";
import type { DrawnPlot } from "./budget-chart-plot.ts";
import { CHART_COLOURS, FONT, LINE_WIDTHS } from "./chart-look.ts";
import { svgElement } from "../drawing/svg-page.ts";
import type { SvgNode, SvgPage } from "../drawing/svg-page.ts";

/** Half the width of the end of a bar, pixels. */
const CAP = 6;
/** Half the width of a bracket and the length of its ends. */
const BRACKET = { half: 9, ends: 5 };
const BADGE_RADIUS = 8;

interface Spot {
  readonly x: number;
  readonly y: number;
}

/** A number in a ring that ties a mark to its line in the key. */
export function badge(page: SvgPage, number: number, { x, y }: Spot): SvgNode {
  const text = { x, y, dy: "0.35em", "text-anchor": "middle", "font-size": FONT.small };
  return svgElement(page, "g", { fill: CHART_COLOURS.required }, [
    svgElement(page, "circle", {
      cx: x,
      cy: y,
      r: BADGE_RADIUS,
      fill: "#ffffff",
      stroke: CHART_COLOURS.required,
    }),
    svgElement(page, "text", { ...text, "font-weight": "bold" }, [String(number)]),
  ]);
}

/** The ends of a bar at the two proven errors. */
export function provenCaps(page: SvgPage, spans: readonly { x: number; ys: readonly number[] }[]) {
  const d = spans.flatMap(({ x, ys }) => ys.map((y) => `M${x - CAP},${y}h${2 * CAP}`)).join("");
  return svgElement(page, "path", {
    d,
    stroke: CHART_COLOURS.proven,
    "stroke-width": LINE_WIDTHS.cap,
  });
}

/** A spot for each witnessed error, light inside a dark ring so that it shows on the bar. */
export function witnessDots(page: SvgPage, spots: readonly Spot[]): SvgNode {
  const dots = spots.map(({ x, y }) => svgElement(page, "circle", { cx: x, cy: y, r: 2.2 }));
  const look = { fill: CHART_COLOURS.witnessed, stroke: CHART_COLOURS.ink, "stroke-width": 0.9 };
  return svgElement(page, "g", look, dots);
}

/** A bracket that opens away from zero: the error has to stay on the closed side. */
export function bracket(page: SvgPage, { x, y }: Spot, side: "low" | "high"): SvgNode {
  const { half, ends } = BRACKET;
  const away = side === "high" ? -ends : ends;
  const d = `M${x - half},${y + away}V${y}H${x + half}V${y + away}`;
  const look = { fill: "none", stroke: CHART_COLOURS.required, "stroke-width": 2 };
  return svgElement(page, "path", { d, ...look });
}

/** Steps from a bracket to its number, nearest first; upward is away from zero. */
const BADGE_STEPS: readonly Spot[] = [0, 1, 2, 3].flatMap((row) => [
  { x: 0, y: 14 + 18 * row },
  { x: 18, y: 8 + 18 * row },
  { x: -18, y: 8 + 18 * row },
]);

/** The nearest spot to a bracket at which no number stands yet; the last one where none is free. */
function freeSpot(taken: readonly Spot[], { x, y }: Spot, side: "low" | "high"): Spot {
  const away = side === "high" ? -1 : 1;
  const spots = BADGE_STEPS.map((step) => ({ x: x + step.x, y: y + away * step.y }));
  const free = spots.find((spot) =>
    taken.every((other) => Math.hypot(spot.x - other.x, spot.y - other.y) > 2 * BADGE_RADIUS + 1),
  );
  return free ?? spots.at(-1) ?? { x, y };
}

function endsOf({ low, high }: AllowedErrors): readonly { side: "low" | "high"; error: number }[] {
  return [
    ...(high === undefined ? [] : [{ side: "high" as const, error: high }]),
    ...(low === undefined ? [] : [{ side: "low" as const, error: low }]),
  ];
}

function requirementMarks(page: SvgPage, data: BudgetChartData, plot: DrawnPlot): SvgNode[] {
  const marks: SvgNode[] = [];
  const badges: SvgNode[] = [];
  const taken: Spot[] = [];
  for (const { number, over, allowed } of data.requirements) {
    if (over === "range") continue;
    for (const errors of allowed) {
      for (const [place, { side, error }] of endsOf(errors).entries()) {
        const spot = { x: plot.x(errors.voltage), y: plot.y(error) };
        marks.push(bracket(page, spot, side));
        if (place > 0) continue;
        const free = freeSpot(taken, spot, side);
        taken.push(free);
        badges.push(badge(page, number, free));
      }
    }
  }
  return [...marks, ...badges];
}

/** The ends of the proven bars, the witnessed errors and the brackets of the requirements. */
export function budgetChartMarks(
  page: SvgPage,
  data: BudgetChartData,
  plot: DrawnPlot,
): readonly SvgNode[] {
  const ends = ({ voltage, low, high }: ErrorSpan) => ({
    x: plot.x(voltage),
    ys: [plot.y(low), plot.y(high)],
  });
  const spots = data.witnessed.map(ends).flatMap(({ x, ys }) => ys.map((y) => ({ x, y })));
  return [
    provenCaps(page, data.proven.map(ends)),
    witnessDots(page, spots),
    ...requirementMarks(page, data, plot),
  ];
}
