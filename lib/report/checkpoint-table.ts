import { formatFixed, formatQuantity } from "../quantity/format.ts";
import type { LimitCheck } from "../decision/check-plan.ts";
import type { CheckpointDocument } from "./checkpoint-document.ts";
import { textNotAbove, textNotBelow } from "./outward-text.ts";
import { PageText } from "./page-text.ts";
import type { PageOptions } from "./page-text.ts";
import { statementText } from "./statement-text.ts";
import { textTable } from "./text-table.ts";
import type { TextColumn } from "./text-table.ts";
import { voltageText } from "./voltage-text.ts";

type Point = CheckpointDocument["points"][number];

const DECIMALS = 3;
const BLANK = "________";

function riskText(risk: number | undefined): string {
  if (risk === undefined) return "-";
  const percent = risk * 100;
  return percent < 1e-4 ? "<0.0001" : formatFixed(percent, 4);
}

function acceptedText(point: Point): readonly [string, string] {
  if (point.acceptance <= 0) return ["no room", "no room"];
  // Limits on the indication, never wider than they were found.
  return [
    textNotBelow(point.accepted.lower, DECIMALS),
    textNotAbove(point.accepted.upper, DECIMALS),
  ];
}

const POINT_COLUMNS: readonly TextColumn<Point>[] = [
  { head: ["apply", "V"], align: "right", cell: ({ voltage }) => voltageText(voltage) },
  { head: ["accept", "from, V"], align: "right", cell: (point) => acceptedText(point)[0] },
  { head: ["to", "V"], align: "right", cell: (point) => acceptedText(point)[1] },
  { head: ["as", "found"], align: "left", cell: () => BLANK },
  { head: ["as", "left"], align: "left", cell: () => BLANK },
  {
    head: ["process", "U, V"],
    align: "right",
    cell: ({ process }) => textNotAbove(process, DECIMALS),
  },
  {
    head: ["TUR"],
    align: "right",
    cell: ({ ratio }) => (ratio === null ? "-" : formatFixed(Math.min(ratio, 9999), 1)),
  },
  {
    head: ["false", "accept, %"],
    align: "right",
    cell: ({ risk }) => riskText(risk?.consumer),
  },
  {
    head: ["false", "reject, %"],
    align: "right",
    cell: ({ risk }) => riskText(risk?.producer),
  },
];

const MARGIN_COLUMNS: readonly TextColumn<Point>[] = [
  { head: ["point", "V"], align: "right", cell: ({ voltage }) => voltageText(voltage) },
  {
    head: ["permitted", "V"],
    align: "right",
    cell: ({ permitted }) => textNotAbove(permitted, DECIMALS),
  },
  {
    head: ["kept free", "for use, V"],
    align: "right",
    cell: ({ margin }) => textNotBelow(margin, DECIMALS),
  },
  {
    head: ["tolerance on", "the bench, V"],
    align: "right",
    cell: ({ tolerance }) => textNotAbove(tolerance, DECIMALS),
  },
  {
    head: ["guard", "band, V"],
    align: "right",
    cell: ({ guardBand }) => textNotBelow(guardBand, DECIMALS),
  },
  {
    head: ["largest of", "good units, V"],
    align: "right",
    cell: ({ largestGood }) => textNotBelow(largestGood, DECIMALS),
  },
  {
    head: ["reason"],
    align: "left",
    flexible: { least: 14, overflow: "wrap" },
    cell: ({ reason }) => reason,
  },
];

function limitValue(check: LimitCheck, value: number): string {
  if (check.unit === "1") return `${formatFixed(value * 1e6, 1)} ppm`;
  const dimension = check.unit === "ohm" ? "resistance" : "capacitance";
  return formatQuantity(value, dimension, { significantDigits: 4 });
}

