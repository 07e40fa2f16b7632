import { Decimal } from "../quantity/decimal.ts";
import type { Design, Drift, Range, ResistorGroup } from "./design.ts";
import type { Limits, Occasion, Origin, Quantity, QuantityKind } from "./quantity.ts";

const ZERO = Decimal.ofInteger(0);
const ONE = Decimal.ofInteger(1);
const TWO = Decimal.ofInteger(2);

/** Ambient temperature quantities are kept in kelvin above this many degrees Celsius. */
export const AMBIENT_ORIGIN_CELSIUS = Decimal.ofInteger(25);

/** Name of a quantity that belongs to one reading. */
export function onOccasion(name: string, occasion: Occasion): string {
  return `${name}_${occasion}`;
}

/** The readings that enter an indication: the one in use and those of the adjustment. */
export function occasionsOf(design: Design): readonly Occasion[] {
  switch (design.adjustment.kind) {
    case "none":
      return ["use"];
    case "gain":
      return ["use", "adjustHigh"];
    case "twoPoint":
      return ["use", "adjustLow", "adjustHigh"];
  }
}

function between(lower: Decimal, upper: Decimal, origin: Origin): Limits {
  return { lower, upper, distribution: { shape: "rectangular" }, origin };
}

function within(limit: Decimal, origin: Origin): Limits {
  return between(limit.absolute().negate(), limit.absolute(), origin);
}

const CONDITION: Origin = { basis: "guaranteed", document: "rated operating conditions" };

interface Entry {
  readonly name: string;
  readonly meaning: string;
  readonly part: string;
  readonly unit: string;
  readonly limits: Limits;
  /** Zero when absent, or the middle of the limits where zero lies outside them. */
  readonly nominal?: Decimal;
}

/** Gathers quantities; knows the occasions of the design. */
class Register {
  readonly quantities: Quantity[] = [];
  private readonly occasions: readonly Occasion[];

  constructor(occasions: readonly Occasion[]) {
    this.occasions = occasions;
  }

  put(kind: QuantityKind, occasion: Quantity["occasion"], entry: Entry): void {
    const { limits, nominal, ...rest } = entry;
    const insideZero = limits.lower.compare(ZERO) <= 0 && limits.upper.compare(ZERO) >= 0;
    const middle = limits.lower.add(limits.upper).multiply(Decimal.parse("0.5"));
    this.quantities.push({
      ...rest,
      ...limits,
      kind,
      occasion,
      nominal: nominal ?? (insideZero ? ZERO : middle),
    });
  }

  /** A quantity of each reading, with limits that may depend on the reading. */
  each(
    kind: QuantityKind,
    entry: Omit<Entry, "limits">,
    limits: (o: Occasion) => Limits,
    nominal?: (o: Occasion) => Decimal,
  ): void {
    for (const occasion of this.occasions) {
      this.put(kind, occasion, {
        ...entry,
        name: onOccasion(entry.name, occasion),
        limits: limits(occasion),
        ...(nominal === undefined ? {} : { nominal: nominal(occasion) }),
      });
    }
  }
}

/** Limit of a drift after some years, by its own law; rounded up where the law has a root. */
export function driftLimit(drift: Drift, years: Decimal): Decimal {
  if (drift.law === "fixed") return years.isZero() ? ZERO : drift.limit;
  const share = years.divide(drift.afterYears, 20, "up");
  return drift.limit.multiply(drift.law === "linear" ? share : share.squareRoot(20, "up"));
}

function putDrift(register: Register, design: Design, of: DriftOwner): void {
  const { id, part, drift } = of;
  if (drift === undefined) return;
  const { adjustment, conditions } = design;
  const sinceStart =
    adjustment.kind === "none" ? conditions.yearsSinceManufacture : conditions.yearsSinceAdjustment;
  if (adjustment.kind !== "none" && !adjustment.ageYears.isZero()) {
    register.put("drift", "all", {
      name: `${id}_driftBefore`,
      meaning: "relative drift from manufacture to adjustment",
      part,
      unit: "1",
      limits: within(driftLimit(drift, adjustment.ageYears), drift.origin),
    });
  }
  register.put("drift", "use", {
    name: onOccasion(`${id}_drift`, "use"),
    meaning:
      adjustment.kind === "none"
        ? "relative drift since manufacture"
        : "relative drift since adjustment",
    part,
    unit: "1",
    limits: within(driftLimit(drift, sinceStart), drift.origin),
  });
}

