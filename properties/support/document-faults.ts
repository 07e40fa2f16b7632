import type { DesignDocument } from "../../lib/design/document-schema.ts";
import type { Editable } from "./example-designs.ts";

/** A design document that may be spoilt. */
export type Document = Editable<DesignDocument>;

/** One fault put into a document, and where it must be reported. */
export interface SpoiltField {
  readonly path: string;
  /** Words that must stand in the report: the value that was found, or what may stand there. */
  readonly told: RegExp;
  readonly spoil: (document: Document) => void;
}

/** Puts a value where its type does not allow it. */
function put(holder: object, key: string, value: unknown): void {
  (holder as Record<string, unknown>)[key] = value;
}

/** Faults of shape: what a schema sees. */
export const SHAPE_FAULTS: readonly SpoiltField[] = [
  { path: "extra", told: /absent/, spoil: (document) => put(document, "extra", 1) },
  { path: "format", told: /plumbvolt.design\/1/, spoil: (d) => put(d, "format", "other/1") },
  { path: "name", told: /a name|>=1/, spoil: (d) => put(d, "name", "") },
  {
    path: "adjustment.extra",
    told: /absent/,
    spoil: (d) => put(d.adjustment, "extra", 1),
  },
  { path: "adc.bits", told: /10\.5/, spoil: (d) => put(d.adc, "bits", 10.5) },
  { path: "adc.input", told: /unipolar.*bipolar/, spoil: (d) => put(d.adc, "input", "both") },
  { path: "adc.offsett", told: /absent/, spoil: (d) => put(d.adc, "offsett", "1 LSB") },
  {
    path: "reference.voltage",
    told: /text|number/,
    spoil: (d) => put(d.reference, "voltage", NaN),
  },
  {
    path: "reference.tempco.perKelvin",
    told: /received undefined/,
    spoil: (d) => put(d.reference.tempco, "perKelvin", undefined),
  },
  {
    path: "divider.upper",
    told: /one resistor or more|>=1/,
    spoil: (d) => put(d.divider, "upper", []),
  },
  {
    path: "divider.lower[0].rating",
    told: /rating/,
    spoil: (d) => put(d.divider.lower[0]!, "rating", 7),
  },
  {
    path: "divider.lower[0].count",
    told: /1 or more|>=1/,
    spoil: (d) => put(d.divider.lower[0]!, "count", 0),
  },
  {
    path: "conditions.supply",
    told: /supply/,
    spoil: (d) => put(d.conditions, "supply", undefined),
  },
  {
    path: "conditions.mains.voltages",
    told: /one voltage or more|>=1/,
    spoil: (d) => put(d.conditions.mains, "voltages", []),
  },
  {
    path: "timing.window.position",
    told: /centred/,
    spoil: (d) => put(d.timing!.window!, "position", "middle"),
  },
  {
    path: "scaling.fractionBits",
    told: /0 to 30|>=0/,
    spoil: (d) => put(d.scaling, "fractionBits", -1),
  },
  { path: "filter.dielectric", told: /film/, spoil: (d) => put(d.filter!, "dielectric", "paper") },
  {
    path: "currents[0].name",
    told: /letter|A-Za-z/,
    spoil: (d) => put(d.currents![0]!, "name", "a b"),
  },
];

