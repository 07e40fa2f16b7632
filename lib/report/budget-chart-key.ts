import type { BudgetChartData } from "./budget-chart-data.ts";
import type { ChartFrame } from "./budget-chart-frame.ts";
import { badge, bracket, provenCaps, witnessDots } from "./budget-chart-marks.ts";
import { CHART_COLOURS, FONT, LINE_WIDTHS } from "./chart-look.ts";
import { cutToWidth, linesInBox } from "./chart-text.ts";
import { textNotAbove } from "./outward-text.ts";
import { printableText } from "./printable-text.ts";
import { svgElement } from "../drawing/svg-page.ts";
import type { SvgNode, SvgPage } from "../drawing/svg-page.ts";
import { VERDICT_WORDS } from "./verdict-words.ts";
import { foundVoltageText } from "./voltage-text.ts";

/** One line below the plot: a sample of the mark and what it says. */
interface KeyLine {
  readonly sample?: (page: SvgPage, spot: { x: number; y: number }) => readonly SvgNode[];
  readonly text: string;
}

const ROW_HEIGHT = 19;
const SAMPLE = 30;
/** Requirements named one by one; the others stand in the table. */
const SHOWN_REQUIREMENTS = 10;

function dottedLine(page: SvgPage, { x, y }: { x: number; y: number }): readonly SvgNode[] {
  const look = { stroke: CHART_COLOURS.quiet, "stroke-dasharray": "1 3" };
  return [svgElement(page, "path", { d: `M${x},${y - 8}V${y + 8}`, ...look })];
}

const MARKS: readonly KeyLine[] = [
  {
    sample: (page, { x, y }) => [
      svgElement(page, "path", {
        d: `M${x},${y - 7}V${y + 7}`,
        stroke: CHART_COLOURS.proven,
        "stroke-width": LINE_WIDTHS.bar,
      }),
      provenCaps(page, [{ x, ys: [y - 7, y + 7] }]),
    ],
    text:
      "proven: no error inside the declared limits is outside the bar; the tint between the bars" +
      " only guides the eye",
  },
  {
    sample: (page, { x, y }) => [witnessDots(page, [{ x, y }])],
    text: "witnessed: an error that a set of values inside the limits reaches",
  },
];

function requirementText({ text, verdict, margin, side, voltage }: Requirement): string {
  const where = `${side} side at ${foundVoltageText(voltage).replace("-", "−")} V`;
  const volts = textNotAbove(margin, 3).replace("-", "−");
  return `${VERDICT_WORDS[verdict]}: ${text}, margin ${volts} V (${where})`;
}

type Requirement = BudgetChartData["requirements"][number];

function requirementLines(data: BudgetChartData): readonly KeyLine[] {
  const shown = data.requirements.slice(0, SHOWN_REQUIREMENTS);
  const more = data.requirements.length - shown.length;
  const lines = shown.map((requirement) => ({
    sample: (page: SvgPage, spot: { x: number; y: number }) => [
      badge(page, requirement.number, spot),
    ],
    text: requirementText(requirement),
  }));
  return more === 0 ? lines : [...lines, { text: `and ${more} more requirements` }];
}

/** What the verdicts rest on stands before them. */
function conditionalLines(conditionalOn: readonly string[], width: number): readonly KeyLine[] {
  if (conditionalOn.length === 0) return [];
  const text = `conditional on ${conditionalOn.map(printableText).join("; ")}`;
  return linesInBox(text, { width, fontSize: FONT.plain, lines: 3 }).map((line) => ({
    text: line,
  }));
}

/** The lines of the key, and the room they take, pixels. */
export interface ChartKey {
  readonly lines: readonly KeyLine[];
  readonly height: number;
}

/** What the marks mean, what the verdicts rest on, and the verdicts in words. */
export function budgetChartKey(
  data: BudgetChartData,
  {
    conditionalOn,
    frame,
  }: { readonly conditionalOn: readonly string[]; readonly frame: ChartFrame },
): ChartKey {
  const bracketed = data.requirements.some(({ over }) => over === "points");
  const lines: readonly KeyLine[] = [
    ...MARKS,
    ...(data.limits.length === 0
      ? []
      : [{ sample: dottedLine, text: "voltage at which published limits decide" }]),
    ...(bracketed
      ? [
          {
            sample: (page: SvgPage, { x, y }: { x: number; y: number }) => [
              bracket(page, { x, y: y - 4 }, "high"),
              bracket(page, { x, y: y + 4 }, "low"),
            ],
            text: "allowed error at one voltage; the number is that of the requirement below",
          },
        ]
      : []),
    ...conditionalLines(conditionalOn, keyWidth(frame)),
    ...requirementLines(data),
    {
      text:
        "Figures are design aids: the current edition of the standard and a licensed or" +
        " competent person decide.",
    },
  ];
  return { lines, height: ROW_HEIGHT * lines.length + 12 };
}

function keyWidth({ plot, width }: ChartFrame): number {
  return width - plot.left - SAMPLE - 12;
}

/** Draws the key from `top` on. */
export function drawnKey(
  page: SvgPage,
  key: ChartKey,
  { top, frame }: { readonly top: number; readonly frame: ChartFrame },
): SvgNode {
  const { left } = frame.plot;
  const nodes = key.lines.flatMap(({ sample, text }, place) => {
    const y = top + ROW_HEIGHT * (place + 0.5);
    const words = cutToWidth(text, { width: keyWidth(frame), fontSize: FONT.plain });
    return [
      ...(sample === undefined ? [] : sample(page, { x: left + 9, y })),
      svgElement(page, "text", { x: left + SAMPLE, y, dy: "0.35em", "font-size": FONT.plain }, [
        words,
      ]),
    ];
  });
  return svgElement(page, "g", { "text-anchor": "start", fill: CHART_COLOURS.ink }, nodes);
}
