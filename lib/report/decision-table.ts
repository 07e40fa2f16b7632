import { formatFixed, formatQuantity } from "../quantity/format.ts";
import type { Dimension } from "../quantity/dimension.ts";
import type {
  DecisionDocument,
  RangeFigures,
  RuleRow,
  StatementAtLine,
  UndecidedRow,
  WayRow,
} from "./decision-document.ts";
import type { GreatestFigure } from "../decision/greatest-figures.ts";
import type { PairError } from "../decision/three-conductors.ts";
import { textNotAbove, textNotBelow } from "./outward-text.ts";
import { PageText } from "./page-text.ts";
import type { PageOptions } from "./page-text.ts";
import { textTable } from "./text-table.ts";
import type { TextColumn } from "./text-table.ts";
import { printableText } from "./printable-text.ts";

const DIGITS = { significantDigits: 4 } as const;
const DECIMALS = 3;

function rangeText({ lower, upper }: RangeFigures, dimension: Dimension): string {
  const low = formatQuantity(lower, dimension, DIGITS);
  if (upper === null) return `from ${low} on`;
  return lower === upper ? low : `${low} to ${formatQuantity(upper, dimension, DIGITS)}`;
}

const DEFINITION_WORDS: Readonly<Record<DecisionDocument["measurand"]["definition"], string>> = {
  asLoaded: "as loaded by the tester",
  unloaded: "without the tester",
  referredToLoad: "with the reference load in the tester's place",
};

const APPLIES_WORDS: Readonly<Record<DecisionDocument["line"]["applies"], string>> = {
  applies: "the line applies to the product",
  exempt: "the product is exempt from the line",
  undetermined: "whether the line applies depends on what was not declared",
};

const DEMAND_WORDS = { holds: "met", doesNotHold: "not met", notProven: "not met by every unit" };

/** A probability in percent, or in parts where percent would print zeros. */
function riskText(risk: number): string {
  if (risk === 0) return "0 %";
  return risk >= 1e-5 ? `${Number((risk * 100).toPrecision(3))} %` : `${risk.toExponential(1)}`;
}

const FOUR_WORDS = {
  pass: "pass",
  conditionalPass: "conditional pass",
  conditionalFail: "conditional fail",
  fail: "fail",
} as const;

interface RuleLine {
  readonly words: string;
  readonly accept: string;
  readonly guard: string;
  readonly specific: string;
  readonly consumer: string;
  readonly producer: string;
  readonly verdict: string;
}

/** An acceptance limit, never above it; none where no indication above zero is accepted. */
function acceptText(limit: number): string {
  return limit > 0 ? textNotAbove(limit, DECIMALS) : "none";
}

function ruleLine(row: RuleRow): RuleLine {
  return {
    words: row.words,
    accept: acceptText(row.acceptUpTo),
    guard: formatFixed(row.guardBand.width, DECIMALS),
    specific: riskText(row.guardBand.largestSpecificRisk),
    consumer: row.risk === undefined ? "" : riskText(row.risk.consumer),
    producer: row.risk === undefined ? "" : riskText(row.risk.producer),
    verdict: row.verdict === undefined ? "" : FOUR_WORDS[row.verdict],
  };
}

const PROVEN_WORDS = { pass: "pass", undecided: "not proven", fail: "fail" } as const;

function provenLine(way: WayRow): RuleLine {
  return {
    words: "proven bound: no voltage above the line is indicated so low",
    accept: acceptText(way.proven[0]?.acceptBelow ?? 0),
    guard: "",
    specific: "0 %",
    consumer: "",
    producer: "",
    verdict: way.provenVerdict === undefined ? "" : PROVEN_WORDS[way.provenVerdict],
  };
}

function ruleColumns(document: DecisionDocument): readonly TextColumn<RuleLine>[] {
  const right = { align: "right" } as const;
  return [
    {
      head: ["rule"],
      align: "left",
      flexible: { least: 20, overflow: "wrap" },
      cell: ({ words }) => words,
    },
    { head: ["accept up to", "indication, V"], ...right, cell: ({ accept }) => accept },
    { head: ["guard", "band, V"], ...right, cell: ({ guard }) => guard },
    { head: ["largest", "specific risk"], ...right, cell: ({ specific }) => specific },
    ...(document.prior === undefined
      ? []
      : ([
          { head: ["consumer's", "risk"], ...right, cell: (line) => line.consumer },
          { head: ["producer's", "risk"], ...right, cell: (line) => line.producer },
        ] satisfies TextColumn<RuleLine>[])),
    ...(document.indication === undefined
      ? []
      : ([
          { head: ["verdict"], align: "left", cell: (line) => line.verdict },
        ] satisfies TextColumn<RuleLine>[])),
  ];
}

