import type { Design } from "../design/design.ts";
import { permittedError, voltageBelowWhichExceeds } from "../design/accuracy-statement.ts";
import type { AccuracyStatement } from "../design/accuracy-statement.ts";
import { quantitiesOf } from "../design/quantities.ts";
import type { DecidedWay, Decision, RuleOutcome, UndecidedWay } from "../decision/decide.ts";
import type { Prior } from "../decision/global-risk.ts";
import type { GreatestFigure } from "../decision/greatest-figures.ts";
import type { ResistanceCurve } from "../decision/resistance-optimum.ts";
import type { GuardBandRule } from "../decision/guard-band.ts";
import type { IndicationLimits } from "../decision/indication-limits.ts";
import { Decimal } from "../quantity/decimal.ts";
import type { ThreeConductors } from "../decision/three-conductors.ts";
import { limitText } from "../decision/limit-question.ts";
import {
  assumptionsOf,
  CAUTIONS,
  conditionalOn,
  conditionsOf,
  NOT_MODELLED,
} from "./assumptions.ts";

/** Ends of a set of values in SI units; `upper` is null where there is none. */
export interface RangeFigures {
  readonly lower: number;
  readonly upper: number | null;
}

/** One other accuracy statement at the line. */
export interface StatementAtLine {
  readonly name: string;
  /** Largest error it permits at the line as loaded, V. */
  readonly error: number;
  /** The same as a share of the line. */
  readonly share: number;
  /** Indication below which it permits more than 5 % of the indication, V. */
  readonly exceedsFivePercentBelow: number | "never" | "always";
}

/** A way to meet the line, decided. */
export interface WayRow {
  readonly limit: string;
  readonly because: string;
  readonly voltage: RangeFigures;
  readonly asLoaded: RangeFigures;
  readonly proven: readonly IndicationLimits[];
  /** V. */
  readonly rejectAbove: number;
  readonly provenVerdict?: DecidedWay["provenVerdict"] & string;
  readonly uncertainty: {
    /** True voltage as loaded at which the error was evaluated, V. */
    readonly voltage: number;
    readonly expectedError: number;
    /** Of the error of indication, V. */
    readonly ofIndication: number;
    /** Of the corrected result, V. */
    readonly combined: number;
    readonly coverageFactor: number;
    readonly expanded: number;
    /** null: known for certain. */
    readonly degreesOfFreedom: number | null;
  };
  readonly rules: readonly RuleRow[];
  readonly statements: readonly StatementAtLine[];
}

/** A way that a reading of a voltage does not decide. */
export interface UndecidedRow {
  readonly limit: string;
  readonly reason: string;
}

/** One rule in words and figures. */
export type RuleRow = Omit<RuleOutcome, "rule"> & {
  readonly rule: GuardBandRule;
  readonly words: string;
};

