import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import type { MeasurementModel } from "../chain/measurement-model.ts";
import { MEASURAND, measurementModel, roundingQuantities } from "../chain/measurement-model.ts";
import { permittedError, voltageBelowWhichExceeds } from "../design/accuracy-statement.ts";
import type { AccuracyStatement, ShareAndVolts } from "../design/accuracy-statement.ts";
import type { Design } from "../design/design.ts";
import { permittedErrors } from "../design/requirement.ts";
import type { Requirement } from "../design/requirement.ts";
import { limitVoltages, timeConstantLineVoltage } from "../design/published-limits.ts";
import type { LimitDistribution, Quantity } from "../design/quantity.ts";
import { toInfix } from "../expression/infix.ts";
import { bandsOf, voltagesInside } from "../guarantee/bands.ts";
import type { VoltageBand } from "../guarantee/bands.ts";
import { gapOf } from "../guarantee/bracket.ts";
import type { Bound, Bracket, Side, SideBracket } from "../guarantee/bracket.ts";
import { certificateOf } from "../guarantee/certificate.ts";
import type { Certificate } from "../guarantee/certificate.ts";
import { enclosingInterval } from "../guarantee/domain.ts";
import { ErrorBrackets } from "../guarantee/error-brackets.ts";
import type { BoundDemand } from "../guarantee/error-brackets.ts";
import { checkCodesInside } from "../guarantee/range-check.ts";
import { judgeRequirement } from "../guarantee/requirement-verdict.ts";
import type { BandErrors, Judgement } from "../guarantee/requirement-verdict.ts";
import { proveStatement } from "../guarantee/statement.ts";
import type { ProvenStatement, StatementOptions } from "../guarantee/statement.ts";
import { TermAnalysis } from "../guarantee/terms.ts";
import { Decimal } from "../quantity/decimal.ts";
import { sweepVoltages, withTotalEffects, withUncertainty } from "./row-uncertainty.ts";
import type { RowUncertaintyOptions } from "./row-uncertainty.ts";
import type { SweptUncertainty } from "../uncertainty/uncertainty-along.ts";
import { formatQuantity } from "../quantity/format.ts";
import {
  assumptionsOf,
  CAUTIONS,
  conditionalOn,
  conditionsOf,
  NOT_MODELLED,
} from "./assumptions.ts";
import type {
  BudgetDocument,
  BudgetRow,
  ComparisonRow,
  RequirementRow,
  SideFigures,
  StatementDocument,
  StatementFigures,
  SymbolRow,
} from "./budget-document.ts";

/** What the caller knows beside the design. */
export interface BudgetOptions {
  /** True voltages of the rows, V; default: see {@link defaultVoltages}. */
  readonly voltages?: readonly Decimal[];
  /** SHA-256 of the document's bytes as read. */
  readonly sha256: string;
  /** Version of this package. */
  readonly version: string;
  /** Part of the range and fixed figures of the accuracy statement. */
  readonly statement?: StatementOptions;
  /** Adds expanded uncertainty and coverage interval to the rows; left out when absent. */
  readonly uncertainty?: RowUncertaintyOptions;
}

/** A budget with the proofs behind its statement, which are too long for the document. */
export interface ProvenBudget {
  readonly document: BudgetDocument;
  /** Proofs of the rows and of the statement. */
  readonly certificate: Certificate;
}

/** ... with the equation it was proven on. */
export interface ModelledBudget extends ProvenBudget {
  readonly model: MeasurementModel;
}

const FIVE_PERCENT = Decimal.parse("0.05");

/**
 * Every published pass/fail voltage inside the range, the 37 % lines of the rated mains, round
 * voltages between and the ends of the range; both polarities where the range has both.
 */
export function defaultVoltages(design: Design): readonly Decimal[] {
  const { lower, upper } = design.measuringInterval;
  const lines = limitVoltages().map(({ voltage }) => Decimal.fromNumber(voltage).value);
  const decays = design.conditions.mains.voltages.map((rms) =>
    Decimal.fromNumber(timeConstantLineVoltage(rms.toNumber())).value.roundUp(1),
  );
  const round = [20, 100, 200, 300].map((volts) => Decimal.ofInteger(volts));
  const positive = [...lines, ...decays, ...round, upper.absolute(), lower.absolute()];
  return voltagesInside(design, [
    Decimal.zero,
    ...positive,
    ...positive.map((voltage) => voltage.negate()),
  ]);
}

function distributionRow(distribution: LimitDistribution): SymbolRow["distribution"] {
  return distribution.shape === "normal"
    ? { shape: "normal", coverageFactor: distribution.coverageFactor }
    : { shape: distribution.shape };
}

