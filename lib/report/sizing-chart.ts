import { formatQuantity } from "../quantity/format.ts";
import { CHART_COLOURS } from "./chart-look.ts";
import { allowedLine, allowedName, ON_LINES, SHARE_FRAME, shareHeading } from "./share-chart.ts";
import type { SizingDocument } from "./sizing-document.ts";
import { costText } from "./sizing-table.ts";
import { finishedSvg, svgPage } from "../drawing/svg-page.ts";
import type { SvgNode } from "../drawing/svg-page.ts";

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
    ...SHARE_FRAME,
    height: HEIGHT,
    x: { label: "cost", nice: true },
    y: { label: null, zero: true, nice: true },
    marks: [
      plot.gridY({ stroke: CHART_COLOURS.grid, strokeOpacity: 1 }),
      allowedLine(page),
      plot.line(points, {
        x: "cost",
        y: "percent",
        curve: "step-after",
        stroke: CHART_COLOURS.proven,
      }),
      plot.dot(points, { x: "cost", y: "percent", r: 2.5, fill: CHART_COLOURS.proven }),
      plot.dot(chosen, { x: "cost", y: "percent", r: 7, stroke: CHART_COLOURS.ink }),
      allowedName(page),
      plot.text(chosen, {
        x: "cost",
        y: "percent",
        text: ({ cost }: { readonly cost: number }) => `cheapest that is enough: ${costText(cost)}`,
        textAnchor: "start",
        dx: 12,
        dy: -12,
        ...ON_LINES,
      }),
    ],
  }) as unknown as SvgNode;
  const title = `Cost against guaranteed error: ${document.require.join(" and ")}`;
  svg.append(...shareHeading(page, title));
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
