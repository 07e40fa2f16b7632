import { measurementModel } from "../chain/measurement-model.ts";
import { checkRelations } from "../design/check-relations.ts";
import type { Design } from "../design/design.ts";
import { FaultList } from "../design/fault-list.ts";
import { highestCrest } from "../design/node-quantities.ts";
import type { LimitValue, ReferenceLoad } from "../design/published-limit.ts";
import { InvalidInputError } from "../errors.ts";
import { ErrorBrackets } from "../guarantee/error-brackets.ts";
import { checkCodesInside } from "../guarantee/range-check.ts";
import { interval } from "../interval/interval.ts";
import type { Interval } from "../interval/interval.ts";
import { Decimal } from "../quantity/decimal.ts";
import { ErrorPropagation } from "./error-uncertainty.ts";
import type { ErrorUncertainty } from "./error-uncertainty.ts";
import { fourWayVerdict, guardBand } from "./guard-band.ts";
import type { FourWayVerdict, GuardBand, GuardBandRule } from "./guard-band.ts";
import { globalRisk } from "./global-risk.ts";
import type { GlobalRisk, Prior } from "./global-risk.ts";
import { highestIndication, indicationLimits } from "./indication-limits.ts";
import type { IndicationLimits, Polarity } from "./indication-limits.ts";
import type { LimitQuestion } from "./limit-question.ts";
import { lineApplies, voltageLine } from "./line-voltage.ts";
import type { LineApplies } from "./line-voltage.ts";
import { loadingCorrection, smallestCapacitance } from "./loading.ts";
import type { LoadingCorrection } from "./loading.ts";
import {
  dividerPart,
  isReferenceLoad,
  meetsInstrumentDemand,
  pinImpedance,
} from "./pin-impedance.ts";
import type { DemandVerdict, PinImpedance, PinPart } from "./pin-impedance.ts";

/** How the voltage of the line is defined for the decision. */
export type MeasurandDefinition = "asLoaded" | "unloaded" | "referredToLoad";

/** What is known beside design and line. */
export interface DecideOptions {
  /** F between the pins, tolerance included; its upper end may be infinite. */
  readonly capacitance?: Interval;
  /** Voltage at the disconnection, V; needed for lines that are a share of it. */
  readonly initial?: Interval;
  /** What lies between the pins beside the divider. */
  readonly parts?: readonly PinPart[];
  /** Takes the place of the definition that the line states. */
  readonly definition?: MeasurandDefinition;
  /** Rules beside the usual ones. */
  readonly rules?: readonly GuardBandRule[];
  /** What is known of the products to be tested, V; without it no global risk is given. */
  readonly prior?: Prior;
  /** A reading to be judged, V. */
  readonly indication?: number;
}

/** What one rule says at the line. */
export interface RuleOutcome {
  readonly rule: GuardBandRule;
  /** On the measurand, V. */
  readonly guardBand: GuardBand;
  /** Indications up to this are accepted, V. */
  readonly acceptUpTo: number;
  readonly risk?: GlobalRisk;
  readonly verdict?: FourWayVerdict;
}

/** Verdict by the proven bounds alone. */
export type ProvenVerdict = "pass" | "undecided" | "fail";

/** Acceptance at one of the ways in which a line may be met. */
export interface DecidedWay {
  readonly limit: LimitValue;
  readonly because: string;
  /** The line on the measurand, V; its lower end decides. */
  readonly voltage: Interval;
  /** Voltage on the pins, as loaded, that the deciding line comes to at most and at least, V. */
  readonly asLoaded: Interval;
  /** The polarity with the lower acceptance limit first. */
  readonly proven: readonly IndicationLimits[];
  /** Indications above this show for certain that the line is exceeded, V. */
  readonly rejectAbove: number;
  readonly provenVerdict?: ProvenVerdict;
  /** Error of indication at the line as loaded, of the polarity that decides. */
  readonly error: ErrorUncertainty;
  /** Standard uncertainty of the corrected result at the line, V. */
  readonly standardUncertainty: number;
  readonly rules: readonly RuleOutcome[];
}