function quantityRow(quantity: Quantity): SymbolRow {
  return {
    name: quantity.name,
    meaning: quantity.meaning,
    nominal: quantity.nominal.toString(),
    lower: quantity.lower.toString(),
    upper: quantity.upper.toString(),
    unit: quantity.unit,
    kind: quantity.kind,
    part: quantity.part,
    occasion: quantity.occasion,
    perBand: false,
    distribution: distributionRow(quantity.distribution),
    degreesOfFreedom: quantity.degreesOfFreedom ?? null,
    basis: quantity.origin.basis,
    document: quantity.origin.document ?? "",
  };
}

function symbolRows(model: MeasurementModel): SymbolRow[] {
  const { lower, upper } = model.design.measuringInterval;
  const plain = {
    distribution: { shape: "rectangular" },
    degreesOfFreedom: null,
    basis: "guaranteed",
    document: "",
  } as const;
  return [
    {
      name: MEASURAND,
      meaning: "true voltage between the pins at the stated instant",
      nominal: "0",
      lower: lower.toString(),
      upper: upper.toString(),
      unit: "V",
      kind: "measurand",
      part: "pins",
      occasion: "use",
      perBand: true,
      ...plain,
    },
    ...model.quantities.map(quantityRow),
    ...roundingQuantities(model).map(
      ({ name, occasion, nominal, lower: low, upper: high }): SymbolRow => ({
        name,
        meaning: "rounded value minus value before rounding",
        nominal: nominal.toString(),
        lower: low.toString(),
        upper: high.toString(),
        unit: "1",
        kind: "rounding",
        part: "quantiser",
        occasion,
        perBand: false,
        ...plain,
      }),
    ),
  ];
}

function equationOf(model: MeasurementModel): BudgetDocument["equation"] {
  const shown = toInfix(model.shown);
  const bounded = toInfix(model.bounded);
  return {
    unit: "V",
    shown: { definitions: shown.definitions, error: shown.infix },
    bounded: { definitions: bounded.definitions, error: bounded.infix },
    quantisers: model.quantisers.map(({ shown: name, argument, symbol, mode }) => ({
      shown: name,
      argument,
      symbol,
      mode,
    })),
  };
}

/** Turns brackets into rows of the document. */
class RowWriter {
  private readonly model: MeasurementModel;
  private readonly brackets: ErrorBrackets;
  private readonly analysis: TermAnalysis;
  private readonly rounding: ReadonlySet<string>;
  private readonly quantityOf: ReadonlyMap<string, Quantity>;

  constructor(model: MeasurementModel, brackets: ErrorBrackets) {
    this.model = model;
    this.brackets = brackets;
    this.analysis = new TermAnalysis(model, brackets.domain);
    this.rounding = new Set(model.quantisers.map(({ symbol }) => symbol));
    this.quantityOf = new Map(model.quantities.map((quantity) => [quantity.name, quantity]));
  }

  private figures(side: SideBracket): SideFigures {
    const { names } = this.brackets.domain;
    const witness: Record<string, number> = {};
    for (const [slot, name] of names.entries())
      if (!this.rounding.has(name)) witness[name] = side.witness[slot]!;
    return {
      proven: side.proven,
      witnessed: side.witnessed,
      gap: gapOf(side),
      witness,
      undecided: side.undecided.map((slot) => names[slot]!),
    };
  }

  private terms(voltage: number, bracket: Bracket): BudgetRow["terms"] {
    const { names } = this.brackets.domain;
    const binding = Math.abs(bracket.high.proven) >= Math.abs(bracket.low.proven) ? "high" : "low";
    const point =
      bracket[binding].point ??
      this.brackets.maximum(binding, { lower: voltage, upper: voltage }).point;
    return this.analysis.termsAt(point).map(({ slot, sensitivity, volts }) => {
      const name = names[slot]!;
      const quantity = this.quantityOf.get(name);
      return {
        symbol: name,
        part: quantity?.part ?? "quantiser",
        kind: quantity?.kind ?? "rounding",
        sensitivity,
        volts,
      };
    });
  }

  row(band: VoltageBand, bracket: Bracket): BudgetRow {
    const voltage = band.voltage!.toNumber();
    const high = this.figures(bracket.high);
    const low = this.figures(bracket.low);
    const binding = Math.abs(high.proven) >= Math.abs(low.proven) ? high : low;
    const stops = [bracket.high.stopped, bracket.low.stopped];
    return {
      voltage,
      band: { lower: band.lower.toString(), upper: band.upper.toString() },
      high,
      low,
      provenError: Math.abs(binding.proven),
      witnessedError: Math.abs(binding.witnessed),
      gap: binding.gap,
      guaranteed: this.model.design.inexactFigures.length === 0,
      stopped: stops.includes("work") ? "work" : stops.includes("rounding") ? "rounding" : "gap",
      ...this.analysis.commonSums(voltage),
      terms: this.terms(voltage, bracket),
      limits: limitsAt(this.model.design, voltage),
    };
  }
}