interface DriftOwner {
  readonly id: string;
  readonly part: string;
  readonly drift: Drift | undefined;
}

function putRise(register: Register, id: string, part: string, rise: Range): void {
  register.each(
    "environment",
    { name: `${id}_rise`, meaning: "own temperature rise above ambient", part, unit: "K" },
    () => between(rise.lower, rise.upper, CONDITION),
  );
}

function putRatio(register: Register, name: string, meaning: string, of: RatioOf): void {
  register.put("production", "all", {
    name,
    meaning,
    part: of.part,
    unit: of.unit,
    limits: of.limits,
  });
}

interface RatioOf {
  readonly part: string;
  readonly unit: string;
  readonly limits: Limits;
}

/** Largest relative change of an upper-leg group by its voltage coefficient, and of its share. */
function voltageShareLimit(design: Design, group: ResistorGroup): Decimal {
  const { upper, lower } = design.divider;
  const total = (groups: readonly ResistorGroup[]): Decimal =>
    groups.reduce(
      (sum, { count, resistance }) => sum.add(resistance.multiply(Decimal.ofInteger(count))),
      ZERO,
    );
  const magnitude = (limits: Limits): Decimal =>
    Decimal.max(limits.lower.absolute(), limits.upper.absolute());
  const legVoltage = Decimal.max(
    design.measuringInterval.lower.absolute(),
    design.measuringInterval.upper.absolute(),
  ).add(design.reference.voltage.multiply(TWO));
  const spread = upper.reduce((most, part) => {
    const own = magnitude(part.tolerance).add(
      magnitude(part.tempco).multiply(Decimal.ofInteger(100)),
    );
    return Decimal.max(most, own);
  }, ZERO);
  const coefficient = upper.reduce(
    (most, part) =>
      part.voltageCoefficient === undefined
        ? most
        : Decimal.max(most, magnitude(part.voltageCoefficient)),
    ZERO,
  );
  const share = group.resistance.divide(total(upper), 20, "up");
  // Relative change of a part at the top of the range, with room for unequal sharing.
  const change = coefficient.multiply(legVoltage).multiply(share).multiply(Decimal.parse("1.2"));
  const ofLeg =
    upper.length === 1
      ? total(lower).divide(total(upper), 20, "up").multiply(TWO)
      : Decimal.parse("2.5");
  const unequal = spread.multiply(TWO);
  return change.multiply(ofLeg).add(unequal.multiply(unequal)).roundUp(12);
}

function putResistor(register: Register, design: Design, group: ResistorGroup): void {
  const { id, path: part } = group;
  putRatio(register, `${id}_tolerance`, "relative tolerance of the resistance", {
    part,
    unit: "1",
    limits: group.tolerance,
  });
  putRatio(register, `${id}_tempco`, "temperature coefficient of resistance", {
    part,
    unit: "1/K",
    limits: group.tempco,
  });
  putRise(register, id, part, group.rise);
  putDrift(register, design, { id, part, drift: group.drift });
  if (group.voltageCoefficient === undefined) return;
  const coefficient = group.voltageCoefficient;
  if (design.divider.upper.includes(group)) {
    putRatio(register, `${id}_voltageCoefficient`, "relative change of resistance per volt", {
      part,
      unit: "1/V",
      limits: coefficient,
    });
    const limit = voltageShareLimit(design, group);
    register.each(
      "production",
      {
        name: `${id}_voltageShare`,
        meaning: "enclosure of the solved share of voltage a part carries, relative",
        part,
        unit: "1",
      },
      () => within(limit, coefficient.origin),
    );
    return;
  }
  const most = design.reference.voltage.multiply(Decimal.max(ONE, design.adc.spanRatio));
  register.each(
    "production",
    {
      name: `${id}_voltageEffect`,
      meaning: "relative change of resistance by its own voltage",
      part,
      unit: "1",
    },
    () => ({
      ...coefficient,
      lower: Decimal.min(ZERO, coefficient.lower.multiply(most)),
      upper: Decimal.max(ZERO, coefficient.upper.multiply(most)),
    }),
  );
}