/** A way that cannot be decided by reading a voltage. */
export interface UndecidedWay {
  readonly limit: LimitValue;
  readonly reason: string;
}

/** The decision at a line: acceptance limits and what they cost. */
export interface Decision {
  readonly question: LimitQuestion;
  readonly definition: MeasurandDefinition;
  /** Why that definition. */
  readonly definitionReason: "stated by the line" | "asked for" | "not stated, the stricter taken";
  readonly capacitance: Interval;
  readonly capacitanceReason: string;
  readonly applies: LineApplies;
  readonly pins: PinImpedance;
  readonly demands: readonly {
    readonly words: string;
    readonly source: string;
    readonly verdict: DemandVerdict;
  }[];
  readonly correction: LoadingCorrection;
  /** Smallest product capacitance for a share of loading, F. */
  readonly smallest: readonly { readonly share: number; readonly capacitance: number }[];
  readonly ways: readonly (DecidedWay | UndecidedWay)[];
  /** Standard deviation of what differs between readings, at the first way's line, V. */
  readonly readingDeviation: number;
}

/** Products are tested from this capacitance on where a line says nothing else, F. */
const USUAL_THRESHOLD = 0.1e-6;

/** Shares of loading for which the smallest capacitance is a headline figure. */
const LOADING_SHARES = [0.01, 0.02, 0.05] as const;

/** The rules that every decision shows. */
const USUAL_RULES: readonly GuardBandRule[] = [
  { kind: "simpleAcceptance" },
  { kind: "expandedUncertainty", multiple: 0.83 },
  { kind: "expandedUncertainty", multiple: 1 },
];

const SIDES: readonly Polarity[] = [1, -1];

/** The reference load of decision sheets, for a line that states none. */
const USUAL_LOAD: ReferenceLoad = {
  resistance: { lower: 95e6, nominal: 100e6, upper: 105e6 },
  capacitance: { lower: 15e-12, nominal: 20e-12, upper: 25e-12 },
};

/** The design as it reads at another time after the disconnection, its relations checked. */
export function atInstant(design: Design, duration: number): Design {
  const instant = Decimal.fromNumber(duration).value;
  if (design.conditions.instant.equals(instant)) return design;
  const changed: Design = { ...design, conditions: { ...design.conditions, instant } };
  const faults = new FaultList();
  checkRelations(changed, faults);
  faults.throwIfAny("design at the time of the line");
  return changed;
}

function definitionOf({ measurand }: LimitQuestion, asked: MeasurandDefinition | undefined) {
  if (asked !== undefined) return { definition: asked, definitionReason: "asked for" } as const;
  return measurand.definition === "notStated"
    ? ({ definition: "unloaded", definitionReason: "not stated, the stricter taken" } as const)
    : ({
        definition: measurand.definition,
        definitionReason: "stated by the line",
      } as const);
}

function capacitanceOf({ line }: LimitQuestion, known: Interval | undefined) {
  if (known !== undefined) return { capacitance: known, capacitanceReason: "declared" };
  const thresholds = line.applicability.capacitance.map(({ capacitance }) => capacitance);
  const least = thresholds.length > 0 ? Math.min(...thresholds) : USUAL_THRESHOLD;
  return {
    capacitance: interval(least, Infinity),
    capacitanceReason:
      thresholds.length > 0
        ? "from the capacitance on from which the line applies"
        : "assumed: not declared, and the line names none",
  };
}

function demandsOf({ published }: LimitQuestion, pins: PinImpedance): Decision["demands"] {
  const measurand = published?.measurand;
  const ofLoad =
    measurand?.definition === "referredToLoad"
      ? [
          {
            words: "the tester is itself the reference load, inside its tolerance",
            source: `${published?.standard}, ${published?.clause}`,
            verdict: isReferenceLoad(pins, measurand.load),
          },
        ]
      : [];
  const ofInstrument = (published?.instrument ?? [])
    .filter((one) => one.leastResistance !== undefined || one.greatestCapacitance !== undefined)
    .map((one) => ({
      words: one.words,
      source: one.source,
      verdict: meetsInstrumentDemand(pins, one),
    }));
  return [...ofInstrument, ...ofLoad];
}