/** Published lines that decide at a voltage of either polarity. */
function limitsAt(design: Design, voltage: number): string[] {
  const size = Math.abs(voltage);
  const fixed = limitVoltages().flatMap((line) => (line.voltage === size ? line.ids : []));
  const decays = design.conditions.mains.voltages
    .map((rms) => rms.toNumber())
    .filter((rms) => Math.abs(timeConstantLineVoltage(rms) - size) < 0.1)
    .map((rms) => `37 % of the crest of ${formatQuantity(rms, "voltage")}`);
  return [...fixed, ...decays];
}

/** What a requirement allows, for the picture: at its voltages, or along the rows of its range. */
function permittedPlaces(
  { at, from, to, statement }: Requirement,
  voltages: readonly number[],
): NonNullable<RequirementRow["permitted"]> {
  const inRange = (voltage: number): boolean =>
    from === undefined || to === undefined
      ? true
      : Math.abs(voltage) >= from.toNumber() && Math.abs(voltage) <= to.toNumber();
  const places = at === undefined ? voltages.filter(inRange) : at.map((v) => v.toNumber());
  return {
    over: at === undefined ? "range" : "points",
    errors: [...places]
      .sort((one, other) => one - other)
      .map((voltage) => ({ voltage, ...permittedErrors(statement, voltage) })),
  };
}

function requirementRow(judgement: Judgement, voltages: readonly number[]): RequirementRow {
  const { requirement, ...figures } = judgement;
  const permitted = permittedPlaces(requirement, voltages);
  return {
    ...(permitted.errors.length === 0 ? {} : { permitted }),
    id: requirement.id,
    text: requirement.text,
    source: requirement.source ?? "design document",
    ...figures,
  };
}

function statementText(statement: AccuracyStatement): string {
  switch (statement.kind) {
    case "indication": {
      const share = `+/-${formatQuantity(statement.share, "ratio")} of indication`;
      return statement.volts.isZero()
        ? share
        : `${share} +/-${formatQuantity(statement.volts, "voltage")}`;
    }
    case "fiducial": {
      const fiducial = statement.fiducial === "span" ? "span" : "upper limit";
      const share = formatQuantity(statement.share, "ratio");
      return `+/-${share} of the ${fiducial} ${formatQuantity(statement.value, "voltage")}`;
    }
    case "resolution": {
      const part = statement.codes === "half" ? "half a code" : "one code";
      return `${part} of ${statement.bits} bits over ${formatQuantity(statement.span, "voltage")}`;
    }
  }
}

function comparisonRow(statement: AccuracyStatement, rows: readonly BudgetRow[]): ComparisonRow {
  return {
    name: statement.name,
    text: statementText(statement),
    errors: rows.map(({ voltage }) => permittedError(statement, Math.abs(voltage))),
    exceedsFivePercentBelow: voltageBelowWhichExceeds(statement, FIVE_PERCENT),
  };
}

function statementDocument({ fit, from, to }: ProvenStatement): StatementDocument {
  const figures = ({ share, volts }: ShareAndVolts): StatementFigures => ({
    share: share.toString(),
    volts: volts.toString(),
  });
  return {
    ...figures(fit),
    from: from.toString(),
    to: to.toString(),
    exact: fit.exact,
    ends: fit.ends.map(figures),
    objective: fit.objective,
    used: fit.usedShare.map(({ lower, upper, low, high }) => ({
      lower: lower.toString(),
      upper: upper.toString(),
      low,
      high,
    })),
  };
}

function checkVoltages({ measuringInterval }: Design, voltages: readonly Decimal[]): void {
  const { lower, upper } = measuringInterval;
  const faults = voltages.flatMap((voltage, index): Fault[] =>
    voltage.compare(lower) >= 0 && voltage.compare(upper) <= 0
      ? []
      : [
          {
            path: `voltages[${index}]`,
            quantity: "true voltage",
            permitted: `inside the measuring interval ${lower.toString()} V to ${upper.toString()} V`,
            received: `${voltage.toString()} V`,
          },
        ],
  );
  if (faults.length > 0) throw new InvalidInputError("options", faults);
}

/** Brackets bands on demand, each once. */
class KnownBrackets implements BandErrors {
  private readonly brackets: ErrorBrackets;
  private readonly known = new Map<VoltageBand, Bracket>();

  constructor(brackets: ErrorBrackets) {
    this.brackets = brackets;
  }

  bracket(band: VoltageBand): Bracket {
    const found = this.known.get(band);
    if (found !== undefined) return found;
    const bracket = this.brackets.bracket(enclosingInterval(band));
    this.known.set(band, bracket);
    return bracket;
  }

