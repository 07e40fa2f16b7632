import { finishedSvg, svgElement, svgPage } from "../lib/drawing/svg-page.ts";
import type { SvgAttributes, SvgNode, SvgPage } from "../lib/drawing/svg-page.ts";
import type { Simulation } from "./simulate.ts";
import { waveformData } from "./waveform-data.ts";
import type { WaveformData, WaveformView } from "./waveform-data.ts";

const WIDTH = 960;
const PLOT = 420;
const TOP = 70;
const LINE = 18;
const LEFT = 64;
const RIGHT = 20;

/** Greys and dashes carry the meaning: the picture reads the same printed without colour. */
const INK = "#111111";
const CODE = "#8a8a8a";
const QUIET = "#555555";
const GRID = "#dddddd";

const PLAIN = { fill: INK, "font-size": 13, "text-anchor": "start" };

/** Milliseconds for a short view, seconds for a long one. */
function timeUnit({ from, to }: WaveformData): { readonly factor: number; readonly name: string } {
  return to - from < 1 ? { factor: 1000, name: "ms" } : { factor: 1, name: "s" };
}

function drawing({ plot, document }: SvgPage, data: WaveformData, height: number): SvgNode {
  const { factor } = timeUnit(data);
  const at = (point: { readonly instant: number }): number => factor * point.instant;
  const limits = data.limit === undefined ? [] : [data.limit, -data.limit];
  return plot.plot({
    document: document as never,
    width: WIDTH,
    height,
    marginTop: TOP,
    marginLeft: LEFT,
    marginRight: RIGHT,
    marginBottom: height - TOP - PLOT,
    style: { fontFamily: "sans-serif", fontSize: "13px", color: INK },
    x: { domain: [factor * data.from, factor * data.to], axis: null },
    y: { nice: true, axis: null },
    marks: [
      plot.gridX({ stroke: GRID, strokeOpacity: 1 }),
      plot.gridY({ stroke: GRID, strokeOpacity: 1 }),
      plot.axisX({ anchor: "bottom", label: null }),
      plot.axisY({ anchor: "left", label: null }),
      plot.ruleY([0], { stroke: QUIET }),
      plot.ruleX(data.events, { x: at, stroke: QUIET, strokeDasharray: "1,3" }),
      plot.ruleX(data.codes, { x: at, y1: "lowest", y2: "highest", stroke: CODE, strokeWidth: 3 }),
      plot.dot(data.codes, { x: at, y: "highest", r: 1.5, fill: CODE }),
      plot.line(data.voltage, { x: at, y: "volts", stroke: INK, strokeWidth: 1.2 }),
      plot.ruleY(limits, { stroke: INK, strokeDasharray: "7,4" }),
      plot.text(data.events, {
        x: at,
        frameAnchor: "top",
        dy: -12,
        text: (event: { readonly number: number }) => String(event.number),
        fill: INK,
        fontWeight: "bold",
      }),
    ],
  }) as unknown as SvgNode;
}

function keyLines(data: WaveformData): string[] {
  const limit = data.limit === undefined ? [] : [`dashed: limit line, ${data.limit} V`];
  return [
    [
      `black line: voltage ${data.pins}`,
      "grey: codes as the tester would show them",
      ...limit,
    ].join("; "),
    ...data.events.map(({ number, text }) => `${number}  ${text}`),
  ];
}

/**
 * A plain picture of a simulation: the pins' voltage, the codes as volts, a limit line and the
 * events, numbered with a key below. The text of an SVG file with a title and a description for
 * readers who do not see it.
 *
 * Throws OutsideDomainError for a view outside the simulation.
 */
export async function waveformSvg(
  simulation: Simulation,
  view: WaveformView = {},
): Promise<string> {
  const page = await svgPage();
  const data = waveformData(simulation, view);
  const lines = keyLines(data);
  const height = TOP + PLOT + 56 + LINE * lines.length;
  const svg = drawing(page, data, height);
  const { name } = simulation.scenario;
  const { name: unit } = timeUnit(data);
  const write = (text: string, x: number, y: number, more: SvgAttributes = {}) =>
    svg.append(svgElement(page, "text", { ...PLAIN, x, y, ...more }, [text]));
  write(name, 16, 26, { "font-size": 16, "font-weight": "bold" });
  write("V", 16, TOP - 8, { fill: QUIET });
  write(`time, ${unit}`, WIDTH - RIGHT, TOP + PLOT + 34, { "text-anchor": "end", fill: QUIET });
  for (const [index, line] of lines.entries()) write(line, 16, TOP + PLOT + 58 + LINE * index);
  const words = { title: name, description: lines.join(". "), prefix: "waveform" };
  return finishedSvg(page, svg, words);
}