/** Least time constant of a product that is still at a voltage after a duration, s. */
function leastTimeConstant(design: Design, duration: number, voltage: number): number {
  const crest = highestCrest(design).toNumber();
  return voltage < crest ? duration / Math.log(crest / voltage) : duration;
}

function correctionFor(
  facts: { readonly design: Design; readonly question: LimitQuestion; readonly pins: PinImpedance },
  decision: Pick<Decision, "definition" | "capacitance">,
  voltage: number,
): LoadingCorrection {
  const { design, question, pins } = facts;
  if (decision.definition === "asLoaded")
    return { factor: { lower: 1, upper: 1 }, applied: 1, relativeUncertainty: 0 };
  const { measurand, duration } = question;
  const load = measurand.definition === "referredToLoad" ? measurand.load : USUAL_LOAD;
  const ends = ({ lower, upper }: Interval): Interval => interval(lower, upper);
  return loadingCorrection(
    duration,
    {
      capacitance: decision.capacitance,
      leastTimeConstant: leastTimeConstant(design, duration, voltage),
    },
    {
      tester: pins,
      ...(decision.definition === "referredToLoad"
        ? { reference: { resistance: ends(load.resistance), capacitance: ends(load.capacitance) } }
        : {}),
    },
  );
}

function provenVerdict(indication: number, proven: readonly IndicationLimits[], fails: number) {
  const size = Math.abs(indication);
  const ofPolarity = proven.filter(({ polarity }) => polarity === (indication < 0 ? -1 : 1));
  const used = ofPolarity.length > 0 ? ofPolarity : proven;
  if (used.every(({ acceptBelow }) => size < acceptBelow)) return "pass";
  return size > fails ? "fail" : "undecided";
}

/** Everything that is the same for all ways of a line. */
interface Facts {
  readonly design: Design;
  readonly question: LimitQuestion;
  readonly pins: PinImpedance;
  readonly brackets: ErrorBrackets;
  readonly propagation: ErrorPropagation;
  readonly options: DecideOptions;
}

function polaritiesOf({ measuringInterval }: Design): readonly Polarity[] {
  return SIDES.filter((side) => side === 1 || measuringInterval.lower.sign() < 0);
}

function rulesAt(facts: Facts, way: Omit<DecidedWay, "rules">, applied: number): RuleOutcome[] {
  const { options } = facts;
  const limit = way.voltage.lower;
  const bias = way.error.voltage < 0 ? -way.error.expected : way.error.expected;
  return [...USUAL_RULES, ...(options.rules ?? [])].map((rule): RuleOutcome => {
    const band = guardBand(rule, way.standardUncertainty);
    const acceptance = { upper: limit - band.width };
    const { prior, indication } = options;
    const corrected = indication === undefined ? 0 : applied * (Math.abs(indication) - bias);
    return {
      rule,
      guardBand: band,
      acceptUpTo: (limit - band.width) / applied + bias,
      ...(prior === undefined
        ? {}
        : {
            risk: globalRisk({
              prior,
              tolerance: { upper: limit },
              acceptance,
              standardUncertainty: way.standardUncertainty,
            }),
          }),
      ...(indication === undefined
        ? {}
        : { verdict: fourWayVerdict(corrected, { limit, guardBand: band.width }) }),
    };
  });
}