function putDivider(register: Register, design: Design): void {
  const { upper, lower, networks, bias } = design.divider;
  for (const network of networks) {
    const { id, path: part } = network;
    putRatio(register, `${id}_tolerance`, "tolerance the network's resistors share", {
      part,
      unit: "1",
      limits: network.tolerance,
    });
    putRatio(register, `${id}_tempco`, "temperature coefficient the network's resistors share", {
      part,
      unit: "1/K",
      limits: network.tempco,
    });
    putDrift(register, design, { id, part, drift: network.drift });
  }
  for (const group of [...upper, ...lower]) putResistor(register, design, group);
  if (bias.source === "ground") return;
  const part = "divider.bias";
  putRatio(register, "bias_tolerance", "relative tolerance of the bias", {
    part,
    unit: "1",
    limits: bias.tolerance,
  });
  if (bias.tempco !== undefined) {
    putRatio(register, "bias_tempco", "temperature coefficient of the bias", {
      part,
      unit: "1/K",
      limits: bias.tempco,
    });
    putRise(register, "bias", part, bias.rise);
  }
  if (bias.offset !== undefined) {
    putRatio(register, "bias_offset", "offset of the bias driver", {
      part,
      unit: "V",
      limits: bias.offset,
    });
  }
  putDrift(register, design, { id: "bias", part, drift: bias.drift });
}

function putNode(register: Register, design: Design): void {
  for (const current of design.currents) {
    const { id, path: part } = current;
    register.put("production", "all", {
      name: `${id}_current`,
      meaning: "current into the node at its reference temperature",
      part,
      unit: "A",
      limits: current.limits,
    });
    if (current.doublesEvery !== undefined) putRise(register, id, part, current.rise);
  }
  if (design.board !== undefined) {
    const { origin } = design.board;
    const paths = ["acrossUpper", "nodeToGround", "nodeToSupply"] as const;
    for (const path of paths) {
      const resistance = design.board[path];
      if (resistance === undefined) continue;
      register.each(
        "environment",
        {
          name: `board_${path}`,
          meaning: "conductance of surface leakage",
          part: `board.${path}`,
          unit: "S",
        },
        () => between(ZERO, ONE.divide(resistance, 20, "up"), origin),
      );
    }
  }
  if (design.interference !== undefined) putInterference(register, design);
  const { sampling } = design.adc;
  if (sampling !== undefined && design.buffer === undefined) {
    putRatio(register, "sampling_tolerance", "relative tolerance of the sampling capacitor", {
      part: "adc.sampling",
      unit: "1",
      limits: within(sampling.tolerance, sampling.origin),
    });
  }
}

/** Crest of the highest rated mains with its tolerance, V, rounded up to 1 mV. */
export function highestCrest(design: Design): Decimal {
  const { voltages, tolerance } = design.conditions.mains;
  const highest = voltages.reduce((most, voltage) => Decimal.max(most, voltage), ZERO);
  return highest.multiply(ONE.add(tolerance)).multiply(TWO.squareRoot(20, "up")).roundUp(3);
}

function putInterference(register: Register, design: Design): void {
  const { coupling, remaining, origin } = design.interference!;
  const fastest = design.conditions.mains.frequencies.reduce(
    (most, f) => Decimal.max(most, f),
    ZERO,
  );
  const twoPi = Decimal.parse("6.283185307179586477");
  const amplitude = coupling
    .multiply(remaining)
    .multiply(fastest)
    .multiply(twoPi)
    .multiply(highestCrest(design));
  register.each(
    "reading",
    {
      name: "interference",
      meaning: "mains current coupled onto the node at the moment of sampling",
      part: "interference",
      unit: "A",
    },
    () => ({ ...within(amplitude, origin), distribution: { shape: "arcsine" } }),
  );
}

function putReference(register: Register, design: Design): void {
  const { reference } = design;
  const part = "reference";
  putRatio(register, "reference_initial", "relative initial tolerance of the reference", {
    part,
    unit: "1",
    limits: reference.initial,
  });
  const box = within(reference.boxExcursion, reference.tempcoOrigin);
  const meaning = "relative excursion of the reference over temperature, box method";
  if (design.adjustment.kind !== "none") {
    register.put("production", "all", {
      name: "reference_box",
      meaning: `${meaning}, at adjustment`,
      part,
      unit: "1",
      limits: box,
    });
  }
  register.put("environment", "use", {
    name: "reference_box_use",
    meaning: design.adjustment.kind === "none" ? meaning : `${meaning}, change since adjustment`,
    part,
    unit: "1",
    limits: box,
  });
  putDrift(register, design, { id: "reference", part, drift: reference.drift });
  if (reference.lineRegulation !== undefined) {
    putRatio(
      register,
      "reference_lineRegulation",
      "relative change of the reference per volt of supply",
      {
        part,
        unit: "1/V",
        limits: reference.lineRegulation,
      },
    );
  }
}

