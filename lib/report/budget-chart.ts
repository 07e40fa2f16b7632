import { budgetChartData } from "./budget-chart-data.ts";
import type { BudgetChartData } from "./budget-chart-data.ts";
import { budgetChartFrame } from "./budget-chart-frame.ts";
import type { ChartFrame } from "./budget-chart-frame.ts";
import { budgetChartKey, drawnKey } from "./budget-chart-key.ts";
import { budgetChartLabels } from "./budget-chart-labels.ts";
import { budgetChartMarks } from "./budget-chart-marks.ts";
import { budgetChartPlot } from "./budget-chart-plot.ts";
import type { BudgetDocument } from "./budget-document.ts";
import { CHART_COLOURS, FONT } from "./chart-look.ts";
import { cutToWidth } from "./chart-text.ts";
import { decimalsFor, textNotAbove, textNotBelow } from "./outward-text.ts";
import { printableText } from "./printable-text.ts";
import { finishedSvg, svgElement, svgPage } from "../drawing/svg-page.ts";
import type { SvgNode, SvgPage } from "../drawing/svg-page.ts";
import { statementPart } from "./statement-text.ts";
import { VERDICT_WORDS } from "./verdict-words.ts";
import { voltageText } from "./voltage-text.ts";

/** From the plot to the key: ticks, their texts and the name of the axis. */
const AXIS_ROOM = 58;

function designName({ design }: BudgetDocument): string {
  const revision = design.revision === "" ? "" : `, revision ${design.revision}`;
  return printableText(`${design.name}${revision}`);
}

function heading(page: SvgPage, document: BudgetDocument, frame: ChartFrame): SvgNode {
  const { left } = frame.plot;
  const width = frame.width - left - 16;
  const line = (y: number, fontSize: number, text: string, look = {}) =>
    svgElement(page, "text", { x: left, y, "font-size": fontSize, ...look }, [
      cutToWidth(text, { width, fontSize }),
    ]);
  return svgElement(page, "g", { "text-anchor": "start", fill: CHART_COLOURS.ink }, [
    line(26, FONT.heading, "Error of indication against voltage", { "font-weight": "bold" }),
    line(44, FONT.plain, designName(document)),
  ]);
}

function axisNames(page: SvgPage, { plot }: ChartFrame): readonly SvgNode[] {
  const middle = (plot.top + plot.bottom) / 2;
  const look = { "font-size": FONT.plain, fill: CHART_COLOURS.ink, "text-anchor": "middle" };
  const upright = { transform: `translate(18,${middle}) rotate(-90)`, ...look };
  const x = (plot.left + plot.right) / 2;
  return [
    svgElement(page, "text", upright, [
      "error: indication minus true voltage, V (logarithmic away from zero)",
    ]),
    svgElement(page, "text", { x, y: plot.bottom + 40, ...look }, [
      "true voltage between the pins, V (logarithmic away from zero)",
    ]),
  ];
}

/** The main figures as sentences, for readers who do not see the picture. */
function description(document: BudgetDocument, data: BudgetChartData): string {
  const decimals = decimalsFor(document.rows.map(({ provenError }) => provenError));
  const spans = data.proven.map(({ voltage, low, high }) => {
    const [from, to] = [textNotAbove(low, decimals), textNotBelow(high, decimals)];
    return `at ${voltageText(voltage)} V from ${from} V to ${to} V`;
  });
  const conditional = document.conditionalOn.map(printableText).join("; ");
  const verdicts = data.requirements.map(
    ({ text, verdict, margin }) =>
      `${text}: ${VERDICT_WORDS[verdict]}, margin ${textNotAbove(margin, decimals)} V`,
  );
  const statements = data.statements.map(({ label, permitted }) => {
    if (permitted.length === 0) return label;
    const errors = permitted.map(({ error }) => error);
    const [least, most] = [Math.min(...errors), Math.max(...errors)].map(voltageText);
    return `${label} permits ${least} V to ${most} V`;
  });
  const limits = data.limits.map(({ voltage }) => `${voltageText(voltage)} V`);
  return [
    ...(spans.length === 0
      ? ["No voltage is drawn."]
      : [`Proven lower and upper error of indication: ${spans.join("; ")}.`]),
    ...(conditional === "" ? [] : [`Conditional on ${conditional}.`]),
    `The ${data.accuracy.label} holds for ${statementPart(document.statement)}.`,
    ...(verdicts.length === 0 ? [] : [`Requirements: ${verdicts.join("; ")}.`]),
    ...(statements.length === 0 ? [] : [`Compared with: ${statements.join("; ")}.`]),
    ...(limits.length === 0 ? [] : [`Published limits decide at ${limits.join(", ")}.`]),
  ].join(" ");
}

/**
 * The chart of error against voltage as an SVG file of 900 pixels width: proven bars with their
 * witnesses, what the requirements allow, and other accuracy statements, over both polarities. Both
 * axes are logarithmic away from zero, so that an error of a volt can be read beside one of twenty
 * and the limit voltages stand apart. It reads without colour and has a title and a text
 * alternative; every text of the document is escaped.
 *
 * Throws InvalidInputError for a figure that is not finite.
 */
export async function budgetChart(document: BudgetDocument): Promise<string> {
  const data = budgetChartData(document);
  const frame = budgetChartFrame(data);
  const key = budgetChartKey(data, { conditionalOn: document.conditionalOn, frame });
  const keyTop = frame.plot.bottom + AXIS_ROOM;
  const page = await svgPage();
  const plot = budgetChartPlot(page, data, { ...frame, height: keyTop + key.height });
  plot.svg.append(
    heading(page, document, frame),
    ...axisNames(page, frame),
    ...budgetChartMarks(page, data, plot),
    ...budgetChartLabels(page, data, plot, frame),
    drawnKey(page, key, { top: keyTop, frame }),
  );
  return finishedSvg(page, plot.svg, {
    title: `Error of indication against voltage: ${designName(document)}`,
    description: description(document, data),
    prefix: "error-chart",
  });
}

export { sharesChart, termsChart } from "./terms-chart.ts";
