import { permittedErrors } from "../../lib/design/requirement.ts";
import type { Certificate } from "../../lib/guarantee/certificate.ts";
import { Decimal } from "../../lib/quantity/decimal.ts";
import type {
  BudgetDocument,
  BudgetRow,
  ComparisonRow,
  PermittedRange,
  RequirementRow,
  StatementDocument,
  SymbolRow,
  TermRow,
  Verdict,
} from "../../lib/report/budget-document.ts";

/** An invented bipolar tester for +/-440 V; no figure is that of a real one. */

interface SymbolSketch {
  readonly name: string;
  readonly meaning: string;
  readonly part: string;
  readonly kind: SymbolRow["kind"];
  readonly unit: string;
  /** Limits on both sides of zero. */
  readonly limit: string;
  readonly basis?: string;
  /** Term in V: constant, and V per V of true voltage. */
  readonly constant: number;
  readonly perVolt: number;
}

const SKETCHES: readonly SymbolSketch[] = [
  {
    name: "clamp_leakage_use",
    meaning: "leakage of the clamp at the node",
    unit: "A",
    part: "currents.clamp",
    kind: "environment",
    limit: "0.0000000004",
    constant: 0.3912,
    perVolt: 0,
  },
  {
    name: "rounding_use",
    meaning: "rounding of the converter",
    unit: "LSB",
    part: "adc",
    kind: "rounding",
    limit: "0.5",
    constant: 0.2104,
    perVolt: 0,
  },
  {
    name: "inl_use",
    meaning: "integral nonlinearity",
    unit: "LSB",
    part: "adc",
    kind: "production",
    limit: "0.5",
    constant: 0.1866,
    perVolt: 0,
  },
  {
    name: "upper_tempco",
    meaning: "temperature coefficient of the upper resistors",
    part: "divider.upper[0]",
    kind: "production",
    limit: "0.00005",
    unit: "1/K",
    constant: 0.012,
    perVolt: 0.00152,
  },
  {
    name: "adc_offset_drift_use",
    meaning: "change of the offset with temperature",
    part: "adc",
    kind: "environment",
    limit: "0.3",
    unit: "LSB",
    constant: 0.0911,
    perVolt: 0,
  },
  {
    name: "applied_high",
    meaning: "error of the voltage applied at the upper point",
    part: "adjustment",
    kind: "reading",
    limit: "0.06",
    unit: "V",
    constant: 0.0312,
    perVolt: 0.0002,
  },
  {
    name: "upper_voltage_coefficient",
    meaning: "voltage coefficient of the upper resistors",
    part: "divider.upper[0]",
    kind: "production",
    limit: "0.00001",
    unit: "1/V",
    basis: "typical",
    constant: 0,
    perVolt: 0.00118,
  },
  {
    name: "board_leakage",
    meaning: "conductance of the board from node to ground",
    unit: "S",
    part: "board",
    kind: "environment",
    limit: "0.00000000005",
    basis: "assumed",
    constant: 0.0124,
    perVolt: 0.00061,
  },
  {
    name: "upper_drift",
    meaning: "drift of the upper resistors since the adjustment",
    part: "divider.upper[0]",
    kind: "drift",
    limit: "0.001",
    unit: "1",
    constant: 0.004,
    perVolt: 0.001,
  },
  {
    name: "reference_tempco",
    meaning: "temperature coefficient of the reference",
    part: "reference",
    kind: "production",
    limit: "0.00002",
    unit: "1/K",
    constant: 0.0061,
    perVolt: 0.00034,
  },
  {
    name: "lower_tempco",
    meaning: "temperature coefficient of the lower resistor",
    part: "divider.lower[0]",
    kind: "production",
    limit: "0.000025",
    unit: "1/K",
    constant: 0.002,
    perVolt: 0.00062,
  },
  {
    name: "buffer_offset_tempco",
    meaning: "temperature coefficient of the offset",
    part: "buffer",
    kind: "environment",
    limit: "0.000003",
    unit: "V/K",
    constant: 0.0221,
    perVolt: 0,
  },
  {
    name: "noise_use",
    meaning: "noise of one reading, cut at 4 standard deviations",
    part: "adc",
    kind: "reading",
    limit: "0.4",
    unit: "LSB",
    constant: 0.0842,
    perVolt: 0,
  },
  {
    name: "latency_use",
    meaning: "how late the opening is recognised",
    unit: "s",
    part: "timing",
    kind: "reading",
    limit: "0.001",
    constant: 0,
    perVolt: 0.00045,
  },
];