/** Faults of figures: units, signs, order. */
export const FIGURE_FAULTS: readonly SpoiltField[] = [
  {
    path: "measuringInterval",
    told: /lower end first/,
    spoil: (d) => put(d, "measuringInterval", ["440 V", "-440 V"]),
  },
  {
    path: "divider.upper[0].resistance",
    told: /10 kg/,
    spoil: (d) => put(d.divider.upper[0]!, "resistance", "10 kg"),
  },
  {
    path: "divider.upper[0].tolerance",
    told: /either/,
    spoil: (d) => put(d.divider.upper[0]!, "tolerance", { limit: "1 %", lower: "-1 %" }),
  },
  {
    path: "divider.upper[0].voltageCoefficient",
    told: /lower end first/,
    spoil: (d) =>
      put(d.divider.upper[0]!, "voltageCoefficient", { lower: "1 ppm/V", upper: "-1 ppm/V" }),
  },
  {
    path: "divider.lower[0].tolerance",
    told: /nominal error 0/,
    spoil: (d) => put(d.divider.lower[0]!, "tolerance", { lower: "0.1 %", upper: "0.2 %" }),
  },
  {
    path: "divider.lower[0].tempco",
    told: /25 ppm"/,
    spoil: (d) => put(d.divider.lower[0]!, "tempco", "25 ppm"),
  },
  {
    path: "divider.lower[0].rise",
    told: /lower end first/,
    spoil: (d) => put(d.divider.lower[0]!, "rise", ["10 K", "4 K"]),
  },
  {
    path: "currents[0].limit",
    told: /-1 nA/,
    spoil: (d) => put(d.currents![0]!, "limit", "-1 nA"),
  },
  {
    path: "currents[1].doublesEvery",
    told: /greater than zero/,
    spoil: (d) => put(d.currents![1]!, "doublesEvery", "0 K"),
  },
  {
    path: "board.nodeToGround",
    told: /20 Gohms/,
    spoil: (d) => put(d.board!, "nodeToGround", "20 Gohms"),
  },
  {
    path: "reference.initial",
    told: /Infinity/,
    spoil: (d) => put(d.reference, "initial", Infinity),
  },
  {
    path: "reference.voltage",
    told: /greater than zero/,
    spoil: (d) => put(d.reference, "voltage", 0),
  },
  {
    path: "filter.dielectric",
    told: /class2/,
    spoil: (d) => put(d.filter!, "dielectric", "class2"),
  },
  {
    path: "filter.timeConstant",
    told: /0\.5 mV/,
    spoil: (d) => put(d.filter!, "timeConstant", "0.5 mV"),
  },
  { path: "adc.spanRatio", told: /-1/, spoil: (d) => put(d.adc, "spanRatio", -1) },
  {
    path: "adc.noise",
    told: /0\.1 mV/,
    spoil: (d) => put(d.adc, "noise", "0.1 mV"),
  },
  { path: "timing.sampleRate", told: /fast/, spoil: (d) => put(d.timing!, "sampleRate", "fast") },
  {
    path: "timing.latency[1]",
    told: /1 mm/,
    spoil: (d) => put(d.timing!, "latency", ["0 ms", "1 mm"]),
  },
  {
    path: "scaling.resultUnit",
    told: /greater than zero/,
    spoil: (d) => put(d.scaling, "resultUnit", "0 V"),
  },
  {
    path: "conditions.mains.voltages[1]",
    told: /230 W/,
    spoil: (d) => put(d.conditions.mains.voltages, "1", "230 W"),
  },
  {
    path: "conditions.humidity[1]",
    told: /175 %/,
    spoil: (d) => put(d.conditions, "humidity", ["20 %", "175 %"]),
  },
  {
    path: "conditions.ambient[0]",
    told: /-300/,
    spoil: (d) => put(d.conditions, "ambient", ["-300 degC", "40 degC"]),
  },
  {
    path: "requirements[1].id",
    told: /used once/,
    spoil: (d) => put(d.requirements!, "1", { ...(d.requirements![1] as object), id: "R-34" }),
  },
  {
    path: "compareWith[0].statement.value",
    told: /greater than zero/,
    spoil: (d) => put(d.compareWith![0]!.statement, "value", "0 V"),
  },
];

/** Faults between figures, each of which is right alone. */
export const RELATION_FAULTS: readonly SpoiltField[] = [
  {
    path: "measuringInterval",
    told: /crest/,
    spoil: (d) => put(d, "measuringInterval", ["-400 V", "400 V"]),
  },
  {
    path: "adc",
    told: /totalUnadjustedError/,
    spoil: (d) => {
      put(d.adc, "totalUnadjustedError", "2 LSB");
      put(d.adc, "offset", "1 LSB");
    },
  },
  {
    path: "divider.upper[0].network",
    told: /divider\.networks.*"none"/,
    spoil: (d) => put(d.divider.upper[0]!, "network", "none"),
  },
  { path: "currents[1]", told: /used once/, spoil: (d) => put(d.currents![1]!, "name", "clamp") },
  {
    path: "divider.lower[0]",
    told: /used once.*"adc"/,
    spoil: (d) => put(d.divider.lower[0]!, "name", "adc"),
  },
  {
    path: "divider.upper[0].rating.voltage",
    told: /at least/,
    spoil: (d) => put(d.divider.upper[0]!.rating, "voltage", "40 V"),
  },
  {
    path: "divider.upper[0].rating.power",
    told: /at least/,
    spoil: (d) => put(d.divider.upper[0]!.rating, "power", "1 uW"),
  },
  {
    path: "buffer.swing",
    told: /buffer output/,
    spoil: (d) => put(d.buffer!, "swing", ["0.5 V", "2 V"]),
  },
  {
    path: "conditions.products",
    told: /passive/,
    spoil: (d) => put(d.conditions, "products", "other"),
  },
  {
    path: "conditions.ambient",
    told: /0 to 50 degC/,
    spoil: (d) => put(d.conditions, "ambient", ["-20 degC", "60 degC"]),
  },
  {
    path: "timing.window.duration",
    told: /at most/,
    spoil: (d) => put(d.timing!.window!, "duration", "200 ms"),
  },
  {
    path: "filter.timeConstant",
    told: /at most/,
    spoil: (d) => put(d.filter!, "timeConstant", "50 ms"),
  },
  {
    path: "timing.latency",
    told: /at most/,
    spoil: (d) => put(d.timing!, "latency", ["0 ms", "80 ms"]),
  },
  {
    path: "scaling.displayResolution",
    told: /result unit or coarser/,
    spoil: (d) => {
      put(d.scaling, "resultUnit", "100 mV");
      put(d.scaling, "displayResolution", "1 mV");
    },
  },
  {
    path: "scaling",
    told: /fits the intermediate/,
    spoil: (d) => {
      put(d.scaling, "fractionBits", 29);
      put(d.scaling, "intermediateBits", 32);
    },
  },
  {
    path: "adjustment.high.voltage",
    told: /inside the measuring interval/,
    spoil: (d) =>
      put(d, "adjustment", {
        ...d.adjustment,
        kind: "twoPoint",
        low: { voltage: "-300 V", appliedError: "60 mV" },
        high: { voltage: "500 V", appliedError: "60 mV" },
        ambient: ["21 degC", "25 degC"],
        averagedReadings: 16,
      }),
  },
];