function putBuffer(register: Register, design: Design): void {
  const { buffer } = design;
  if (buffer === undefined) return;
  const part = "buffer";
  const ratios: readonly (readonly [string, string, string, Limits | undefined])[] = [
    ["buffer_gainError", "relative gain error of the buffer", "1", buffer.gainError],
    ["buffer_gainTempco", "temperature coefficient of the gain", "1/K", buffer.gainTempco],
    ["buffer_offset", "input offset of the buffer", "V", buffer.offset],
    ["buffer_offsetTempco", "offset change with temperature", "V/K", buffer.offsetTempco],
    [
      "buffer_commonMode",
      "offset change per volt of node voltage",
      "1",
      buffer.commonModeRejection && within(buffer.commonModeRejection, buffer.origin),
    ],
    [
      "buffer_supply",
      "offset change per volt of supply",
      "1",
      buffer.supplyRejection && within(buffer.supplyRejection, buffer.origin),
    ],
  ];
  for (const [name, meaning, unit, limits] of ratios)
    if (limits !== undefined) putRatio(register, name, meaning, { part, unit, limits });
  putRise(register, "buffer", part, buffer.rise);
  if (buffer.crossoverStep !== undefined) {
    const step = buffer.crossoverStep;
    register.each(
      "production",
      { name: "buffer_crossover", meaning: "offset step of the input stage", part, unit: "V" },
      () => step,
    );
  }
}

/** Standard deviation of one code by noise of converter, buffer and reference, LSB, rounded up. */
export function codeNoise(design: Design): Decimal {
  const { adc, buffer, reference } = design;
  const span = reference.voltage.multiply(adc.spanRatio);
  const codes = Decimal.ofInteger(2n ** BigInt(adc.bits));
  const inCodes = (volts: Decimal): Decimal => volts.multiply(codes).divide(span, 20, "up");
  const parts = [
    adc.noise,
    buffer?.noise && inCodes(buffer.noise.multiply(buffer.gain)),
    reference.noise && inCodes(reference.noise),
  ];
  const sum = parts.reduce<Decimal>(
    (total, part) => (part === undefined ? total : total.add(part.multiply(part))),
    ZERO,
  );
  return sum.isZero() ? ZERO : sum.squareRoot(12, "up");
}

function putConverter(register: Register, design: Design): void {
  const { adc, conditions, adjustment } = design;
  const part = "adc";
  const lasting: readonly (readonly [string, string, string, Limits | undefined])[] = [
    ["adc_offset", "offset of the converter", "LSB", adc.offset],
    ["adc_offsetTempco", "offset change with temperature", "LSB/K", adc.offsetTempco],
    ["adc_gainError", "relative gain error of the converter", "1", adc.gainError],
    ["adc_gainTempco", "temperature coefficient of the gain", "1/K", adc.gainTempco],
  ];
  for (const [name, meaning, unit, limits] of lasting)
    if (limits !== undefined) putRatio(register, name, meaning, { part, unit, limits });
  if (adc.offsetTempco !== undefined || adc.gainTempco !== undefined)
    putRise(register, "adc", part, adc.rise);
  const perReading: readonly (readonly [string, string, Limits | undefined])[] = [
    ["adc_nonlinearity", "integral nonlinearity at the code", adc.integralNonlinearity],
    ["adc_unadjusted", "total unadjusted error at the code", adc.totalUnadjustedError],
  ];
  for (const [name, meaning, limits] of perReading)
    if (limits !== undefined)
      register.each("production", { name, meaning, part, unit: "LSB" }, () => limits);
  if (adc.memory !== undefined) {
    const memory = adc.memory;
    register.each(
      "reading",
      {
        name: "adc_memory",
        meaning: "carry-over and incomplete settling, share of span",
        part,
        unit: "1",
      },
      () => memory,
    );
  }
  const noise = codeNoise(design);
  if (noise.isZero()) return;
  register.each(
    "reading",
    { name: "noise", meaning: "noise of the reading, cut", part, unit: "LSB" },
    (occasion) => {
      const averaged =
        occasion === "use" || adjustment.kind === "none"
          ? conditions.readingsAveraged
          : adjustment.averagedReadings;
      const root = Decimal.ofInteger(averaged).squareRoot(20, "down");
      const limit = noise.multiply(conditions.noiseCut).divide(root, 12, "up");
      return {
        ...within(limit, adc.origin),
        distribution: { shape: "normal", coverageFactor: conditions.noiseCut.toNumber() },
      };
    },
  );
}

