import { measurementModel } from "../chain/measurement-model.ts";
import type { MeasurementModel } from "../chain/measurement-model.ts";
import { dividerPart } from "../decision/pin-impedance.ts";
import { smallestCapacitance } from "../decision/loading.ts";
import { checkRelations } from "../design/check-relations.ts";
import type { Design } from "../design/design.ts";
import { FaultList } from "../design/fault-list.ts";
import { faultText, InvalidInputError, UnboundedResultError } from "../errors.ts";
import type { Box } from "../guarantee/box.ts";
import { Domain } from "../guarantee/domain.ts";
import { checkCodesInside } from "../guarantee/range-check.ts";
import { Decimal } from "../quantity/decimal.ts";
import type { PreferredSeries } from "../quantity/preferred-values.ts";
import type { Candidate } from "./candidate.ts";
import { largestLowerLeg, legResistance } from "./divider-value.ts";
import { GradeLimits } from "./grade-limits.ts";
import type { Choice, FamilyDesigns, PartialChoice, StructureLimits } from "./grade-limits.ts";
import { LimitedDomain } from "./limited-domain.ts";
import type { LegValues, PartOption } from "./part-options.ts";
import { UsedShare } from "./used-share.ts";
import type { Asked } from "./used-share.ts";

/** What all structures of a space are judged by. */
export interface StructureContext extends Asked {
  readonly base: Design;
  /** Share by which the tester may lower the voltage of the smallest product. */
  readonly loading: number;
  /** Limits of the options, kept for structures with the same families. */
  readonly families: Map<string, GradeLimits>;
}

/** Parts of the same families with one set of divider values: one equation, many limits. */
export interface StructurePlan {
  readonly index: number;
  /** Kinds with their options. */
  readonly kinds: readonly (readonly PartOption[])[];
  readonly upper?: NonNullable<LegValues["upper"]>;
  readonly lower?: { readonly series: PreferredSeries; readonly room: Decimal };
}

interface Compiled {
  readonly values: LegValues;
  readonly model: MeasurementModel;
  readonly base: Box;
  readonly limits: GradeLimits;
  readonly own: StructureLimits;
  readonly share: UsedShare;
}

function roundedUp(value: number): number {
  const exponent = Math.floor(Math.log10(value)) - 1;
  const scaled = Decimal.ofDouble(value).multiply(Decimal.ofScaled(1n, -exponent));
  return Decimal.ofScaled(BigInt(scaled.roundUp(0).toString()), exponent).toNumber();
}

/** Divider values that differ in size and in ratio. */
function otherValues({ upper, lower }: LegValues): LegValues {
  const more = Decimal.parse("1.25");
  return {
    ...(upper === undefined
      ? {}
      : { upper: { ...upper, resistance: upper.resistance.multiply(more) } }),
    ...(lower === undefined ? {} : { lower: lower.multiply(more).multiply(more) }),
  };
}

/** Combinations of parts that share one equation; bounded with the limits of each. */
export class Structure {
  readonly plan: StructurePlan;
  /** Cost of every option of every kind, strings counted. */
  readonly costs: readonly (readonly number[])[];
  private readonly context: StructureContext;
  private compiled: Compiled | undefined;
  private reason: string | undefined;
  private codes: "unknown" | "inside" | "mixed" = "unknown";

  constructor(plan: StructurePlan, context: StructureContext) {
    this.plan = plan;
    this.context = context;
    this.costs = plan.kinds.map((options) =>
      options.map(({ kind, cost }) => (kind === "upper" ? cost * (plan.upper?.count ?? 1) : cost)),
    );
  }

  /** Number of combinations. */
  get combinations(): number {
    return this.plan.kinds.reduce((product, { length }) => product * length, 1);
  }

  /** Least cost of the choices that are still open; the cost where none is. */
  leastCost(choice: PartialChoice): number {
    return this.costs.reduce((sum, options, kind) => {
      const option = choice[kind];
      return sum + (option === undefined ? Math.min(...options) : options[option]!);
    }, 0);
  }

  /** Why no combination can be built; undefined where one can. */
  excluded(): string | undefined {
    if (this.compiled === undefined && this.reason === undefined) this.compile();
    return this.reason;
  }

  /** The design of a choice. */
  designOf(choice: Choice, values: LegValues = this.values()): Design {
    return this.plan.kinds.reduce(
      (design, options, kind) => options[choice[kind]!]!.intoDesign(design, values),
      this.context.base,
    );
  }

  /** Values of the legs; only where the structure is not excluded. */
  values(): LegValues {
    return this.ready().values;
  }

  private ready(): Compiled {
    const reason = this.excluded();
    if (this.compiled === undefined) throw new InvalidInputError("sizing", [fault(reason ?? "")]);
    return this.compiled;
  }

