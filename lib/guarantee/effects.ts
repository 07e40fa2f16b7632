import { measurementModel } from "../chain/measurement-model.ts";
import { checkRelations } from "../design/check-relations.ts";
import type { Adjustment, Conditions, Design } from "../design/design.ts";
import { FaultList } from "../design/fault-list.ts";
import { limitVoltages } from "../design/published-limits.ts";
import { faultText, InvalidInputError, InvariantBrokenError, PlumbvoltError } from "../errors.ts";
import { above, below } from "../interval/rounding.ts";
import { Decimal } from "../quantity/decimal.ts";
import { formatQuantity } from "../quantity/format.ts";
import { bandsOf, voltagesInside } from "./bands.ts";
import type { VoltageBand } from "./bands.ts";
import { gapOf } from "./bracket.ts";
import type { SideBracket } from "./bracket.ts";
import { ErrorBrackets } from "./error-brackets.ts";
import { checkCodesInside } from "./range-check.ts";

/** Which circumstance of a design is changed. */
export type EffectId =
  | "asDesigned"
  | "withoutAdjustment"
  | "ambientAtReference"
  | "driftAfter0Years"
  | "driftAfter1Year"
  | "driftAfter2Years";

/** One field of the design document and the JSON text that stands there instead. */
export interface EffectChange {
  readonly path: string;
  readonly value: string;
}

/** One side of the error; volts, signed as indication minus true voltage. */
export interface EffectSide {
  readonly proven: number;
  readonly witnessed: number;
  /** (proven - witnessed) / proven. */
  readonly gap: number;
}

/** The error in one band, and what share it is of the error of the design as it is. */
export interface EffectRow {
  /** True voltage for which the band was made, V. */
  readonly voltage: number;
  readonly band: { readonly lower: string; readonly upper: string };
  readonly high: EffectSide;
  readonly low: EffectSide;
  /** No error of either side is larger, V. */
  readonly provenError: number;
  /** An error of this magnitude is reached, V. */
  readonly witnessedError: number;
  /**
   * Largest error over the largest error as designed, both as they truly are: no less than `least`,
   * no more than `most`. Absent where the design as it is has no error in the band.
   */
  readonly ofDesigned?: { readonly least: number; readonly most: number };
  readonly stopped: "gap" | "work" | "rounding";
}

interface Described {
  readonly id: EffectId;
  /** In a reader's words: "as designed", "2 years after adjustment". */
  readonly name: string;
  /** What to change in the design document so that its budget gives these figures. */
  readonly changes: readonly EffectChange[];
}

/** A changed design with its errors. */
export interface BracketedEffect extends Described {
  readonly outcome: "bracketed";
  /** False where a figure came from a computed double and not from a typed decimal. */
  readonly guaranteed: boolean;
  /** Ascending by voltage. */
  readonly rows: readonly EffectRow[];
}

/** A changed design that is none, or that no bound can be given for. */
export interface ImpossibleEffect extends Described {
  readonly outcome: "notPossible";
  readonly reason: string;
}

/** What one circumstance does to the error. */
export type Effect = BracketedEffect | ImpossibleEffect;

interface Variation extends Described {
  readonly design: Design;
}

const DRIFT_YEARS = [
  { id: "driftAfter0Years", years: Decimal.zero },
  { id: "driftAfter1Year", years: Decimal.one },
  { id: "driftAfter2Years", years: Decimal.ofInteger(2) },
] as const;

function yearsText(years: Decimal): string {
  return formatQuantity(years, "years");
}

function withConditions(
  design: Design,
  conditions: Partial<Conditions>,
  adjustment: Adjustment = design.adjustment,
): Design {
  return { ...design, adjustment, conditions: { ...design.conditions, ...conditions } };
}

function yearsChange(field: string, years: Decimal): EffectChange {
  return { path: `conditions.${field}`, value: JSON.stringify(yearsText(years)) };
}

/** Nothing is adjusted away, so that the parts drift from manufacture on. */
function withoutAdjustment(design: Design): readonly Variation[] {
  const { adjustment, conditions } = design;
  if (adjustment.kind === "none") return [];
  const years = adjustment.ageYears.add(conditions.yearsSinceAdjustment);
  return [
    {
      id: "withoutAdjustment",
      name: `not adjusted, ${yearsText(years)} old`,
      changes: [
        { path: "adjustment", value: '{"kind":"none"}' },
        yearsChange("sinceManufacture", years),
      ],
      design: withConditions(design, { yearsSinceManufacture: years }, { kind: "none" }),
    },
  ];
}

function ambientAtReference(design: Design): Variation {
  const { referenceCelsius } = design.conditions;
  const end = `${referenceCelsius.toString()} degC`;
  return {
    id: "ambientAtReference",
    name: `ambient at ${formatQuantity(referenceCelsius, "celsius")}`,
    changes: [{ path: "conditions.ambient", value: JSON.stringify([end, end]) }],
    design: withConditions(design, {
      ambientCelsius: { lower: referenceCelsius, upper: referenceCelsius },
    }),
  };
}

function afterYears(design: Design): readonly Variation[] {
  const isAdjusted = design.adjustment.kind !== "none";
  const start = isAdjusted ? "adjustment" : "manufacture";
  return DRIFT_YEARS.map(({ id, years }): Variation => ({
    id,
    name: `${yearsText(years)} after ${start}`,
    changes: [yearsChange(isAdjusted ? "sinceAdjustment" : "sinceManufacture", years)],
    design: withConditions(
      design,
      isAdjusted ? { yearsSinceAdjustment: years } : { yearsSinceManufacture: years },
    ),
  }));
}

