import { formatQuantity } from "../quantity/format.ts";
import { CHART_COLOURS, FONT, FONT_FAMILY } from "./chart-look.ts";
import type { SizingDocument } from "./sizing-document.ts";
import { costText } from "./sizing-table.ts";
import { finishedSvg, svgElement, svgPage } from "./svg-page.ts";
import type { SvgNode } from "./svg-page.ts";

const WIDTH = 900;
const HEIGHT = 420;

/** The frontier of cost against guaranteed error as an SVG file; what is allowed is a line. */
export async function sizingChart(document: SizingDocument): Promise<string> {
  const page = await svgPage();
  const { plot } = page;
  const points = document.byError.map(({ cost, used }) => ({ cost, percent: 100 * used }));
  const { cheapest } = document;
  const chosen =
    cheapest === undefined ? [] : [{ cost: cheapest.cost, percent: 100 * cheapest.used }];
  const svg = plot.plot({
    document: page.document as never,
    width: WIDTH,
    height: HEIGHT,
    marginLeft: 64,
    marginRight: 24,
    marginTop: 76,
    marginBottom: 48,
    style: { fontFamily: FONT_FAMILY, fontSize: `${FONT.plain}px`, color: CHART_COLOURS.ink },
    x: { label: "cost", nice: true },
    y: { label: null, zero: true, nice: true },
    marks: [
      plot.gridY({ stroke: CHART_COLOURS.grid, strokeOpacity: 1 }),
      plot.ruleY([100], { stroke: CHART_COLOURS.required, strokeDasharray: "9 4" }),
      plot.line(points, {
        x: "cost",
        y: "percent",
        curve: "step-after",
        stroke: CHART_COLOURS.proven,
      }),
      plot.dot(points, { x: "cost", y: "percent", r: 2.5, fill: CHART_COLOURS.proven }),
      plot.dot(chosen, { x: "cost", y: "percent", r: 7, stroke: CHART_COLOURS.ink }),
      plot.text(["allowed"], {
        y: [100],
        frameAnchor: "right",
        textAnchor: "end",
        dy: -8,
        fill: CHART_COLOURS.required,
      }),
      plot.text(chosen, {
        x: "cost",
        y: "percent",
        text: ({ cost }: { readonly cost: number }) => `cheapest that is enough: ${costText(cost)}`,
        textAnchor: "start",
        dx: 12,
        dy: -12,
        fill: CHART_COLOURS.ink,
        stroke: "white",
        strokeWidth: 4,
      }),
    ],
  }) as unknown as SvgNode;
  const text = {
    x: 16,
    y: 26,
    "text-anchor": "start",
    fill: CHART_COLOURS.ink,
    "font-weight": "bold",
  };
  const title = `Cost against guaranteed error: ${document.require.join(" and ")}`;
  svg.append(svgElement(page, "text", { ...text, "font-size": FONT.heading }, [title]));
  const axis = { x: 16, y: 52, "text-anchor": "start", fill: CHART_COLOURS.ink };
  svg.append(svgElement(page, "text", axis, ["↑ proven error, % of the allowed"]));
  const spoken =
    cheapest === undefined
      ? "No combination meets the requirement."
      : `Cheapest that meets it: cost ${costText(cheapest.cost)}, ` +
        `${(100 * cheapest.used).toFixed(1)} % of the allowed error, products from ` +
        `${formatQuantity(cheapest.capacitance, "capacitance")}.`;
  return finishedSvg(page, svg, {
    title,
    description: `${points.length} combinations on the frontier. ${spoken}`,
    prefix: "sizing-chart",
  });
}