const LIMIT_COLUMNS: readonly TextColumn<LimitCheck>[] = [
  {
    head: ["also check"],
    align: "left",
    flexible: { least: 20, overflow: "wrap" },
    cell: ({ quantity }) => quantity,
  },
  { head: ["from"], align: "right", cell: (check) => limitValue(check, check.lower) },
  { head: ["to"], align: "right", cell: (check) => limitValue(check, check.upper) },
  { head: ["as found"], align: "left", cell: () => BLANK },
  { head: ["as left"], align: "left", cell: () => BLANK },
  { head: ["process U"], align: "right", cell: (check) => limitValue(check, check.processNeeded) },
];

const VERDICTS: Readonly<Record<CheckpointDocument["verdict"], string>> = {
  holds:
    "A unit that passes every point is inside the statement at every voltage of the range; no unit " +
    "inside its limits is rejected by a perfect process.",
  rejectsGoodUnits:
    "A unit that passes every point is inside the statement at every voltage of the range; some " +
    "units inside all their limits do not pass.",
  noRoom:
    "Not possible: at some points nothing is left for the unit between the statement and what has " +
    "to be kept free for its use.",
};

function processText({ process }: CheckpointDocument): string {
  if (process === "ratio of 4") return "not declared: what a test uncertainty ratio of 4 asks for";
  const share = formatQuantity(process.share, "ratio");
  return `${share} of the voltage + ${formatQuantity(process.volts, "voltage")}`;
}

function head(page: PageText, document: CheckpointDocument): readonly string[] {
  const { design, bench, statement, proven } = document;
  return [
    ...page.list("Check points", [`${design.name}, revision ${design.revision}`]),
    ...page.list("Statement to be kept in use", [
      `${statementText(statement)} over the whole range`,
      statement.reason,
    ]),
    ...page.list("Proven without any check", [
      `${statementText(proven)} from ${proven.from} V to ${proven.to} V, for units with every part ` +
        "inside its limits",
    ]),
    ...page.list(
      "In use",
      Object.entries(document.conditions).map(([name, value]) => `${name} ${value}`),
    ),
    ...page.list("On the bench", [
      `ambient ${bench.ambient}`,
      `${bench.readingsAveraged} readings averaged`,
    ]),
    ...page.list("Calibration process, expanded uncertainty (k = 2)", [processText(document)]),
  ];
}

function dynamicLines(page: PageText, { dynamic }: CheckpointDocument): readonly string[] {
  const { from, voltage, duration, acceptance } = dynamic;
  const accepted =
    acceptance > 0
      ? `accept ${textNotBelow(voltage - acceptance, DECIMALS)} V to ` +
        `${textNotAbove(voltage + acceptance, DECIMALS)} V; as found ${BLANK}, as left ${BLANK}`
      : "no room";
  const ohms = formatQuantity(dynamic.resistance, "resistance", { significantDigits: 5 });
  const input = formatQuantity(dynamic.inputResistance, "resistance", { significantDigits: 5 });
  return page.list("Check in time", [
    `${formatQuantity(dynamic.capacitance, "capacitance")} charged to ${voltageText(from)} V and ` +
      `discharged by ${ohms} and the tester's ${input} stands at ${voltageText(voltage)} V ` +
      `${formatQuantity(duration, "time")} after the opening (time constant ` +
      `${formatFixed(dynamic.timeConstant, 5)} s; calculate anew from measured values)`,
    accepted,
    `the standard's voltage is needed to U = ${textNotAbove(dynamic.processNeeded, DECIMALS)} V, ` +
      `its time constant to ${textNotAbove(100 * dynamic.timeConstantNeeded, 2)} %`,
  ]);
}

interface GrowthLine {
  readonly voltage: string;
  readonly low: number;
  readonly high: number;
  readonly years: number;
}