function decideWay(
  facts: Facts,
  decision: Pick<Decision, "definition" | "capacitance">,
  way: { readonly limit: LimitValue; readonly voltage: Interval; readonly because: string },
): DecidedWay | UndecidedWay {
  const { design, brackets, propagation, options } = facts;
  const limit = way.voltage.lower;
  const { factor, applied, relativeUncertainty } = correctionFor(facts, decision, limit);
  const asLoaded = interval(limit / factor.upper, limit / factor.lower);
  const polarities = polaritiesOf(design);
  const end = Math.min(
    ...polarities.map((side) =>
      Math.abs(
        (side === 1 ? design.measuringInterval.upper : design.measuringInterval.lower).toNumber(),
      ),
    ),
  );
  const sureFailure = way.voltage.upper / factor.lower;
  if (sureFailure >= end) {
    const volts = sureFailure.toPrecision(4);
    const reason = `the line comes to ${volts} V on the pins, beyond the range`;
    return { limit: way.limit, reason };
  }
  const proven = polarities
    .map((side) => indicationLimits(brackets, asLoaded.lower, side))
    .sort((one, other) => one.acceptBelow - other.acceptBelow);
  const rejectAbove = Math.max(
    ...polarities.map((side) => highestIndication(brackets, sureFailure, side)),
  );
  const errors = polarities.map((side) => propagation.at(side * asLoaded.lower));
  const sizes = errors.map(({ voltage, expected }) => Math.sign(voltage) * expected);
  // Of both polarities the one whose indications are low is the one that lets products through.
  const error = errors[sizes.indexOf(Math.min(...sizes))]!;
  const found: Omit<DecidedWay, "rules"> = {
    ...way,
    asLoaded,
    proven,
    rejectAbove,
    ...(options.indication === undefined
      ? {}
      : {
          provenVerdict: provenVerdict(options.indication, proven, rejectAbove),
        }),
    error,
    standardUncertainty: Math.hypot(
      applied * error.standardUncertainty,
      limit * relativeUncertainty,
    ),
  };
  return { ...found, rules: rulesAt(facts, found, applied) };
}

function checkOptions({ capacitance, indication }: DecideOptions): void {
  const faults = [];
  if (capacitance !== undefined && !(capacitance.lower > 0)) {
    const received = `${capacitance.lower} F`;
    faults.push({
      path: "capacitance",
      quantity: "capacitance",
      permitted: "above zero",
      received,
    });
  }
  if (indication !== undefined && !Number.isFinite(indication)) {
    const received = String(indication);
    faults.push({ path: "indication", quantity: "indication", permitted: "finite", received });
  }
  if (faults.length > 0) throw new InvalidInputError("decision", faults);
}

/**
 * Decides at a limit line with a design: what the line means on the pins, how the tester's loading
 * is corrected, which indications are accepted by the proven bounds and by the rules of conformity,
 * and at what risk. A line that may be met in several ways is decided for each.
 *
 * Throws InvalidInputError for bad options and where codes can leave the converter,
 * UnboundedResultError where limits of the design are too wide.
 */
export function decide(
  design: Design,
  question: LimitQuestion,
  options: DecideOptions = {},
): Decision {
  checkOptions(options);
  const timed = atInstant(design, question.duration);
  const pins = pinImpedance([dividerPart(timed), ...(options.parts ?? [])]);
  const described = {
    question,
    ...definitionOf(question, options.definition),
    ...capacitanceOf(question, options.capacitance),
  };
  const model = measurementModel(timed);
  const brackets = new ErrorBrackets(model);
  checkCodesInside(model, brackets.domain);
  const propagation = new ErrorPropagation(model);
  const facts: Facts = { design: timed, question, pins, brackets, propagation, options };
  const circumstances = {
    ...(options.capacitance === undefined ? {} : { capacitance: options.capacitance }),
    ...(options.initial === undefined ? {} : { initial: options.initial }),
  };
  const { line } = question;
  const ways = [line.limit, ...line.alternatives].map((limit) => {
    const drawn = voltageLine(limit, circumstances);
    return drawn.kind === "noVerdict"
      ? { limit, reason: drawn.reason }
      : decideWay(facts, described, drawn);
  });
  const first = ways.find((way) => "voltage" in way);
  const repeated = new ErrorPropagation(model, (kind) => kind === "reading");
  return {
    ...described,
    applies: lineApplies(line, circumstances),
    pins,
    demands: demandsOf(question, pins),
    correction: correctionFor(facts, described, first?.voltage.lower ?? 1),
    smallest: LOADING_SHARES.map((share) => ({
      share,
      capacitance: smallestCapacitance({
        share,
        duration: question.duration,
        inputResistance: pins.resistance.lower,
      }),
    })),
    ways,
    readingDeviation: repeated.at(first?.asLoaded.lower ?? 0).standardUncertainty,
  };
}
