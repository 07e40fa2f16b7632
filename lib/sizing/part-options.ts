import type { Buffer, Design, NodeCurrent, ResistorGroup } from "../design/design.ts";
import type { DesignDocument } from "../design/document-schema.ts";
import { FaultList } from "../design/fault-list.ts";
import { PartReader } from "../design/read-parts.ts";
import { invariant } from "../errors.ts";
import type { Decimal } from "../quantity/decimal.ts";
import { formatQuantity } from "../quantity/format.ts";
import type { Catalogue } from "./read-catalogue.ts";

/** Kinds of parts that a catalogue offers. */
export type PartKind =
  "network" | "upper" | "lower" | "reference" | "converter" | "buffer" | "clamp" | "adjustment";

/** Values of the two legs of the divider; absent where the template's stay. */
export interface LegValues {
  readonly upper?: { readonly count: number; readonly resistance: Decimal };
  readonly lower?: Decimal;
}

/** One part that may be chosen. */
export interface PartOption {
  readonly kind: PartKind;
  readonly id: string;
  /** Cost of one; a string of the upper leg takes as many as it has resistors. */
  readonly cost: number;
  /** Equal for parts that differ in graded figures only, so that one equation serves them all. */
  readonly family: string;
  /** Puts the part into a design that has been read. */
  readonly intoDesign: (design: Design, values: LegValues) => Design;
  /** Puts the part into a document. */
  readonly intoDocument: (document: DesignDocument, values: LegValues) => DesignDocument;
}

/** Names of the two currents that the catalogue's parts bring. */
const CLAMP = "clamp";
const BUFFER_BIAS = "bufferBias";
const PAIR = "pair";

/** Figures that enter the equation as quantities with limits, and what never enters it. */
const GRADED = new Set(
  (
    "tolerance voltageCoefficient drift rise initial " +
    "perKelvin lineRegulation noise gainError gainTempco " +
    "offset offsetTempco commonModeRejection supplyRejection crossoverStep " +
    "totalUnadjustedError integralNonlinearity differentialNonlinearity memory limit " +
    "appliedError ambient id cost basis " +
    "document"
  ).split(" "),
);

/** The text of a part without its graded figures; which of them are given still shows. */
function familyOf(part: object): string {
  return JSON.stringify(part, (key: string, value: unknown) => {
    // A box tempco says over which temperatures it holds; others are a figure alone.
    const isFigure = typeof value !== "object" || value === null || !("over" in value);
    return GRADED.has(key) || (key === "tempco" && isFigure) ? "" : value;
  });
}

/** The figures of a part without what the catalogue alone says of it. */
function figuresOf<Part extends { readonly id: string; readonly cost: number }>(
  part: Part,
): Omit<Part, "id" | "cost"> {
  const { id: _id, cost: _cost, ...figures } = part;
  return figures;
}

/** Reads figures that the catalogue's own reading has found faultless. */
function readKnown<Read>(read: (parts: PartReader) => Read): Read {
  const faults = new FaultList();
  const found = read(new PartReader(faults));
  invariant(faults.faults.length === 0, "parts of a catalogue were checked when it was read");
  return found;
}

function ohms(value: Decimal): string {
  const text = formatQuantity(value, "resistance");
  return text.replaceAll("Ω", "ohm").replaceAll("\u00A0", " ");
}

type WrittenResistor = DesignDocument["divider"]["upper"][number];
type WrittenCurrent = NonNullable<DesignDocument["currents"]>[number];

/** A list of named currents with one replaced, added at the end or left out. */
function withCurrent<Current>(
  currents: readonly Current[],
  nameOf: (current: Current) => string,
  changed: { readonly name: string; readonly current?: Current },
): Current[] {
  const { name, current } = changed;
  const place = currents.findIndex((one) => nameOf(one) === name);
  if (current === undefined) return currents.filter((one) => nameOf(one) !== name);
  return place < 0 ? [...currents, current] : currents.with(place, current);
}

function currentInto(design: Design, name: string, current?: NodeCurrent): Design {
  const changed = { name, ...(current === undefined ? {} : { current }) };
  const currents = withCurrent(design.currents, ({ id }) => id, changed);
  return {
    ...design,
    currents: currents.map((one, index) => ({ ...one, path: `currents[${index}]` })),
  };
}

function currentIntoDocument(
  document: DesignDocument,
  name: string,
  current?: WrittenCurrent,
): DesignDocument {
  const changed = { name, ...(current === undefined ? {} : { current }) };
  const currents = withCurrent(document.currents ?? [], (one) => one.name, changed);
  return { ...document, currents };
}

function legOptions(leg: "upper" | "lower", catalogue: Catalogue): PartOption[] {
  return (catalogue[leg]?.grades ?? []).map((grade): PartOption => {
    const figures = figuresOf(grade);
    const path = `divider.${leg}[0]`;
    const group = readKnown((parts) =>
      parts.resistor({ ...figures, resistance: 1 }, path, `${leg}1`),
    );
    return {
      kind: leg,
      id: grade.id,
      cost: grade.cost,
      family: familyOf(grade),
      intoDesign: (design, values) => ({
        ...design,
        divider: { ...design.divider, [leg]: [valued(group, leg, values)] },
      }),
      intoDocument: (document, values) => ({
        ...document,
        divider: { ...document.divider, [leg]: [written(figures, leg, values)] },
      }),
    };
  });
}

function valued(group: ResistorGroup, leg: "upper" | "lower", values: LegValues): ResistorGroup {
  if (leg === "upper") return { ...group, ...values.upper };
  return values.lower === undefined ? group : { ...group, resistance: values.lower };
}