function putTiming(register: Register, design: Design): void {
  const { timing, filter } = design;
  const put = (kind: QuantityKind, occasion: "all" | "use", entry: Omit<Entry, "part">): void =>
    register.put(kind, occasion, { ...entry, part: "timing" });
  if (timing === undefined && filter === undefined) return;
  put("environment", "use", {
    name: "decay_share_use",
    meaning: "rate of decay of the product over the fastest possible",
    unit: "1",
    limits: between(ZERO, ONE, CONDITION),
    nominal: ONE,
  });
  if (filter !== undefined) {
    register.put("production", "all", {
      name: "filter_tolerance",
      meaning: "relative tolerance of the filter's time constant",
      part: "filter",
      unit: "1",
      limits: within(filter.tolerance, filter.origin),
    });
  }
  if (timing === undefined) return;
  put("reading", "use", {
    name: "latency_use",
    meaning: "sampling late by recognition of the opening",
    unit: "s",
    limits: between(timing.latency.lower, timing.latency.upper, CONDITION),
  });
  put("reading", "use", {
    name: "grid_use",
    meaning: "sampling late by the sample grid",
    unit: "s",
    limits: between(ZERO, ONE.divide(timing.sampleRate, 20, "up"), CONDITION),
  });
  put("production", "all", {
    name: "clock_tolerance",
    meaning: "relative tolerance of the clock period",
    unit: "1",
    limits: timing.clockTolerance,
  });
  putDrift(register, design, { id: "clock", part: "timing", drift: timing.clockDrift });
  if (timing.jitter !== undefined) {
    const cut = design.conditions.noiseCut;
    put("reading", "use", {
      name: "jitter_use",
      meaning: "aperture jitter, cut",
      unit: "s",
      limits: {
        ...within(timing.jitter.multiply(cut), CONDITION),
        distribution: { shape: "normal", coverageFactor: cut.toNumber() },
      },
    });
  }
  if (timing.window !== undefined) {
    put("environment", "use", {
      name: "window_curvature_use",
      meaning: "share of the largest curvature of the decay inside the averaging window",
      unit: "1",
      limits: between(ZERO, ONE, CONDITION),
    });
  }
}

function putAdjustment(register: Register, design: Design): void {
  const { adjustment } = design;
  if (adjustment.kind === "none") return;
  const points =
    adjustment.kind === "gain"
      ? ([["adjustHigh", adjustment.at]] as const)
      : ([
          ["adjustLow", adjustment.low],
          ["adjustHigh", adjustment.high],
        ] as const);
  for (const [occasion, point] of points) {
    register.put("production", occasion, {
      name: `applied_${occasion}`,
      meaning: "error of the voltage applied for adjustment",
      part: "adjustment",
      unit: "V",
      limits: point.appliedError,
    });
  }
}

function putEnvironment(register: Register, design: Design): void {
  const { adjustment, conditions } = design;
  register.each(
    "environment",
    {
      name: "ambient",
      meaning: `ambient temperature above ${AMBIENT_ORIGIN_CELSIUS.toString()} degrees Celsius`,
      part: "conditions",
      unit: "K",
    },
    (occasion) => {
      const range =
        occasion === "use" || adjustment.kind === "none"
          ? conditions.ambientCelsius
          : adjustment.ambientCelsius;
      return between(
        range.lower.subtract(AMBIENT_ORIGIN_CELSIUS),
        range.upper.subtract(AMBIENT_ORIGIN_CELSIUS),
        CONDITION,
      );
    },
  );
  const needsSupply =
    design.board?.nodeToSupply !== undefined ||
    design.reference.lineRegulation !== undefined ||
    design.buffer?.supplyRejection !== undefined;
  if (!needsSupply) return;
  register.each(
    "environment",
    { name: "supply", meaning: "supply voltage", part: "conditions", unit: "V" },
    () => between(conditions.supply.lower, conditions.supply.upper, CONDITION),
  );
}

/**
 * Every toleranced quantity of a design, each name once. The measurement model, the simulation and
 * the reports take names and limits from here and nowhere else.
 */
export function quantitiesOf(design: Design): readonly Quantity[] {
  const register = new Register(occasionsOf(design));
  putEnvironment(register, design);
  putDivider(register, design);
  putNode(register, design);
  putBuffer(register, design);
  putReference(register, design);
  putConverter(register, design);
  putTiming(register, design);
  putAdjustment(register, design);
  return register.quantities;
}
