import { safeParse } from "valibot";
import { FaultList } from "../design/fault-list.ts";
import type { Written } from "../design/fault-list.ts";
import { shapeFaults } from "../design/shape-faults.ts";
import { PartReader } from "../design/read-parts.ts";
import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import { Decimal } from "../quantity/decimal.ts";
import { PREFERRED_VALUES } from "../quantity/preferred-values.ts";
import type { PreferredSeries } from "../quantity/preferred-values.ts";
import { catalogueSchema } from "./catalogue-schema.ts";
import type { ShapedCatalogue } from "./catalogue-schema.ts";

/** A catalogue that has been read: shape, figures and their relations are checked. */
export interface Catalogue extends ShapedCatalogue {
  /** Resistances of one resistor of the upper string, ascending, ohm. */
  readonly upperValues: readonly Decimal[];
  /** Shares of the measuring interval kept free, as given. */
  readonly rooms: readonly Decimal[];
}

/** A catalogue lists no more values of a series than this. */
const MOST_VALUES = 400;

/** Reads one part; its faults get the place in the catalogue in front. */
function readAt(
  faults: FaultList,
  place: { readonly path: string; readonly prefix: string },
  read: (parts: PartReader) => unknown,
): void {
  const own = new FaultList();
  read(new PartReader(own));
  const placed = (path: string): string =>
    path.startsWith(place.prefix) ? place.path + path.slice(place.prefix.length) : path;
  for (const fault of own.faults) faults.add({ ...fault, path: placed(fault.path) });
  faults.inexact.push(...own.inexact.map(placed));
}

/** All values of a series from `from` to `to`, ascending. */
export function preferredBetween(
  series: PreferredSeries,
  { from, to }: { readonly from: Decimal; readonly to: Decimal },
): Decimal[] {
  const digits = PREFERRED_VALUES[series];
  const values: Decimal[] = [];
  if (from.sign() <= 0 || to.compare(from) < 0) return values;
  const first = Math.floor(Math.log10(from.toNumber())) - 4;
  for (let exponent = first; values.length <= MOST_VALUES; exponent += 1) {
    const decade = digits.map((mantissa) => Decimal.ofScaled(mantissa, exponent));
    if (decade[0]!.compare(to) > 0) break;
    values.push(...decade.filter((value) => value.compare(from) >= 0 && value.compare(to) <= 0));
  }
  return values;
}

function readUpper(catalogue: ShapedCatalogue, faults: FaultList): readonly Decimal[] {
  const { upper } = catalogue;
  if (upper === undefined) return [];
  const known = faults.faults.length;
  const from = faults.positive(upper.from, "upper.from", "resistance");
  const to = faults.positive(upper.to, "upper.to", "resistance");
  if (faults.faults.length > known) return [];
  const values = preferredBetween(upper.series, { from, to });
  if (values.length === 0 || values.length > MOST_VALUES) {
    faults.add({
      path: "upper",
      quantity: `values of ${upper.series} between "from" and "to"`,
      permitted: `1 to ${MOST_VALUES}, "from" below "to"`,
      received: `${values.length > MOST_VALUES ? "more" : values.length}`,
    });
  }
  const counts = new Set<number>();
  for (const [index, count] of upper.counts.entries()) {
    if (counts.has(count)) faults.add(repeated(`upper.counts[${index}]`, "number", `${count}`));
    counts.add(count);
  }
  return values;
}

function repeated(path: string, quantity: string, received: string): Fault {
  return { path, quantity, permitted: "given once", received };
}

function readRooms(written: readonly Written[], faults: FaultList): readonly Decimal[] {
  const seen: Decimal[] = [];
  for (const [index, share] of written.entries()) {
    const path = `lower.rooms[${index}]`;
    const known = faults.faults.length;
    const room = faults.limit(share, path, "ratio");
    if (faults.faults.length > known) continue;
    const received = JSON.stringify(share);
    if (room.compare(Decimal.one) >= 0)
      faults.add({ path, quantity: "share kept free", permitted: "from 0 to below 1", received });
    if (seen.some((other) => other.equals(room)))
      faults.add(repeated(path, "share kept free", received));
    seen.push(room);
  }
  return seen;
}

/** A converter gives its errors one way or the other, never both. */
function checkConverters({ converters = [] }: ShapedCatalogue, faults: FaultList): void {
  for (const [index, adc] of converters.entries()) {
    const separate = [adc.offset, adc.gainError, adc.integralNonlinearity];
    const total = adc.totalUnadjustedError !== undefined;
    const given = separate.filter((limits) => limits !== undefined).length;
    if (total ? given === 0 : given === separate.length) continue;
    faults.add({
      path: `converters[${index}]`,
      quantity: "errors of the converter",
      permitted:
        "either totalUnadjustedError, or offset, gainError and integralNonlinearity together",
      received: total ? "both" : "an incomplete set",
    });
  }
}

interface Listed {
  readonly path: string;
  readonly parts: readonly { readonly id: string; readonly cost: number }[];
}