/** What the proven bounds say, as sentences. */
function provenWords({ proven, rejectAbove }: WayRow): string {
  const [worst] = proven;
  const surely = `Above ${textNotBelow(rejectAbove, DECIMALS)} V the line is surely exceeded.`;
  if (worst === undefined || worst.acceptBelow <= 0) {
    const none = "voltages above the line may be indicated at or below zero";
    return `Proven: ${none}, so that no reading is surely below it. ${surely}`;
  }
  const sure = Math.min(...proven.map((one) => one.surelyAcceptedUpTo));
  const passes =
    sure > 0
      ? `Every product up to ${textNotAbove(sure, DECIMALS)} V on the pins passes; between the two ` +
        "good product may be rejected."
      : "No product passes for certain.";
  return (
    `Proven: below ${textNotAbove(worst.acceptBelow, DECIMALS)} V nothing above the line is` +
    ` indicated; an indication of ${formatFixed(worst.acceptWitness, DECIMALS)} V for a voltage` +
    ` above it was found. ${surely} ${passes}`
  );
}

function wayLines(page: PageText, document: DecisionDocument, way: WayRow | UndecidedRow) {
  if ("reason" in way) return page.list(`No verdict at ${way.limit}`, [way.reason]);
  const { uncertainty: u } = way;
  return [
    ...page.list(`At ${way.limit}`, [
      `${rangeText(way.voltage, "voltage")}, ${way.because}`,
      `as loaded on the pins ${rangeText(way.asLoaded, "voltage")}`,
    ]),
    ...textTable(ruleColumns(document), [provenLine(way), ...way.rules.map(ruleLine)], page.width),
    ...page.paragraph(provenWords(way)),
    ...page.paragraph(
      `Uncertainty: error of indication expected ${formatFixed(u.expectedError, DECIMALS)} V with` +
        ` u = ${formatFixed(u.ofIndication, DECIMALS)} V; corrected result u = ` +
        `${formatFixed(u.combined, DECIMALS)} V, U = ${formatFixed(u.expanded, DECIMALS)} V (k = 2).`,
    ),
    ...statementTable(way.statements, page.width),
  ];
}

function statementTable(statements: readonly StatementAtLine[], width: number): readonly string[] {
  if (statements.length === 0) return [];
  const reach = (at: StatementAtLine["exceedsFivePercentBelow"]): string =>
    at === "never" ? "nowhere" : at === "always" ? "everywhere" : `below ${at.toFixed(1)} V`;
  return textTable(
    [
      {
        head: ["accuracy statement of another instrument"],
        align: "left",
        flexible: { least: 20, overflow: "wrap" },
        cell: ({ name }) => printableText(name),
      },
      { head: ["at the line", "V"], align: "right", cell: ({ error }) => textNotAbove(error, 2) },
      {
        head: ["of the line", "%"],
        align: "right",
        cell: ({ share }) => formatFixed(share * 100, 1),
      },
      { head: ["above 5 %"], align: "left", cell: (one) => reach(one.exceedsFivePercentBelow) },
    ],
    statements,
    width,
  );
}

const GREATEST_COLUMNS: readonly TextColumn<GreatestFigure>[] = [
  {
    head: ["towards the greatest voltage obtainable"],
    align: "left",
    flexible: { least: 30, overflow: "wrap" },
    cell: ({ label }) => label,
  },
  { head: ["figure"], align: "right", cell: ({ value }) => formatFixed(value, 4) },
  {
    head: ["u"],
    align: "right",
    cell: ({ standardUncertainty }) =>
      standardUncertainty === undefined ? "" : formatFixed(standardUncertainty, 4),
  },
  { head: ["unit"], align: "left", cell: ({ unit }) => (unit === "1" ? "factor" : "V") },
];

function lineSection(page: PageText, { line, design, measurand, product }: DecisionDocument) {
  const source =
    line.standard === "" ? "stated by whoever asks" : `${line.standard}, ${line.clause}`;
  const isRecalled = line.status === "fromMemory";
  return [
    ...page.list("Decision", [`${design.name}, revision ${design.revision}`]),
    ...page.list("Line", [
      `${line.text}${isRecalled ? "*" : ""}`,
      source,
      line.place,
      APPLIES_WORDS[line.applies],
      ...(line.condition === "" ? [] : [line.condition]),
    ]),
    ...page.list("Disconnection", [line.disconnection]),
    ...page.list("Measurand", [
      `the voltage ${DEFINITION_WORDS[measurand.definition]} (${measurand.reason})`,
    ]),
    ...page.list("Product capacitance", [
      `${rangeText(product.capacitance, "capacitance")}, ${product.reason}`,
    ]),
    ...(line.advice === "" ? [] : page.paragraph(`* ${line.advice}`)),
    ...(line.notes.length === 0 ? [] : page.list("Notes of the line", line.notes)),
  ];
}