function symbolRow(sketch: SymbolSketch): SymbolRow {
  return {
    name: sketch.name,
    meaning: sketch.meaning,
    unit: sketch.unit,
    nominal: "0",
    lower: `-${sketch.limit}`,
    upper: sketch.limit,
    kind: sketch.kind,
    part: sketch.part,
    perBand: false,
    occasion: sketch.name.endsWith("_use") ? "use" : "all",
    distribution: { shape: "rectangular" },
    degreesOfFreedom: null,
    basis: sketch.basis ?? "guaranteed",
    document: "drawing F-1, issue 2",
  };
}

function termsAt(voltage: number): readonly TermRow[] {
  return SKETCHES.map(({ name, part, kind, limit, constant, perVolt }) => {
    const volts = Number((constant + perVolt * Math.abs(voltage)).toFixed(6));
    return { symbol: name, part, kind, sensitivity: volts / Number(limit), volts };
  })
    .filter((term) => term.volts > 0)
    .sort((one, other) => other.volts - one.volts);
}

interface RowSketch {
  readonly voltage: number;
  readonly low: readonly [proven: number, witnessed: number];
  readonly high: readonly [proven: number, witnessed: number];
  readonly limits?: readonly string[];
  readonly stopped?: BudgetRow["stopped"];
  readonly guaranteed?: boolean;
}

const HOUSEHOLD = ["iec-60335-1-22.5-electronic/plug", "iec-60335-1-22.5/plug"];
const SIXTY = ["iec-60601-1-8.4.3/plug", "iec-61010-1-6.10.3/plug", "iec-601-1-1988-15b/plug"];

const ROWS: readonly RowSketch[] = [
  { voltage: -440, low: [-4.1023871, -4.0981], high: [4.0551902, 4.0519] },
  { voltage: -320, low: [-3.2766102, -3.2738], high: [3.2290117, 3.2266] },
  { voltage: -126, low: [-1.9418336, -1.9401], high: [1.9077215, 1.9061] },
  { voltage: -60, low: [-1.4881204, -1.4869], high: [1.4602018, 1.4589], limits: SIXTY },
  { voltage: -34, low: [-1.3162417, -1.3151], high: [1.2990024, 1.2981], limits: HOUSEHOLD },
  { voltage: 0, low: [-1.0711305, -1.0702], high: [1.0698844, 1.0689] },
  { voltage: 34, low: [-1.2990024, -1.2981], high: [1.3165093, 1.3151], limits: HOUSEHOLD },
  {
    voltage: 45,
    low: [-1.3657008, -1.3646],
    high: [1.391022, 1.3901],
    limits: ["jp-60335-1-22.5"],
  },
  { voltage: 60, low: [-1.4602018, -1.4589], high: [1.4883391, 1.4869], limits: SIXTY },
  {
    voltage: 126,
    low: [-1.9077215, -1.8702],
    high: [1.942001, 1.9001],
    stopped: "work",
    limits: ["iec-60950-1-2.1.1.7"],
  },
  { voltage: 240, low: [-2.684, -2.6817], high: [2.7272, 2.7251], guaranteed: false },
  { voltage: 320, low: [-3.2290117, -3.2266], high: [3.2771, 3.2738] },
  { voltage: 400, low: [-3.7792261, -3.7761], high: [3.8281157, 3.8249] },
  { voltage: 440, low: [-4.0551902, -4.0519], high: [4.1031, 4.0981] },
];

const gapOf = ([proven, witnessed]: readonly [number, number]) => (proven - witnessed) / proven;

