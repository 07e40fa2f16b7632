import type { WhatIf } from "../sizing/what-if.ts";
import { CHART_COLOURS } from "./chart-look.ts";
import { printDown, printUp } from "../quantity/format.ts";
import type { PageOptions } from "./page-text.ts";
import { allowedLine, allowedName, ON_LINES, SHARE_FRAME, shareHeading } from "./share-chart.ts";
import { finishedSvg, svgPage } from "../drawing/svg-page.ts";
import type { SvgNode } from "../drawing/svg-page.ts";
import { textTable } from "./text-table.ts";
import type { TextColumn } from "./text-table.ts";

type Slack = WhatIf["slacks"][number];

const SLACKS: readonly TextColumn<Slack>[] = [
  { head: ["figure"], align: "left", cell: ({ figure }) => figure, most: 32 },
  {
    head: ["holds up", "to times"],
    align: "right",
    cell: ({ holdsAt }) => (holdsAt === undefined ? "never" : printDown(holdsAt, 2)),
  },
  {
    head: ["fails", "from times"],
    align: "right",
    cell: ({ failsAt }) => (failsAt === undefined ? "-" : printUp(failsAt, 2)),
  },
  {
    head: ["part"],
    align: "left",
    cell: ({ part }) => part,
    flexible: { least: 16, overflow: "cut" },
  },
];

/** Figures with the least slack that are printed. */
const MOST_SLACKS = 16;
const MOST_PARTS = 6;

/** What single changes of a design do, as plain text. */
export function whatIfTable(found: WhatIf, { width }: PageOptions): string {
  const { used, slacks, parts, enoughBits } = found;
  const [best] = parts;
  return [
    `The proven error takes ${printUp(100 * used, 1)} % of what is allowed.`,
    "",
    "How much worse one figure may become, every other as it is",
    ...textTable(SLACKS, slacks.slice(0, MOST_SLACKS), width),
    "",
    "What a perfect part would leave of the allowed error",
    ...parts.slice(0, MOST_PARTS).map((part) => `  ${part.part}: ${printUp(100 * part.used, 1)} %`),
    ...(best === undefined ? [] : [`  an upgrade buys most at ${best.part}`]),
    ...(enoughBits === undefined
      ? []
      : ["", `More than ${enoughBits} bits buy less than 1 % of the allowed error.`]),
  ].join("\n");
}

const HEIGHT = 380;
/** Percentages that may be marked. */
const TICKS = [-1, 0, 1, 2, 3, 4, 5].flatMap((power) =>
  [1, 2, 5].map((times) => times * 10 ** power),
);

/** Proven error against resolution, the converter's other errors as they are, as an SVG file. */
export async function resolutionChart(found: WhatIf): Promise<string> {
  const page = await svgPage();
  const { plot } = page;
  const points = found.resolutions.flatMap(({ bits, used }) =>
    used === undefined ? [] : [{ bits, percent: 100 * used }],
  );
  // A quarter of the chart below and above the allowed error at least, whatever the design.
  const least = Math.min(50, ...points.map(({ percent }) => percent)) / 1.5;
  const most = Math.max(200, ...points.map(({ percent }) => percent)) * 1.2;
  const ticks = TICKS.filter((tick) => tick >= least && tick <= most);
  const enough = points.filter(({ bits }) => bits === found.enoughBits);
  const svg = plot.plot({
    document: page.document as never,
    ...SHARE_FRAME,
    height: HEIGHT,
    x: { label: "bits", ticks: points.length, tickFormat: "d" },
    // Each bit may halve the error: in equal steps the resolutions that are enough lie flat.
    y: {
      label: null,
      type: "log",
      domain: [least, most],
      ticks,
      tickFormat: "d",
    },
    marks: [
      plot.gridY(ticks, { stroke: CHART_COLOURS.grid, strokeOpacity: 1 }),
      allowedLine(page),
      plot.line(points, { x: "bits", y: "percent", stroke: CHART_COLOURS.proven }),
      plot.dot(points, { x: "bits", y: "percent", r: 3, fill: CHART_COLOURS.proven }),
      plot.dot(enough, { x: "bits", y: "percent", r: 8, stroke: CHART_COLOURS.ink }),
      allowedName(page),
      plot.text(enough, {
        x: "bits",
        y: "percent",
        text: () => "more bits buy little",
        textAnchor: "middle",
        dy: -18,
        ...ON_LINES,
      }),
    ],
  }) as unknown as SvgNode;
  const title = "Proven error against resolution";
  svg.append(...shareHeading(page, title));
  const spoken =
    found.enoughBits === undefined ? "" : ` From ${found.enoughBits} bits more buy little.`;
  const figures = points.map(({ bits, percent }) => `${bits} bits ${percent.toFixed(0)} %`);
  return finishedSvg(page, svg, {
    title,
    description: `${figures.join(", ")} of the allowed error.${spoken}`,
    prefix: "resolution-chart",
  });
}