function written(
  figures: Omit<WrittenResistor, "resistance">,
  leg: "upper" | "lower",
  { upper, lower }: LegValues,
): WrittenResistor {
  return leg === "upper"
    ? { count: upper?.count ?? 1, resistance: ohms(upper!.resistance), ...figures }
    : { resistance: ohms(lower!), ...figures };
}

function networkOptions({ networks = [] }: Catalogue): PartOption[] {
  return networks.map((network): PartOption => {
    const { upper, lower, ...shared } = figuresOf(network);
    const [pair] = readKnown((parts) => parts.networks({ [PAIR]: shared }));
    const read = (leg: "upper" | "lower"): ResistorGroup =>
      readKnown((parts) =>
        parts.resistor(
          { ...network[leg], resistance: 1, network: PAIR },
          `divider.${leg}[0]`,
          `${leg}1`,
        ),
      );
    const legs = { upper: read("upper"), lower: read("lower") };
    return {
      kind: "network",
      id: network.id,
      cost: network.cost,
      family: familyOf(network),
      intoDesign: (design, values) => ({
        ...design,
        divider: {
          ...design.divider,
          networks: [pair!],
          upper: [valued(legs.upper, "upper", values)],
          lower: [valued(legs.lower, "lower", values)],
        },
      }),
      intoDocument: (document, values) => ({
        ...document,
        divider: {
          ...document.divider,
          networks: { [PAIR]: shared },
          upper: [{ ...written(upper, "upper", values), network: PAIR }],
          lower: [{ ...written(lower, "lower", values), network: PAIR }],
        },
      }),
    };
  });
}

function withoutBufferIn<Owner extends { readonly buffer?: unknown }>(
  owner: Owner,
): Omit<Owner, "buffer"> {
  const { buffer: _, ...rest } = owner;
  return rest;
}

function bufferOptions({ buffers = [], withoutBuffer }: Catalogue): PartOption[] {
  const fitted = buffers.map((part): PartOption => {
    const { bias, ...figures } = figuresOf(part);
    const buffer: Buffer = readKnown((parts) => parts.buffer(figures));
    const current = { name: BUFFER_BIAS, ...bias };
    const read = readKnown((parts) => parts.current(current, 0));
    return {
      kind: "buffer",
      id: part.id,
      cost: part.cost,
      family: familyOf(part),
      intoDesign: (design) => currentInto({ ...design, buffer }, BUFFER_BIAS, read),
      intoDocument: (document) =>
        currentIntoDocument({ ...document, buffer: figures }, BUFFER_BIAS, current),
    };
  });
  if (withoutBuffer !== true) return fitted;
  const without: PartOption = {
    kind: "buffer",
    id: "no buffer",
    cost: 0,
    family: "none",
    intoDesign: (design) => currentInto(withoutBufferIn(design), BUFFER_BIAS),
    intoDocument: (document) => currentIntoDocument(withoutBufferIn(document), BUFFER_BIAS),
  };
  return [without, ...fitted];
}

function clampOptions({ clamps = [] }: Catalogue): PartOption[] {
  return clamps.map((part): PartOption => {
    const current = { name: CLAMP, ...figuresOf(part) };
    const read = readKnown((parts) => parts.current(current, 0));
    return {
      kind: "clamp",
      id: part.id,
      cost: part.cost,
      family: familyOf(part),
      intoDesign: (design) => currentInto(design, CLAMP, read),
      intoDocument: (document) => currentIntoDocument(document, CLAMP, current),
    };
  });
}

/** Parts that stand under one key of a design. */
function plainOptions(catalogue: Catalogue): readonly (readonly PartOption[])[] {
  const { references = [], converters = [], adjustments = [] } = catalogue;
  const option = <Key extends "reference" | "adc" | "adjustment">(
    kind: PartKind,
    part: { readonly id: string; readonly cost: number },
    of: { readonly key: Key; readonly read: Design[Key]; readonly figures: DesignDocument[Key] },
  ): PartOption => ({
    kind,
    id: part.id,
    cost: part.cost,
    family: familyOf(part),
    intoDesign: (design) => ({ ...design, [of.key]: of.read }),
    intoDocument: (document) => ({ ...document, [of.key]: of.figures }),
  });
  return [
    references.map((part) => {
      const figures = figuresOf(part);
      const read = readKnown((parts) => parts.reference(figures));
      return option("reference", part, { key: "reference", read, figures });
    }),
    converters.map((part) => {
      const figures = figuresOf(part);
      const read = readKnown((parts) => parts.adc(figures));
      return option("converter", part, { key: "adc", read, figures });
    }),
    adjustments.map((part) => {
      const { id: _id, cost: _cost, ...figures } = part;
      const read = readKnown((parts) => parts.adjustment(figures));
      return option("adjustment", part, { key: "adjustment", read, figures });
    }),
  ];
}

/** What may be chosen, kind by kind; kinds of which the catalogue has nothing are left out. */
export interface PartChoices {
  /** Networks, or a string and a leg of single resistors; where both are absent one empty way. */
  readonly dividers: readonly (readonly (readonly PartOption[])[])[];
  readonly others: readonly (readonly PartOption[])[];
}

/** All parts of a catalogue, ready to be put into designs and documents. */
export function partChoices(catalogue: Catalogue): PartChoices {
  const [references, converters, adjustments] = plainOptions(catalogue);
  const given = (lists: readonly (readonly PartOption[])[]) =>
    lists.filter((list) => list.length > 0);
  const single = given([legOptions("upper", catalogue), legOptions("lower", catalogue)]);
  const networks = networkOptions(catalogue);
  const buffers = bufferOptions(catalogue);
  return {
    dividers: networks.length === 0 ? [single] : [single, [networks]],
    others: given([references!, converters!, buffers, clampOptions(catalogue), adjustments!]),
  };
}