/** All lists of the catalogue with their places. */
function listsOf(catalogue: ShapedCatalogue): readonly Listed[] {
  const { upper, lower } = catalogue;
  return [
    { path: "upper.grades", parts: upper?.grades ?? [] },
    { path: "lower.grades", parts: lower?.grades ?? [] },
    { path: "networks", parts: catalogue.networks ?? [] },
    { path: "references", parts: catalogue.references ?? [] },
    { path: "converters", parts: catalogue.converters ?? [] },
    { path: "buffers", parts: catalogue.buffers ?? [] },
    { path: "clamps", parts: catalogue.clamps ?? [] },
    { path: "adjustments", parts: catalogue.adjustments ?? [] },
  ];
}

/** One part is not two: neither one name for two parts nor the same figures at two costs. */
function checkContradictions({ path, parts }: Listed, faults: FaultList): void {
  const names = new Map<string, number>();
  const figures = new Map<string, number>();
  for (const [index, { id, cost, ...rest }] of parts.entries()) {
    const { document: _, ...said } = rest as { readonly document?: string };
    const sameName = names.get(id);
    if (sameName !== undefined) {
      faults.add({
        ...repeated(`${path}[${index}].id`, "name of a part", JSON.stringify(id)),
        hint: `it already stands for ${path}[${sameName}]`,
      });
    }
    const text = JSON.stringify(said);
    const same = figures.get(text);
    if (same !== undefined && parts[same]!.cost !== cost) {
      faults.add({
        path: `${path}[${index}].cost`,
        quantity: "cost of a part",
        permitted: `${parts[same]!.cost}, as that of ${path}[${same}] with the same figures`,
        received: String(cost),
      });
    }
    names.set(id, index);
    figures.set(text, same ?? index);
  }
}

function checkNetworks({ networks, upper, lower }: ShapedCatalogue, faults: FaultList): void {
  if (networks === undefined || (upper !== undefined && lower !== undefined)) return;
  faults.add({
    path: "networks",
    quantity: "networks",
    permitted: 'given together with "upper" and "lower", which say the values of the legs',
    received: "without",
  });
}

function readFigures(catalogue: ShapedCatalogue, faults: FaultList): void {
  const value = { resistance: 1 };
  const resistor = (figures: object, path: string): void =>
    readAt(faults, { path, prefix: path }, (parts) =>
      parts.resistor({ ...(figures as never as ResistorFigures), ...value }, path, "part"),
    );
  for (const leg of ["upper", "lower"] as const)
    for (const [index, grade] of (catalogue[leg]?.grades ?? []).entries())
      resistor(grade, `${leg}.grades[${index}]`);
  for (const [index, network] of (catalogue.networks ?? []).entries()) {
    const path = `networks[${index}]`;
    readAt(faults, { path, prefix: "divider.networks.pair" }, (parts) =>
      parts.networks({ pair: network }),
    );
    resistor(network.upper, `${path}.upper`);
    resistor(network.lower, `${path}.lower`);
  }
  for (const [index, part] of (catalogue.references ?? []).entries())
    readAt(faults, { path: `references[${index}]`, prefix: "reference" }, (parts) =>
      parts.reference(part),
    );
  for (const [index, part] of (catalogue.converters ?? []).entries())
    readAt(faults, { path: `converters[${index}]`, prefix: "adc" }, (parts) => parts.adc(part));
  for (const [index, part] of (catalogue.buffers ?? []).entries()) {
    const path = `buffers[${index}]`;
    readAt(faults, { path, prefix: "buffer" }, (parts) => parts.buffer(part));
    readAt(faults, { path: `${path}.bias`, prefix: "currents[0]" }, (parts) =>
      parts.current({ name: "bias", ...part.bias }, 0),
    );
  }
  for (const [index, part] of (catalogue.clamps ?? []).entries())
    readAt(faults, { path: `clamps[${index}]`, prefix: "currents[0]" }, (parts) =>
      parts.current({ ...part, name: "clamp" }, 0),
    );
  for (const [index, part] of (catalogue.adjustments ?? []).entries())
    readAt(faults, { path: `adjustments[${index}]`, prefix: "adjustment" }, (parts) =>
      parts.adjustment(part),
    );
}

type ResistorFigures = NonNullable<ShapedCatalogue["upper"]>["grades"][number];

/**
 * Reads a parts catalogue: shape first, then every figure with its unit, then what parts say of
 * one another. Throws {@link InvalidInputError} with every fault of the stage that failed.
 */
export function readCatalogue(document: unknown): Catalogue {
  const shaped = safeParse(catalogueSchema, document);
  if (!shaped.success) throw new InvalidInputError("catalogue", shapeFaults(shaped.issues));
  const catalogue = shaped.output;
  const faults = new FaultList();
  const upperValues = readUpper(catalogue, faults);
  const rooms = readRooms(catalogue.lower?.rooms ?? [], faults);
  readFigures(catalogue, faults);
  checkConverters(catalogue, faults);
  checkNetworks(catalogue, faults);
  for (const listed of listsOf(catalogue)) checkContradictions(listed, faults);
  faults.throwIfAny("catalogue");
  return { ...catalogue, upperValues, rooms };
}