function variationsOf(design: Design): readonly Variation[] {
  return [...withoutAdjustment(design), ambientAtReference(design), ...afterYears(design)];
}

/** A variation may come out as the design itself, as one year where one year was declared. */
function isSame(one: Design, other: Design): boolean {
  const [before, after] = [one.conditions, other.conditions];
  return (
    one.adjustment === other.adjustment &&
    before.yearsSinceManufacture.equals(after.yearsSinceManufacture) &&
    before.yearsSinceAdjustment.equals(after.yearsSinceAdjustment) &&
    before.ambientCelsius.lower.equals(after.ambientCelsius.lower) &&
    before.ambientCelsius.upper.equals(after.ambientCelsius.upper)
  );
}

type PlainRow = Omit<EffectRow, "ofDesigned">;

function sideOf(side: SideBracket): EffectSide {
  return { proven: side.proven, witnessed: side.witnessed, gap: gapOf(side) };
}

function rowsOf(design: Design, bands: readonly VoltageBand[]): readonly PlainRow[] {
  const model = measurementModel(design);
  const brackets = new ErrorBrackets(model);
  checkCodesInside(model, brackets.domain);
  return bands.map((band): PlainRow => {
    const { lower, upper, voltage } = band;
    const bracket = brackets.bracket({ lower: lower.lowerNumber(), upper: upper.upperNumber() });
    const { high, low } = bracket;
    const stops = [high.stopped, low.stopped];
    return {
      voltage: voltage!.toNumber(),
      band: { lower: lower.toString(), upper: upper.toString() },
      high: sideOf(high),
      low: sideOf(low),
      provenError: Math.max(Math.abs(high.proven), Math.abs(low.proven)),
      witnessedError: Math.max(Math.abs(high.witnessed), Math.abs(low.witnessed)),
      stopped: stops.includes("work") ? "work" : stops.includes("rounding") ? "rounding" : "gap",
    };
  });
}

/** The true quotient of two largest errors, each known from both sides. */
function quotient(changed: PlainRow, designed: PlainRow): EffectRow {
  if (designed.witnessedError === 0) return changed;
  return {
    ...changed,
    ofDesigned: {
      least: Math.max(0, below(changed.witnessedError / designed.provenError)),
      most: above(changed.provenError / designed.witnessedError),
    },
  };
}

function reasonOf(error: unknown): string {
  if (error instanceof InvariantBrokenError || !(error instanceof PlumbvoltError)) throw error;
  return error instanceof InvalidInputError
    ? error.faults.map(faultText).join("; ")
    : error.message;
}

/** Checks a variation as a design that is read would be, and brackets it. */
function effectOf(
  variation: Variation,
  bands: readonly VoltageBand[],
  designed: readonly PlainRow[],
): Effect {
  const { design, ...described } = variation;
  try {
    const faults = new FaultList();
    checkRelations(design, faults);
    faults.throwIfAny("design");
    return {
      ...described,
      outcome: "bracketed",
      guaranteed: design.inexactFigures.length === 0,
      rows: rowsOf(design, bands).map((row, place) => quotient(row, designed[place]!)),
    };
  } catch (error) {
    return { ...described, outcome: "notPossible", reason: reasonOf(error) };
  }
}

function checkVoltages(design: Design, voltages: readonly Decimal[]): void {
  const { lower, upper } = design.measuringInterval;
  const faults = voltages.flatMap((voltage, place) =>
    voltage.compare(lower) >= 0 && voltage.compare(upper) <= 0
      ? []
      : [
          {
            path: `voltages[${place}]`,
            quantity: "voltage",
            permitted: `inside the measuring interval ${lower.toString()} V to ${upper.toString()} V`,
            received: `${voltage.toString()} V`,
          },
        ],
  );
  if (faults.length > 0) throw new InvalidInputError("effects", faults);
}

/**
 * Where effects are looked at unless somebody says otherwise: at the voltages of the requirements,
 * without such at the published pass/fail voltages; and at the upper end of the range.
 */
export function effectVoltages(design: Design): readonly Decimal[] {
  const asked = design.requirements.flatMap(({ at }) => at ?? []);
  const lines = limitVoltages().map(({ voltage }) => Decimal.fromNumber(voltage).value);
  const { upper } = design.measuringInterval;
  return voltagesInside(design, [...(asked.length > 0 ? asked : lines), upper]);
}

/**
 * What the circumstances of a design do to its error: the design as it is first, then without its
 * adjustment, with the ambient temperature at its reference, and with drift of 0, 1 and 2 years.
 * Each is proven and witnessed on both sides, in a band about one code wide round each voltage.
 * A change that leaves no valid design is reported with its reason.
 *
 * Throws InvalidInputError for voltages outside the measuring interval, and where codes of the
 * design itself can leave the converter; UnboundedResultError where its limits are too wide.
 */
export function effectsOf(design: Design, voltages: readonly Decimal[]): readonly Effect[] {
  checkVoltages(design, voltages);
  const bands = bandsOf(design, voltages).filter(({ voltage }) => voltage !== undefined);
  const rows = rowsOf(design, bands);
  const asDesigned: BracketedEffect = {
    id: "asDesigned",
    name: "as designed",
    changes: [],
    outcome: "bracketed",
    guaranteed: design.inexactFigures.length === 0,
    rows: rows.map((row) => ({ ...row, ofDesigned: { least: 1, most: 1 } })),
  };
  const varied = variationsOf(design).map(({ design: changed, ...described }): Effect =>
    isSame(design, changed)
      ? { ...asDesigned, ...described }
      : effectOf({ design: changed, ...described }, bands, rows),
  );
  return [asDesigned, ...varied];
}