/** How the proven error grows, and how long each promise is kept. */
function intervalLines(page: PageText, { interval }: CheckpointDocument): readonly string[] {
  const { since, declared, growth, kept, longest } = interval;
  const lines = growth.flatMap(({ voltage, ages }) =>
    ages.map((age, place): GrowthLine => ({
      ...age,
      voltage: place === 0 ? voltageText(voltage) : "",
    })),
  );
  const right = { align: "right" } as const;
  const table = textTable<GrowthLine>(
    [
      { head: ["at", "V"], ...right, cell: ({ voltage }) => voltage },
      { head: ["years since", since], ...right, cell: ({ years }) => String(years) },
      { head: ["proven", "low, V"], ...right, cell: ({ low }) => textNotAbove(low, DECIMALS) },
      { head: ["proven", "high, V"], ...right, cell: ({ high }) => textNotBelow(high, DECIMALS) },
    ],
    lines,
    page.width,
  );
  const words = (months: (typeof kept)[number]["months"]): string => {
    if (months === "none") return `not even right after ${since}`;
    return months === "beyond" ? `beyond ${longest} months` : `${months} months`;
  };
  return [
    ...table,
    ...page.list(
      `Proven after ${since} for (the design declares ${formatQuantity(declared, "years")})`,
      kept.map(({ id, text, months }) => `${id}, ${text}: ${words(months)}`),
    ),
  ];
}

/**
 * Check points for a technician: what to apply, what to accept, room for results as found and as
 * left, what the calibration process has to be, and where the limits come from. Accepted ranges are
 * rounded inward.
 *
 * Throws OutsideDomainError for a width outside 80 to 400.
 */
export function checkpointTable(document: CheckpointDocument, options: PageOptions): string {
  const page = new PageText(options);
  const { points, limits } = document;
  return page.joined([
    head(page, document),
    page.list("Conditional on", document.conditionalOn),
    ...(document.guaranteed
      ? []
      : [page.paragraph("Estimated, not guaranteed: a figure had no exact decimal.")]),
    [
      ...textTable(POINT_COLUMNS, points, page.width),
      ...page.paragraph(VERDICTS[document.verdict]),
    ],
    textTable(MARGIN_COLUMNS, points, page.width),
    dynamicLines(page, document),
    textTable(LIMIT_COLUMNS, limits, page.width),
    intervalLines(page, document),
    [
      ...page.list("Assumed", document.assumptions),
      ...page.list("Not modelled", document.notModelled),
      ...page.list("Caution", document.cautions),
    ],
  ]);
}

const CSV_HEAD = [
  "apply_V",
  "accept_from_V",
  "accept_to_V",
  "as_found_V",
  "as_left_V",
  "process_U_V",
  "process_U_needed_V",
  "test_uncertainty_ratio",
  "false_accept",
  "false_reject",
  "permitted_V",
  "kept_free_V",
  "tolerance_V",
  "largest_of_good_units_V",
  "reason",
];

/** The check points as comma-separated values, one line each, with empty cells for results. */
export function checkpointCsv({ points, dynamic }: CheckpointDocument): string {
  const quoted = (text: string): string => `"${text.replaceAll('"', '""')}"`;
  const lines = points.map((point) =>
    [
      point.voltage,
      ...(point.acceptance > 0 ? [point.accepted.lower, point.accepted.upper] : ["", ""]),
      "",
      "",
      point.process,
      point.processNeeded,
      point.ratio ?? "",
      point.risk?.consumer ?? "",
      point.risk?.producer ?? "",
      point.permitted,
      point.margin,
      point.tolerance,
      point.largestGood,
      quoted(point.reason),
    ].join(","),
  );
  const inTime = [
    dynamic.voltage,
    ...(dynamic.acceptance > 0
      ? [dynamic.voltage - dynamic.acceptance, dynamic.voltage + dynamic.acceptance]
      : ["", ""]),
    "",
    "",
    dynamic.processNeeded,
    dynamic.processNeeded,
    "",
    "",
    "",
    "",
    "",
    dynamic.tolerance,
    dynamic.largestGood,
    quoted(`check in time: ${dynamic.duration} s after opening from ${dynamic.from} V`),
  ].join(",");
  return `${[CSV_HEAD.join(","), ...lines, inTime].join("\n")}\n`;
}