/** What `plumbvolt decide --json` prints. */
export interface DecisionDocument {
  readonly format: "plumbvolt.decision/1";
  readonly producer: { readonly name: string; readonly version: string };
  readonly design: { readonly name: string; readonly revision: string; readonly sha256: string };
  readonly conditions: Readonly<Record<string, string>>;
  readonly line: {
    readonly id: string;
    readonly text: string;
    readonly standard: string;
    readonly clause: string;
    readonly place: string;
    readonly pins: readonly string[];
    /** s. */
    readonly duration: number;
    readonly applies: Decision["applies"];
    readonly condition: string;
    readonly disconnection: string;
    readonly status: "confirmed" | "fromMemory" | "stated";
    readonly advice: string;
    readonly notes: readonly string[];
  };
  readonly measurand: {
    readonly definition: Decision["definition"];
    readonly reason: Decision["definitionReason"];
  };
  readonly product: { readonly capacitance: RangeFigures; readonly reason: string };
  readonly pins: {
    readonly resistance: RangeFigures;
    readonly capacitance: RangeFigures;
    readonly parts: readonly {
      readonly name: string;
      readonly resistance?: RangeFigures;
      readonly capacitance?: RangeFigures;
    }[];
    readonly demands: Decision["demands"];
  };
  readonly loading: {
    /** Factor from the voltage as loaded to the measurand. */
    readonly factor: RangeFigures;
    readonly applied: number;
    readonly relativeUncertainty: number;
    readonly smallest: Decision["smallest"];
  };
  readonly indication?: number;
  readonly prior?: Prior;
  readonly ways: readonly (WayRow | UndecidedRow)[];
  readonly greatest: readonly GreatestFigure[];
  /** Where it was asked for: error and loading over the input resistance at the line as loaded. */
  readonly resistance?: Omit<ResistanceCurve, "capacitance">;
  /** Where a capacitance to earth was declared: all three pairs at the first line. */
  readonly threeConductors?: ThreeConductors;
  readonly guaranteed: boolean;
  readonly conditionalOn: readonly string[];
  readonly assumptions: readonly string[];
  readonly notModelled: readonly string[];
  readonly cautions: readonly string[];
}

/** What the caller knows beside design and decision. */
export interface DecisionDocumentOptions {
  readonly sha256: string;
  readonly version: string;
  readonly indication?: number;
  readonly prior?: Prior;
  readonly greatest: readonly GreatestFigure[];
  readonly resistance?: ResistanceCurve;
  readonly threeConductors?: ThreeConductors;
}

function rangeFigures({ lower, upper }: { lower: number; upper: number }): RangeFigures {
  return { lower, upper: upper === Infinity ? null : upper };
}

function curveOf(curve: ResistanceCurve): Omit<ResistanceCurve, "capacitance"> {
  const { voltage, duration, points, optimum, impossible } = curve;
  return { voltage, duration, points, optimum, impossible };
}

/** A rule in a person's words. */
export function ruleWords(rule: GuardBandRule): string {
  switch (rule.kind) {
    case "simpleAcceptance":
      return "simple acceptance, no guard band";
    case "expandedUncertainty":
      return rule.multiple === 1
        ? "guard band U = 2 u"
        : `guard band ${rule.multiple} U${rule.multiple === 0.83 ? " (one-sided, 5 %)" : ""}`;
    case "specificRisk":
      return `largest specific risk ${Number((rule.risk * 100).toPrecision(4))} %`;
  }
}

const FIVE_PERCENT = Decimal.parse("0.05");

function statementRow(statement: AccuracyStatement, voltage: number): StatementAtLine {
  const error = permittedError(statement, voltage);
  return {
    name: statement.name,
    error,
    share: error / voltage,
    exceedsFivePercentBelow: voltageBelowWhichExceeds(statement, FIVE_PERCENT),
  };
}

function wayRow(way: DecidedWay | UndecidedWay, design: Design): WayRow | UndecidedRow {
  if ("reason" in way) return { limit: limitText(way.limit), reason: way.reason };
  const { error, standardUncertainty: combined } = way;
  const { degreesOfFreedom } = error;
  return {
    limit: limitText(way.limit),
    because: way.because,
    voltage: rangeFigures(way.voltage),
    asLoaded: rangeFigures(way.asLoaded),
    proven: way.proven,
    rejectAbove: way.rejectAbove,
    ...(way.provenVerdict === undefined ? {} : { provenVerdict: way.provenVerdict }),
    uncertainty: {
      voltage: error.voltage,
      expectedError: error.expected,
      ofIndication: error.standardUncertainty,
      combined,
      coverageFactor: 2,
      expanded: 2 * combined,
      degreesOfFreedom: degreesOfFreedom === Infinity ? null : degreesOfFreedom,
    },
    rules: way.rules.map((one) => ({ ...one, words: ruleWords(one.rule) })),
    statements: design.comparisons.map((one) => statementRow(one, way.asLoaded.lower)),
  };
}

