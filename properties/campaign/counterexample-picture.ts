import { wrappedText } from "../../lib/report/text-table.ts";
import { finishedSvg, svgElement, svgPage } from "../../lib/drawing/svg-page.ts";
import type { SvgNode, SvgPage } from "../../lib/drawing/svg-page.ts";
import { waveformData } from "../../sim/index.ts";
import type { WaveformData } from "../../sim/index.ts";
import type { Episode } from "../claims/episode.ts";
import { phaseName, traceLanes } from "./trace-lanes.ts";
import type { LaneStretch } from "./trace-lanes.ts";

const WIDTH = 960;
const TOP = 96;
const PLOT = 360;
const LANE = 30;
const LINE = 18;
const LEFT = 64;
const RIGHT = 20;

const INK = "#111111";
const CODE = "#8a8a8a";
const QUIET = "#555555";
const GRID = "#dddddd";

const PLAIN = { fill: INK, "font-size": 13, "text-anchor": "start" };

/** Two greys in turn, so that neighbouring phases are told apart without colour. */
const PHASE_FILLS = ["#e8e8e8", "#cfcfcf"];

/** Characters of 13 px that fit across the page. */
const COLUMNS = 126;

/** A phase narrower than this many pixels has no room for its name. */
const ROOM = 56;

/** What is to be shown. */
export interface CounterexampleView {
  readonly title: string;
  /** What was found, in a sentence. */
  readonly because: string;
  /** The parameters in words. */
  readonly words: readonly string[];
  /** s of the moment that decides. */
  readonly at: number | undefined;
  /** s; the whole scenario where absent. */
  readonly from?: number;
  readonly to?: number;
}

function drawing({ plot, document }: SvgPage, data: WaveformData, height: number) {
  const milliseconds = ({ instant }: { readonly instant: number }): number => 1000 * instant;
  return plot.plot({
    document: document as never,
    width: WIDTH,
    height,
    marginTop: TOP,
    marginLeft: LEFT,
    marginRight: RIGHT,
    marginBottom: height - TOP - PLOT,
    style: { fontFamily: "sans-serif", fontSize: "13px", color: INK },
    x: { domain: [1000 * data.from, 1000 * data.to], axis: null },
    y: { nice: true, axis: null },
    marks: [
      plot.gridX({ stroke: GRID, strokeOpacity: 1 }),
      plot.gridY({ stroke: GRID, strokeOpacity: 1 }),
      plot.axisX({ anchor: "bottom", label: null }),
      plot.axisY({ anchor: "left", label: null }),
      plot.ruleY([0], { stroke: QUIET }),
      plot.ruleX(data.events, { x: milliseconds, stroke: QUIET, strokeDasharray: "1,3" }),
      plot.ruleX(data.codes, {
        x: milliseconds,
        y1: "lowest",
        y2: "highest",
        stroke: CODE,
        strokeWidth: 3,
      }),
      plot.dot(data.codes, { x: milliseconds, y: "highest", r: 1.5, fill: CODE }),
      plot.line(data.voltage, { x: milliseconds, y: "volts", stroke: INK, strokeWidth: 1.2 }),
    ],
  }) as unknown as SvgNode;
}

function placeOf({ from, to }: WaveformData): (instant: number) => number {
  const width = WIDTH - LEFT - RIGHT;
  return (instant) => {
    const share = (instant - from) / (to - from);
    return LEFT + width * Math.min(1, Math.max(0, share));
  };
}

/** The strip of the firmware's phases above the plot. */
function phaseStrip(page: SvgPage, data: WaveformData, phases: readonly LaneStretch[]): SvgNode {
  const place = placeOf(data);
  const shown = phases.filter(({ from, to }) => to > data.from && from < data.to);
  const y = TOP - LANE - 4;
  const boxes = shown.flatMap(({ from, to, value }, index) => {
    const x = place(from);
    const width = place(to) - x;
    const fill = PHASE_FILLS[index % PHASE_FILLS.length]!;
    const box = svgElement(page, "rect", { x, y, width, height: LANE - 6, fill });
    if (width < ROOM) return [box];
    const at = { ...PLAIN, x: x + 4, y: y + 17, "font-size": 12 };
    return [box, svgElement(page, "text", at, [phaseName(value)])];
  });
  return svgElement(page, "g", { "font-family": "sans-serif" }, boxes);
}

/** The offending moment: a solid line across plot and strip, with a mark on top. */
function moment(page: SvgPage, data: WaveformData, at: number): SvgNode {
  const x = placeOf(data)(at);
  const top = TOP - LANE - 8;
  const line = { x1: x, x2: x, y1: top, y2: TOP + PLOT, stroke: INK, "stroke-width": 2 };
  const points = `${x - 6},${top - 9} ${x + 6},${top - 9} ${x},${top}`;
  return svgElement(page, "g", { class: "moment" }, [
    svgElement(page, "line", line),
    svgElement(page, "polygon", { points, fill: INK }),
  ]);
}

function keyLines(data: WaveformData, view: CounterexampleView, hasPhases: boolean): string[] {
  const at = view.at === undefined ? [] : [`mark: ${(1000 * view.at).toFixed(3)} ms`];
  const legend = [
    `black line: voltage ${data.pins}, V`,
    "grey: codes as the tester would show them",
    ...(hasPhases ? ["strip: phase of the firmware"] : []),
    ...at,
  ].join("; ");
  return [
    legend,
    ...data.events.map(({ number, text }) => `${number}  ${text}`),
    ...wrappedText(view.words.join("; "), { width: COLUMNS, indent: 0 }),
  ];
}

/**
 * A plain picture of an episode that breaks a claim: the pins' voltage, the codes, the phases of
 * the firmware, the offending moment, and the scenario in words below. Text of an SVG file.
 */
export async function counterexampleSvg(
  episode: Episode,
  view: CounterexampleView,
): Promise<string> {
  const page = await svgPage();
  const { from, to } = view;
  const data = waveformData(episode.simulation, {
    ...(from === undefined ? {} : { from }),
    ...(to === undefined ? {} : { to }),
  });
  // Drawn where the firmware traces them.
  const phases = traceLanes(episode).find(({ lane }) => lane === 0)?.stretches ?? [];
  const lines = keyLines(data, view, phases.length > 0);
  const height = TOP + PLOT + 56 + LINE * lines.length;
  const svg = drawing(page, data, height);
  const write = (text: string, x: number, y: number, more: Record<string, string | number> = {}) =>
    svg.append(svgElement(page, "text", { ...PLAIN, x, y, ...more }, [text]));
  write(view.title, 16, 24, { "font-size": 16, "font-weight": "bold" });
  write(view.because, 16, 44);
  write("time, ms", WIDTH - RIGHT, TOP + PLOT + 34, { "text-anchor": "end", fill: QUIET });
  for (const [index, line] of lines.entries()) write(line, 16, TOP + PLOT + 58 + LINE * index);
  svg.append(phaseStrip(page, data, phases));
  if (view.at !== undefined && view.at >= data.from && view.at <= data.to)
    svg.append(moment(page, data, view.at));
  const description = [view.because, ...lines].join(". ");
  return finishedSvg(page, svg, { title: view.title, description, prefix: "counterexample" });
}