function side(pair: readonly [number, number], voltage: number) {
  const [proven, witnessed] = pair;
  const witness = { V: voltage, upper_tempco: 0.00005, clamp_leakage_use: 4e-10 };
  return { proven, witnessed, gap: gapOf(pair), witness, undecided: [] };
}

function budgetRow(sketch: RowSketch): BudgetRow {
  const { voltage, low, high, stopped, guaranteed, limits } = sketch;
  const terms = termsAt(voltage);
  return {
    voltage,
    band: { lower: String(voltage - 0.43), upper: String(voltage + 0.43) },
    high: side(high, voltage),
    low: side(low, voltage),
    provenError: Math.max(high[0], -low[0]),
    witnessedError: Math.max(high[1], -low[1]),
    gap: Math.max(gapOf(low), gapOf(high)),
    guaranteed: guaranteed ?? true,
    stopped: stopped ?? "gap",
    linearSum: terms.reduce((sum, term) => sum + term.volts, 0),
    rootSumSquare: Math.hypot(...terms.map((term) => term.volts)),
    terms,
    limits: limits ?? [],
  };
}

const rows = ROWS.map(budgetRow);

interface Asked {
  readonly id: string;
  readonly text: string;
  readonly share: string;
  readonly volts: string;
  readonly at?: number;
}

const ASKED: readonly Asked[] = [
  { id: "R-34", text: "5 % of indication at 34 V", share: "0.05", volts: "0", at: 34 },
  { id: "R-60", text: "2 % of indication at 60 V", share: "0.02", volts: "0", at: 60 },
  { id: "R-126", text: "1 % + 0.65 V at 126 V", share: "0.01", volts: "0.65", at: 126 },
  { id: "R-range", text: "1 % + 1.2 V from 30 V to 400 V", share: "0.01", volts: "1.2" },
];

function permittedAt({ share, volts }: Asked, voltage: number): PermittedRange {
  const parts = { share: Decimal.parse(share), volts: Decimal.parse(volts) };
  return { voltage, ...permittedErrors({ kind: "indication", name: "", ...parts }, voltage) };
}

interface Judged extends Pick<RequirementRow, "voltage" | "side" | "limit" | "margin"> {
  readonly proven: number;
  readonly witnessed: number;
}

function judgedAt({ voltage, lower, upper }: PermittedRange): readonly Judged[] {
  const row = rows.find((one) => one.voltage === voltage);
  if (row === undefined) return [];
  const [low, high] = [-row.low.proven, row.high.proven];
  const [lowWitness, highWitness] = [-row.low.witnessed, row.high.witnessed];
  return [
    {
      voltage,
      side: "low",
      limit: -lower,
      margin: -lower - low,
      proven: low,
      witnessed: lowWitness,
    },
    {
      voltage,
      side: "high",
      limit: upper,
      margin: upper - high,
      proven: high,
      witnessed: highWitness,
    },
  ];
}

function requirementRow(asked: Asked): RequirementRow {
  const isAt = asked.at !== undefined;
  const inside = rows.filter((row) => row.voltage >= 30 && row.voltage <= 400);
  const voltages = isAt ? [asked.at] : [30, ...inside.map((row) => row.voltage)];
  const errors = voltages.map((voltage) => permittedAt(asked, voltage));
  const judged = errors.flatMap(judgedAt).sort((one, other) => one.margin - other.margin)[0];
  if (judged === undefined) throw new Error(`${asked.id} is asked at no voltage of the fixture`);
  const isRefuted = judged.witnessed > judged.limit;
  const verdict: Verdict = judged.margin >= 0 ? "holds" : isRefuted ? "doesNotHold" : "notProven";
  const permitted = { over: isAt ? ("points" as const) : ("range" as const), errors };
  const source = isAt ? "" : "purchase specification F-7, clause 3";
  return { id: asked.id, text: asked.text, source, ...judged, verdict, permitted };
}

const comparisons: readonly ComparisonRow[] = [
  {
    name: "Recorder with 8 bits",
    text: "2 % of span 1000 V",
    errors: rows.map(() => 20),
    exceedsFivePercentBelow: 400,
  },
  {
    name: "Handheld meter",
    text: "1 % of indication + 0.5 V",
    errors: rows.map((row) => 0.01 * Math.abs(row.voltage) + 0.5),
    exceedsFivePercentBelow: 12.5,
  },
];