function lineOf({ question, applies }: Decision): DecisionDocument["line"] {
  const { line, published, duration } = question;
  const all = [line.limit, ...line.alternatives];
  const limits = all.map(limitText).join(", or ");
  // A share of the initial voltage names its own time.
  const last = all.at(-1)!;
  const isTimed = last.kind === "timeConstant" && last.timeConstant === duration;
  const { instant, repetitions, words } = published?.disconnection ?? { instant: "notStated" };
  const instants = {
    voltagePeak: "at the crest of the mains",
    worstOfRepetitions: "the greatest of several counts",
    either: "at the crest or the greatest of several",
    notStated: "instant not stated",
  } as const;
  const times = repetitions === undefined ? "" : `, ${repetitions} times`;
  return {
    id: line.id,
    text: isTimed ? limits : `${limits} after ${duration} s`,
    standard: published?.standard ?? "",
    clause: published === undefined ? "" : published.clause,
    place: line.place,
    pins: line.pins,
    duration,
    applies,
    condition: line.applicability.condition ?? "",
    disconnection: `${instants[instant]}${times}${words === undefined ? "" : `; ${words}`}`,
    status: published === undefined ? "stated" : line.status,
    advice: published?.advice ?? "",
    notes: published?.notes ?? [],
  };
}

function assumed(design: Design, decision: Decision): readonly string[] {
  const isCorrected = decision.definition !== "asLoaded";
  return [
    ...assumptionsOf(design),
    "No product is beyond the measuring interval.",
    "The result with its uncertainty counts as normal; the guard bands of the rules rest on that.",
    ...(isCorrected
      ? [
          "The product is one capacitance with one bleeder; the tester lies across it from before " +
            "the disconnection.",
          "Inside the limits of the loading factor every value is as likely as any other.",
        ]
      : []),
  ];
}

/** The decision as a document: everything printed, with what it rests on. */
export function decisionDocument(
  design: Design,
  decision: Decision,
  options: DecisionDocumentOptions,
): DecisionDocument {
  const { pins, correction, smallest } = decision;
  return {
    format: "plumbvolt.decision/1",
    producer: { name: "plumbvolt", version: options.version },
    design: { name: design.name, revision: design.revision ?? "", sha256: options.sha256 },
    conditions: conditionsOf(design),
    line: lineOf(decision),
    measurand: { definition: decision.definition, reason: decision.definitionReason },
    product: {
      capacitance: rangeFigures(decision.capacitance),
      reason: decision.capacitanceReason,
    },
    pins: {
      resistance: rangeFigures(pins.resistance),
      capacitance: rangeFigures(pins.capacitance),
      parts: pins.parts.map(({ name, resistance, capacitance }) => ({
        name,
        ...(resistance === undefined ? {} : { resistance: rangeFigures(resistance) }),
        ...(capacitance === undefined ? {} : { capacitance: rangeFigures(capacitance) }),
      })),
      demands: decision.demands,
    },
    loading: {
      factor: rangeFigures(correction.factor),
      applied: correction.applied,
      relativeUncertainty: correction.relativeUncertainty,
      smallest,
    },
    ...(options.indication === undefined ? {} : { indication: options.indication }),
    ...(options.prior === undefined ? {} : { prior: options.prior }),
    ways: decision.ways.map((way) => wayRow(way, design)),
    greatest: options.greatest,
    ...(options.resistance === undefined ? {} : { resistance: curveOf(options.resistance) }),
    ...(options.threeConductors === undefined ? {} : { threeConductors: options.threeConductors }),
    guaranteed: design.inexactFigures.length === 0,
    conditionalOn: conditionalOn(quantitiesOf(design)),
    assumptions: assumed(design, decision),
    notModelled: NOT_MODELLED.filter((one) => !one.startsWith("the loading of the product")),
    cautions: CAUTIONS,
  };
}