  bound(band: VoltageBand, asked: BoundDemand): Bound {
    return this.known.get(band) ?? this.brackets.bound(enclosingInterval(band), asked);
  }

  reach(side: Side, band: VoltageBand): number {
    return this.brackets.reach(side, enclosingInterval(band));
  }
}

/** Bands of a budget, and those that have a row. */
function budgetBands(design: Design, { voltages: asked }: Pick<BudgetOptions, "voltages">) {
  checkVoltages(design, asked ?? []);
  const atRequirements = design.requirements.flatMap(({ at }) => at ?? []);
  const voltages = [...(asked ?? defaultVoltages(design)), ...atRequirements];
  const bands = bandsOf(design, voltages);
  const shown = new Set((asked ?? voltages).map((voltage) => voltage.toString()));
  const rowBands = bands.filter(
    ({ voltage }) => voltage !== undefined && shown.has(voltage.toString()),
  );
  return { bands, rowBands };
}

/** True voltages of the rows of a budget, V. */
export function rowVoltages(
  design: Design,
  options: Pick<BudgetOptions, "voltages">,
): readonly number[] {
  return budgetBands(design, options).rowBands.map(({ voltage }) => voltage!.toNumber());
}

/**
 * The error budget of a design without its probabilistic figures: at each voltage the proven and
 * the witnessed error on both sides, what makes it, the verdict on every requirement, and the
 * accuracy a data sheet may state. Throws as {@link provenBudgetOf}.
 */
export function proveBudget(
  design: Design,
  options: Omit<BudgetOptions, "uncertainty">,
): ModelledBudget {
  const model = measurementModel(design);
  const brackets = new ErrorBrackets(model);
  checkCodesInside(model, brackets.domain);
  const { bands, rowBands } = budgetBands(design, options);
  const known = new KnownBrackets(brackets);
  const writer = new RowWriter(model, brackets);
  const rows = rowBands.map((band) => writer.row(band, known.bracket(band)));
  const judgements = design.requirements.map((requirement) =>
    judgeRequirement(requirement, bands, known),
  );
  const statement = proveStatement(design, bands, brackets, options.statement);
  const rowBounds = rowBands.map((band) => known.bracket(band));
  const { lower, upper } = design.measuringInterval;
  const places = rows.map(({ voltage }) => voltage);
  const document: BudgetDocument = {
    format: "plumbvolt.budget/1",
    producer: { name: "plumbvolt", version: options.version },
    design: { name: design.name, revision: design.revision ?? "", sha256: options.sha256 },
    conditions: conditionsOf(design),
    measuringInterval: [[lower.toString(), upper.toString()]],
    symbols: symbolRows(model),
    equation: equationOf(model),
    rows,
    requirements: judgements.flatMap((found) =>
      found === undefined ? [] : [requirementRow(found, places)],
    ),
    comparisons: design.comparisons.map((compared) => comparisonRow(compared, rows)),
    statement: statementDocument(statement),
    certificate: certificateOf(brackets, rowBounds, options.sha256),
    conditionalOn: conditionalOn(model.quantities),
    assumptions: assumptionsOf(design),
    notModelled: NOT_MODELLED,
    cautions: CAUTIONS,
  };
  const all = [...rowBounds, ...statement.stretches.map(({ bound }) => bound)];
  return { model, document, certificate: certificateOf(brackets, all, options.sha256) };
}

/** A proven budget with what {@link sweepVoltages} found at the voltages of its rows. */
export function withProbabilisticFigures(
  { model, document, certificate }: ModelledBudget,
  found: readonly SweptUncertainty[],
  options: RowUncertaintyOptions,
): ProvenBudget {
  const completed = {
    ...document,
    rows: withUncertainty(document.rows, found, options),
    uncertaintyFor: options.words ?? "any unit made to the drawing",
  };
  return { document: withTotalEffects(model, completed, options), certificate };
}

/**
 * The error budget of a design: {@link proveBudget}, and the probabilistic figures where they are
 * asked for. Deterministic: the same design and options give the same document.
 *
 * Throws InvalidInputError where a voltage lies outside the measuring interval or where codes can
 * leave the converter, UnboundedResultError where limits are so wide that a divisor can be zero.
 */
export function provenBudgetOf(design: Design, options: BudgetOptions): ProvenBudget {
  const proven = proveBudget(design, options);
  const { uncertainty } = options;
  if (uncertainty === undefined)
    return { document: proven.document, certificate: proven.certificate };
  const voltages = proven.document.rows.map(({ voltage }) => voltage);
  const found = sweepVoltages(proven.model, voltages, uncertainty);
  return withProbabilisticFigures(proven, found, uncertainty);
}

/** The document of {@link provenBudgetOf} alone. */
export function budgetOf(design: Design, options: BudgetOptions): BudgetDocument {
  return provenBudgetOf(design, options).document;
}
