import { CHART_COLOURS, FONT, FONT_FAMILY } from "./chart-look.ts";
import { svgElement } from "../drawing/svg-page.ts";
import type { SvgNode, SvgPage } from "../drawing/svg-page.ts";

/** Size, margins and letters of the charts of a proven share of the allowed error. */
export const SHARE_FRAME = {
  width: 900,
  marginLeft: 64,
  marginRight: 24,
  marginTop: 76,
  marginBottom: 48,
  style: { fontFamily: FONT_FAMILY, fontSize: `${FONT.plain}px`, color: CHART_COLOURS.ink },
} as const;

/** Letters that stay readable on a line. */
export const ON_LINES = { fill: CHART_COLOURS.ink, stroke: "white", strokeWidth: 4 } as const;

/** The line of what is allowed. */
export function allowedLine({ plot }: SvgPage) {
  return plot.ruleY([100], { stroke: CHART_COLOURS.required, strokeDasharray: "9 4" });
}

/** The name of that line, at its right end. */
export function allowedName({ plot }: SvgPage) {
  return plot.text(["allowed"], {
    y: [100],
    frameAnchor: "right",
    textAnchor: "end",
    dy: -8,
    fill: CHART_COLOURS.required,
  });
}

/** Title and name of the vertical axis, above the drawing. */
export function shareHeading(page: SvgPage, title: string): readonly SvgNode[] {
  const left = { x: 16, "text-anchor": "start", fill: CHART_COLOURS.ink };
  const heading = { ...left, y: 26, "font-weight": "bold", "font-size": FONT.heading };
  return [
    svgElement(page, "text", heading, [title]),
    svgElement(page, "text", { ...left, y: 52 }, ["↑ proven error, % of the allowed"]),
  ];
}
