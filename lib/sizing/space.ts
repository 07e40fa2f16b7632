import type { DesignDocument } from "../design/document-schema.ts";
import { FaultList } from "../design/fault-list.ts";
import { readDesign } from "../design/read-design.ts";
import { InvalidInputError } from "../errors.ts";
import { Decimal } from "../quantity/decimal.ts";
import { readDemands } from "./demand.ts";
import type { Demand } from "./demand.ts";
import { partChoices } from "./part-options.ts";
import type { PartOption } from "./part-options.ts";
import { readCatalogue } from "./read-catalogue.ts";
import type { Catalogue } from "./read-catalogue.ts";
import { Structure } from "./structure.ts";
import type { StructureContext, StructurePlan } from "./structure.ts";

/** What is asked of a search; plain data, as files and options hold it. */
export interface SizingQuestion {
  /** A design document; parts of which the catalogue has some are replaced. */
  readonly template: unknown;
  readonly catalogue: unknown;
  /** Texts such as "5 % at 34 V", all to be met. */
  readonly require: readonly string[];
  /** Share by which the tester may lower the voltage of the smallest product; default "1 %". */
  readonly loading?: string | number;
  /** Product capacitance down to which that must hold, as "0.47 uF"; absent: no demand. */
  readonly capacitance?: string | number;
  /** Voltages of the budget that is made afterwards, V as decimal text: its bands are used. */
  readonly voltages?: readonly string[];
}

/** Every combination of the parts of a catalogue in a template. */
export interface SizingSpace {
  readonly question: SizingQuestion;
  readonly template: DesignDocument;
  readonly demands: readonly Demand[];
  readonly structures: readonly Structure[];
  readonly combinations: number;
  /** Largest least product capacitance, F; infinite without a demand. */
  readonly largestCapacitance: number;
  readonly loading: number;
}

/** Options of one kind by family, each family in the order of the catalogue. */
function byFamily(options: readonly PartOption[]): readonly (readonly PartOption[])[] {
  const families = new Map<string, PartOption[]>();
  for (const option of options) {
    const known = families.get(option.family);
    if (known === undefined) families.set(option.family, [option]);
    else known.push(option);
  }
  return [...families.values()];
}

/** Every way to take one entry of each list, the last list changing fastest. */
function product<Entry>(lists: readonly (readonly Entry[])[]): readonly (readonly Entry[])[] {
  return lists.reduce<readonly (readonly Entry[])[]>(
    (ways, list) => ways.flatMap((way) => list.map((entry) => [...way, entry])),
    [[]],
  );
}

function plansOf(catalogue: Catalogue): readonly StructurePlan[] {
  const { dividers, others } = partChoices(catalogue);
  const { upper, lower } = catalogue;
  const strings = (upper?.counts ?? []).flatMap((count) =>
    catalogue.upperValues.map((resistance) => ({ upper: { count, resistance } })),
  );
  const rooms = catalogue.rooms.map((room) => ({ lower: { series: lower!.series, room } }));
  return product<object>([strings.length === 0 ? [{}] : strings, rooms.length === 0 ? [{}] : rooms])
    .flatMap((values) =>
      dividers.flatMap((divider) =>
        product([...divider, ...others].map(byFamily)).map((kinds) => ({ values, kinds })),
      ),
    )
    .map(({ values, kinds }, index) => ({ index, kinds, ...Object.assign({}, ...values) }));
}

function readLoading(question: SizingQuestion) {
  const faults = new FaultList();
  const loading = faults.positive(question.loading ?? "1 %", "loading", "ratio").toNumber();
  const largest =
    question.capacitance === undefined
      ? Infinity
      : faults.positive(question.capacitance, "capacitance", "capacitance").toNumber();
  if (faults.faults.length === 0 && loading >= 1)
    faults.add({
      path: "loading",
      quantity: "share",
      permitted: "above 0 and below 1",
      received: String(question.loading),
    });
  return { faults: faults.faults, loading, largest };
}

/**
 * Lays out all combinations that a question asks about. Throws InvalidInputError where template,
 * catalogue or question have a fault.
 */
export function sizingSpace(question: SizingQuestion): SizingSpace {
  const base = readDesign(question.template);
  const catalogue = readCatalogue(question.catalogue);
  const demands = readDemands(question.require, base.measuringInterval);
  const { faults, loading, largest } = readLoading(question);
  if (faults.length > 0) throw new InvalidInputError("sizing", faults);
  const context: StructureContext = {
    base: { ...base, requirements: [], comparisons: [] },
    demands,
    neighbours: (question.voltages ?? []).map((text) => Decimal.parse(text)),
    loading,
    families: new Map(),
  };
  const structures = plansOf(catalogue).map((plan) => new Structure(plan, context));
  return {
    question,
    template: question.template as DesignDocument,
    demands,
    structures,
    combinations: structures.reduce((sum, { combinations }) => sum + combinations, 0),
    largestCapacitance: largest,
    loading,
  };
}