const statement: StatementDocument = {
  share: "0.0087",
  volts: "1.1",
  from: "34",
  to: "440",
  exact: { share: 0.00863, volts: 1.0893 },
  ends: [
    { share: "0", volts: "4.2" },
    { share: "0.041", volts: "0" },
  ],
  objective: "No other pair of two-digit figures has a smaller mean width over log |V|.",
  used: [
    { lower: "-440", upper: "-320", low: 0.845, high: 0.834 },
    { lower: "34", upper: "60", low: 0.972, high: 0.993 },
    { lower: "320", upper: "440", low: 0.831, high: 0.841 },
  ],
};

const SIDE = { proven: 1.4, by: { kind: "error", step: { collapse: [[1, -2]] } } } as const;

/** Proves nothing: it only has the shape. */
const certificate: Certificate = {
  format: "plumbvolt.certificate/1",
  design: "7f3b1d0a52c64e9980b1f4a3de12c5609a77e0b4c3f28d615e90ab47d38c21f6",
  symbols: [{ name: "V", lower: "-440", upper: "440" }],
  functions: {
    bounded: [["symbol", "V"]],
    provable: [["symbol", "V"]],
    code: [
      ["symbol", "V"],
      ["decimal", "0.5"],
      ["+", 0, 1],
    ],
  },
  bands: [{ lower: 33.57, upper: 34.43, high: SIDE, low: SIDE }],
};

/** A budget with 14 voltages, both polarities, and every verdict. */
export const BUDGET: BudgetDocument = {
  format: "plumbvolt.budget/1",
  producer: { name: "plumbvolt", version: "0.1.0" },
  design: {
    name: "Fixture tester F1",
    revision: "C",
    sha256: "7f3b1d0a52c64e9980b1f4a3de12c5609a77e0b4c3f28d615e90ab47d38c21f6",
  },
  conditions: {
    ambient: "10 °C to 40 °C",
    supply: "4.75 V to 5.25 V",
    humidity: "20 % to 75 %",
    "since adjustment": "1 year",
    instant: "1 s after the last opening",
  },
  measuringInterval: [["-440", "440"]],
  symbols: SKETCHES.map(symbolRow),
  equation: {
    unit: "V",
    shown: {
      definitions: [
        {
          name: "y_use",
          infix: "512 + (V * (1 + 15 * upper_tempco) + 1e9 * clamp_leakage_use) / 0.86",
        },
        { name: "code_use", infix: "floor(y_use + 1/2)" },
      ],
      error: "0.86 * (code_use - 512) - V",
    },
    bounded: {
      definitions: [
        {
          name: "y_use",
          infix: "512 + (V * (1 + 15 * upper_tempco) + 1e9 * clamp_leakage_use) / 0.86",
        },
        { name: "code_use", infix: "y_use + rounding_use" },
      ],
      error: "0.86 * (code_use - 512) - V",
    },
    quantisers: [{ shown: "code_use", argument: "y_use", symbol: "rounding_use", mode: "nearest" }],
  },
  rows,
  requirements: ASKED.map(requirementRow),
  comparisons,
  statement,
  certificate,
  conditionalOn: [
    "divider.upper[0] voltage coefficient: typical (resistor sheet H-2, issue 4)",
    "board leakage: assumed (design rule 12)",
  ],
  assumptions: [
    "the voltage on the pins is settled but for the slope given by the discharge",
    "all parts of one unit share one ambient temperature",
  ],
  notModelled: [
    "electromagnetic disturbance",
    "surge and transient overvoltage",
    "microphonics and piezoelectric effects",
    "moisture beyond the board leakage declared",
    "failure of a part",
  ],
  cautions: [
    "Mains and stored charge can kill. This program computes; it does not make a measurement safe.",
    "Figures are design aids: the current edition of the standard, local codes and a licensed or" +
      " competent person decide; a real instrument is proved by calibration, not by a model.",
  ],
};