function loadingSection(page: PageText, { pins, loading, line }: DecisionDocument) {
  const { factor, applied } = loading;
  const time = formatQuantity(line.duration, "time");
  const parts = pins.parts.map(({ name }) => name).join(", ");
  const smallest = loading.smallest.map(
    ({ share, capacitance }) =>
      `${formatQuantity(capacitance, "capacitance", DIGITS)} for ${formatQuantity(share, "ratio")}`,
  );
  return [
    ...page.list("Between the pins", [
      `${rangeText(pins.resistance, "resistance")} and ` +
        `${rangeText(pins.capacitance, "capacitance")}, from ${parts}`,
      ...pins.demands.map(({ words, verdict }) => `${words}: ${DEMAND_WORDS[verdict]}`),
    ]),
    ...page.list("Loading", [
      `from the voltage as loaded to the measurand times ${formatFixed(factor.lower, 5)} to` +
        ` ${formatFixed(factor.upper ?? 0, 5)}, applied ${formatFixed(applied, 5)}` +
        ` with u = ${formatFixed(100 * loading.relativeUncertainty, 2)} %`,
    ]),
    ...page.list(`Smallest product capacitance for a loading after ${time} of at most`, smallest),
  ];
}

/** The picture in figures: what other resistances would have done. */
function resistanceSection(page: PageText, { resistance }: DecisionDocument): readonly string[] {
  if (resistance === undefined) return [];
  const { optimum, points, voltage } = resistance;
  const own = points.find(({ factor }) => factor === 1);
  const text = ({ inputResistance, total }: typeof optimum): string =>
    `${textNotBelow(total, DECIMALS)} V at ${formatQuantity(inputResistance, "resistance", DIGITS)}`;
  return page.list("Loading and error together, uncorrected", [
    `at ${formatFixed(voltage, DECIMALS)} V`,
    ...(own === undefined ? [] : [`as designed ${text(own)}`]),
    `least ${text(optimum)} with the whole divider times ${optimum.factor}`,
  ]);
}

const PAIR_COLUMNS: readonly TextColumn<PairError>[] = [
  { head: ["pair"], align: "left", cell: ({ pair }) => pair },
  {
    head: ["true voltages", "V"],
    align: "right",
    cell: ({ voltage }) =>
      voltage.lower === voltage.upper
        ? formatFixed(voltage.lower, DECIMALS)
        : `${formatFixed(voltage.lower, DECIMALS)} to ${formatFixed(voltage.upper, DECIMALS)}`,
  },
  { head: ["proven", "low, V"], align: "right", cell: ({ low }) => textNotAbove(low, DECIMALS) },
  { head: ["proven", "high, V"], align: "right", cell: ({ high }) => textNotBelow(high, DECIMALS) },
  {
    head: ["of it timing", "V"],
    align: "right",
    cell: ({ timing }) => textNotBelow(timing, DECIMALS),
  },
  {
    head: ["capacitive", "mismatch, V"],
    align: "right",
    cell: ({ capacitiveMismatch }) => textNotBelow(capacitiveMismatch, 5),
  },
];

/** All three pairs of a tester with two channels against PE. */
function pairSection(page: PageText, { threeConductors }: DecisionDocument): readonly string[] {
  if (threeConductors === undefined) return [];
  const { pairs, common, commonVoltage } = threeConductors;
  const seconds = rangeText(common.timeConstant, "time");
  return [
    ...textTable(PAIR_COLUMNS, pairs, page.width),
    ...page.paragraph(
      "L and N read against PE by two equal channels that share reference, converter, clock and " +
        "ambient; L-N is their difference. The voltage common to both is discharged by the tester " +
        `alone, with a time constant of ${seconds}: up to ${textNotBelow(commonVoltage.upper, 2)} V` +
        " of it are left at the stated time, and without the tester all of it would be.",
    ),
  ];
}

/**
 * A decision for a person at a terminal: the line and its measurand, what the tester does to the
 * product, acceptance limits by every rule with their risks, and the figures towards the greatest
 * voltage. Acceptance limits are rounded down.
 *
 * Throws OutsideDomainError for a width outside 80 to 400.
 */
export function decisionTable(document: DecisionDocument, options: PageOptions): string {
  const page = new PageText(options);
  const { prior } = document;
  return page.joined([
    lineSection(page, document),
    loadingSection(page, document),
    page.list("Conditional on", document.conditionalOn),
    ...(document.guaranteed
      ? []
      : [page.paragraph("Estimated, not guaranteed: a figure had no exact decimal.")]),
    ...document.ways.map((way) => wayLines(page, document, way)),
    prior === undefined
      ? page.paragraph(
          "Global consumer's and producer's risks need a declared prior of the products' voltages.",
        )
      : page.list("Prior of the products", [
          `normal, ${formatFixed(prior.estimate, 2)} V with standard deviation ` +
            `${formatFixed(prior.standardUncertainty, 2)} V`,
          `source: ${prior.source}`,
        ]),
    textTable(GREATEST_COLUMNS, document.greatest, page.width),
    resistanceSection(page, document),
    pairSection(page, document),
    [
      ...page.list("Assumed", document.assumptions),
      ...page.list("Not modelled", document.notModelled),
      ...page.list("Caution", document.cautions),
    ],
  ]);
}