  private legValues(): LegValues | undefined {
    const { upper, lower, kinds } = this.plan;
    const given = upper === undefined ? {} : { upper };
    if (lower === undefined) return given;
    const first = kinds.map(() => 0);
    const found = largestLowerLeg(
      (value) => this.designOf(first, { ...given, lower: value }),
      lower,
    );
    return found === undefined ? undefined : { ...given, lower: found };
  }

  private compile(): void {
    const values = this.legValues();
    if (values === undefined) {
      this.reason = "no preferred value of the lower leg fits the converter";
      return;
    }
    const sizes = this.plan.kinds.map(({ length }) => length);
    const designs: FamilyDesigns = {
      sizes,
      designOf: (choice) => this.designOf(choice, values),
      elsewhere: (choice) => this.designOf(choice, otherValues(values)),
    };
    const design = designs.designOf(sizes.map(() => 0));
    const faults = new FaultList();
    checkRelations(design, faults);
    // Whether the ambient suits is a matter of the grade.
    const lasting = faults.faults.filter(({ path }) => !path.endsWith(".ambient"));
    if (lasting.length > 0) {
      this.reason = lasting.map(faultText).join("; ");
      return;
    }
    const model = measurementModel(design);
    const domain = new Domain(model);
    this.compiled = {
      values,
      model,
      base: domain.whole(),
      limits: this.familyLimits(designs),
      own: { designOf: designs.designOf, known: new Map() },
      share: new UsedShare(model, domain, this.context),
    };
  }

  private familyLimits(designs: FamilyDesigns): GradeLimits {
    const { families } = this.context;
    const key = this.plan.kinds.map(([option]) => `${option!.kind} ${option!.family}`).join("|");
    const known = families.get(key);
    if (known !== undefined) return known;
    const found = new GradeLimits(designs);
    families.set(key, found);
    return found;
  }

  /** Lets a search begin as if it were the first. */
  restart(): void {
    this.ready().share.restart();
  }

  /**
   * A share of the allowed error that every choice which is still open is seen to reach; 0 where
   * nothing can be said.
   */
  seenShare(choice: PartialChoice): number {
    const { base, limits, own, share } = this.ready();
    const inside = { lower: base.lower.slice(), upper: base.upper.slice() };
    return limits.narrow(inside, choice, own) ? share.seen(inside) : 0;
  }

  /** The same for one combination, looked at with more care. */
  seenClosely(choice: Choice): number {
    return this.ready().share.seenClosely(this.boxOf(choice));
  }

  private codesInside(limits: Box): boolean {
    try {
      const { model } = this.ready();
      checkCodesInside(model, new LimitedDomain(model, limits));
      return true;
    } catch (error) {
      if (error instanceof InvalidInputError || error instanceof UnboundedResultError) return false;
      throw error;
    }
  }

  /** Whether no code of a choice can leave the converter; most structures settle it for all. */
  private codesFit(limits: Box): boolean {
    const { base, limits: grades, own } = this.ready();
    if (this.codes === "unknown") {
      const widest = { lower: base.lower.slice(), upper: base.upper.slice() };
      grades.widen(widest, own);
      this.codes = this.codesInside(widest) ? "inside" : "mixed";
    }
    return this.codes === "inside" || this.codesInside(limits);
  }

  /** Least product capacitance for which the loading stays small, F; no choice has less. */
  leastCapacitance(): number {
    const { values } = this.ready();
    const { divider } = this.designOf(
      this.plan.kinds.map(() => 0),
      values,
    );
    const whole = legResistance(divider.upper).add(legResistance(divider.lower));
    return this.capacitanceFor(whole.toNumber());
  }

  private capacitanceFor(inputResistance: number): number {
    const { base, loading } = this.context;
    const duration = base.conditions.instant.toNumber();
    return roundedUp(smallestCapacitance({ share: loading, duration, inputResistance }));
  }

  private boxOf(choice: Choice): Box {
    const { base, limits, own } = this.ready();
    const box = { lower: base.lower.slice(), upper: base.upper.slice() };
    limits.narrow(box, choice, own);
    return box;
  }

  /** Whether a combination can be built: its figures go together, no code leaves the converter. */
  canBeBuilt(choice: Choice): boolean {
    const faults = new FaultList();
    checkRelations(this.designOf(choice), faults);
    return faults.faults.length === 0 && this.codesFit(this.boxOf(choice));
  }

  /** What is known of a combination without any bound: cost and least product capacitance, F. */
  figuresOf(choice: Choice): Pick<Candidate, "cost" | "capacitance"> {
    const resistance = dividerPart(this.designOf(choice)).resistance!.lower;
    return { cost: this.leastCost(choice), capacitance: this.capacitanceFor(resistance) };
  }

  /** Proves the error of one combination; its share is infinite where there is no bound. */
  prove(choice: Choice): Candidate {
    const used = this.ready().share.proven(this.boxOf(choice));
    return { structure: this.plan.index, choice, ...this.figuresOf(choice), used };
  }
}

function fault(reason: string) {
  return {
    path: "",
    quantity: "combination",
    permitted: "one that can be built",
    received: reason,
  };
}
