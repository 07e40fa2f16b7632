import type { InferOutput } from "valibot";
import { Decimal } from "../quantity/decimal.ts";
import type { Dimension } from "../quantity/dimension.ts";
import type {
  Adjustment,
  AdjustmentPoint,
  Bias,
  Board,
  Buffer,
  Conditions,
  Converter,
  Design,
  Drift,
  Filter,
  NodeCurrent,
  Range,
  Reference,
  ResistorGroup,
  ResistorNetwork,
  Timing,
} from "./design.ts";
import type { designDocumentSchema } from "./document-schema.ts";
import type { FaultList, Written } from "./fault-list.ts";
import type { Limits, Origin } from "./quantity.ts";

/** A document whose shape has been checked. */
export type ShapedDocument = InferOutput<typeof designDocumentSchema>;

type WrittenLimits = ShapedDocument["reference"]["initial"];
type WrittenDrift = NonNullable<ShapedDocument["reference"]["drift"]>;
type WrittenOrigin = Pick<ShapedDocument["reference"], "basis" | "document">;
type WrittenResistor = ShapedDocument["divider"]["upper"][number];

const GUARANTEED: Origin = { basis: "guaranteed" };

/** Origin of a figure: its own words, else those of its part. */
function originOf(written: WrittenOrigin, inherited: Origin = GUARANTEED): Origin {
  const document = written.document ?? inherited.document;
  return {
    basis: written.basis ?? inherited.basis,
    ...(document === undefined ? {} : { document }),
  };
}

/** Where a figure stands, what it measures and what its part says of its origin. */
interface Place {
  readonly path: string;
  readonly dimension: Dimension;
  readonly origin: Origin;
}

/** Reads the parts of a document into exact SI figures; every fault goes to the list. */
export class PartReader {
  private readonly faults: FaultList;

  constructor(faults: FaultList) {
    this.faults = faults;
  }

  range(written: readonly [Written, Written], path: string, dimension: Dimension): Range {
    const lower = this.faults.value(written[0], `${path}[0]`, dimension);
    const upper = this.faults.value(written[1], `${path}[1]`, dimension);
    if (lower.compare(upper) > 0) this.orderFault(path, written);
    return { lower, upper };
  }

  private orderFault(path: string, written: readonly unknown[]): void {
    this.faults.add({
      path,
      quantity: "range",
      permitted: "the lower end first",
      received: JSON.stringify(written),
    });
  }

  limits(written: WrittenLimits, place: Place): Limits {
    const { path, dimension } = place;
    if (typeof written !== "object") return this.symmetric(written, place);
    const origin = originOf(written, place.origin);
    const common = {
      distribution: this.distribution(written),
      origin,
      ...(written.degreesOfFreedom === undefined
        ? {}
        : { degreesOfFreedom: written.degreesOfFreedom }),
    };
    const oneSided = written.lower !== undefined || written.upper !== undefined;
    if ((written.limit !== undefined) === oneSided) {
      this.faults.add({
        path,
        quantity: "limits",
        permitted: 'given either as "limit" or as "lower" and "upper"',
        received: JSON.stringify(written),
      });
      return { lower: Decimal.zero, upper: Decimal.zero, ...common };
    }
    if (written.limit !== undefined) {
      const limit = this.faults.limit(written.limit, `${path}.limit`, dimension);
      return { lower: limit.negate(), upper: limit, ...common };
    }
    const lower = this.faults.value(written.lower ?? 0, `${path}.lower`, dimension);
    const upper = this.faults.value(written.upper ?? 0, `${path}.upper`, dimension);
    if (lower.compare(upper) > 0) this.orderFault(path, [written.lower, written.upper]);
    if (lower.sign() > 0 || upper.sign() < 0) {
      this.faults.add({
        path,
        quantity: "limits of an error",
        permitted: "around the nominal error 0",
        received: JSON.stringify([written.lower, written.upper]),
        hint: "move the middle into the nominal value of the part",
      });
    }
    return { lower, upper, ...common };
  }

  private symmetric(written: Written, { path, dimension, origin }: Place): Limits {
    const limit = this.faults.limit(written, path, dimension);
    return {
      lower: limit.negate(),
      upper: limit,
      distribution: { shape: "rectangular" },
      origin,
    };
  }

  private distribution(written: Exclude<WrittenLimits, Written>): Limits["distribution"] {
    const { distribution } = written;
    if (distribution === undefined) return { shape: "rectangular" };
    return typeof distribution === "string" ? { shape: distribution } : distribution;
  }

  drift(written: WrittenDrift | undefined, path: string, inherited: Origin) {
    if (written === undefined) return {};
    const drift: Drift = {
      limit: this.faults.limit(written.limit, `${path}.limit`, "ratio"),
      afterYears: this.faults.positive(written.after, `${path}.after`, "years"),
      law: written.law,
      origin: originOf(written, inherited),
    };
    return { drift };
  }

  /** Optional limits under their own name, so that an absent field stays absent. */
  private optionalLimits<K extends string>(
    key: K,
    written: WrittenLimits | undefined,
    place: Omit<Place, "path"> & { readonly path: string },
  ): { readonly [P in K]?: Limits } {
    if (written === undefined) return {};
    const value = { [key]: this.limits(written, { ...place, path: `${place.path}.${key}` }) };
    return value as { readonly [P in K]?: Limits };
  }

  private optionalValue<K extends string>(
    key: K,
    written: Written | undefined,
    place: { readonly path: string; readonly dimension: Dimension },
  ): { readonly [P in K]?: Decimal } {
    if (written === undefined) return {};
    const value = {
      [key]: this.faults.positive(written, `${place.path}.${key}`, place.dimension),
    };
    return value as { readonly [P in K]?: Decimal };
  }

  resistor(written: WrittenResistor, path: string, id: string): ResistorGroup {
    const origin = originOf(written);
    const ratio = { dimension: "ratio", origin } as const;
    return {
      id: written.name ?? id,
      path,
      count: written.count ?? 1,
      resistance: this.faults.positive(written.resistance, `${path}.resistance`, "resistance"),
      tolerance: this.limits(written.tolerance, { ...ratio, path: `${path}.tolerance` }),
      tempco: this.limits(written.tempco, {
        path: `${path}.tempco`,
        dimension: "perKelvin",
        origin,
      }),
      referenceCelsius: this.faults.value(
        written.referenceTemperature ?? "25 degC",
        `${path}.referenceTemperature`,
        "celsius",
      ),
      rise: this.range(written.rise, `${path}.rise`, "temperatureDifference"),
      ...this.optionalLimits("voltageCoefficient", written.voltageCoefficient, {
        path,
        dimension: "perVolt",
        origin,
      }),
      ...this.drift(written.drift, `${path}.drift`, origin),
      ...(written.network === undefined ? {} : { network: written.network }),
      rating: {
        voltage: this.faults.positive(written.rating.voltage, `${path}.rating.voltage`, "voltage"),
        power: this.faults.positive(written.rating.power, `${path}.rating.power`, "power"),
      },
      ...this.optionalValue("shuntCapacitance", written.shuntCapacitance, {
        path,
        dimension: "capacitance",
      }),
      origin,
    };
  }

  networks(written: ShapedDocument["divider"]["networks"]): ResistorNetwork[] {
    return Object.entries(written ?? {}).map(([id, network]) => {
      const path = `divider.networks.${id}`;
      const origin = originOf(network);
      return {
        id,
        path,
        tolerance: this.limits(network.tolerance, {
          path: `${path}.tolerance`,
          dimension: "ratio",
          origin,
        }),
        tempco: this.limits(network.tempco, {
          path: `${path}.tempco`,
          dimension: "perKelvin",
          origin,
        }),
        ...this.drift(network.drift, `${path}.drift`, origin),
        origin,
      };
    });
  }

  bias(written: ShapedDocument["divider"]["bias"]): Bias {
    if (written.source === "ground") return { source: "ground" };
    const path = "divider.bias";
    const origin = originOf(written);
    const nominal =
      written.source === "reference"
        ? this.faults.positive(written.ratio, `${path}.ratio`, "ratio")
        : this.faults.positive(written.voltage, `${path}.voltage`, "voltage");
    return {
      source: written.source,
      nominal,
      tolerance: this.limits(written.tolerance, {
        path: `${path}.tolerance`,
        dimension: "ratio",
        origin,
      }),
      ...this.optionalLimits("tempco", written.tempco, { path, dimension: "perKelvin", origin }),
      rise: this.range(written.rise ?? [0, 0], `${path}.rise`, "temperatureDifference"),
      ...(written.source === "reference"
        ? this.optionalLimits("offset", written.offset, { path, dimension: "voltage", origin })
        : {}),
      ...this.drift(written.drift, `${path}.drift`, origin),
      origin,
    };
  }

  current(written: NonNullable<ShapedDocument["currents"]>[number], index: number): NodeCurrent {
    const path = `currents[${index}]`;
    const origin = originOf(written);
    return {
      id: written.name,
      path,
      limits: this.limits(written.limit, { path: `${path}.limit`, dimension: "current", origin }),
      atCelsius: this.faults.value(written.at, `${path}.at`, "celsius"),
      ...this.optionalValue("doublesEvery", written.doublesEvery, {
        path,
        dimension: "temperatureDifference",
      }),
      rise: this.range(written.rise, `${path}.rise`, "temperatureDifference"),
      origin,
    };
  }

  board(written: NonNullable<ShapedDocument["board"]>): Board {
    const place = { path: "board", dimension: "resistance" } as const;
    return {
      ...this.optionalValue("acrossUpper", written.acrossUpper, place),
      ...this.optionalValue("nodeToGround", written.nodeToGround, place),
      ...this.optionalValue("nodeToSupply", written.nodeToSupply, place),
      origin: originOf(written),
    };
  }

  interference(written: NonNullable<ShapedDocument["interference"]>): Design["interference"] {
    return {
      coupling: this.faults.limit(written.coupling, "interference.coupling", "capacitance"),
      remaining: this.faults.limit(written.remaining, "interference.remaining", "ratio"),
      origin: originOf(written),
    };
  }

  buffer(written: NonNullable<ShapedDocument["buffer"]>): Buffer {
    const path = "buffer";
    const origin = originOf(written);
    const at = (dimension: Dimension): Omit<Place, "path"> & { path: string } => ({
      path,
      dimension,
      origin,
    });
    return {
      gain: this.faults.positive(written.gain, "buffer.gain", "ratio"),
      gainError: this.limits(written.gainError, { ...at("ratio"), path: "buffer.gainError" }),
      ...this.optionalLimits("gainTempco", written.gainTempco, at("perKelvin")),
      offset: this.limits(written.offset, { ...at("voltage"), path: "buffer.offset" }),
      ...this.optionalLimits("offsetTempco", written.offsetTempco, at("voltagePerKelvin")),
      rise: this.range(written.rise, "buffer.rise", "temperatureDifference"),
      ...this.optionalValue("commonModeRejection", written.commonModeRejection, at("rejection")),
      ...this.optionalValue("supplyRejection", written.supplyRejection, at("rejection")),
      ...this.optionalLimits("crossoverStep", written.crossoverStep, at("voltage")),
      swing: this.range(written.swing, "buffer.swing", "voltage"),
      ...this.optionalValue("noise", written.noise, at("voltage")),
      ...this.optionalValue("bandwidth", written.bandwidth, at("frequency")),
      ...this.optionalValue("overloadRecovery", written.overloadRecovery, at("time")),
      origin,
    };
  }

  filter(written: NonNullable<ShapedDocument["filter"]>): Filter {
    if (written.dielectric === "class2") {
      this.faults.add({
        path: "filter.dielectric",
        quantity: "dielectric of the filter capacitor",
        permitted: '"film" or "class1"',
        received: '"class2"',
        hint: "dielectric absorption of class 2 ceramic is not bounded by any figure of this model",
      });
    }
    return {
      timeConstant: this.faults.positive(written.timeConstant, "filter.timeConstant", "time"),
      tolerance: this.faults.limit(written.tolerance, "filter.tolerance", "ratio"),
      origin: originOf(written),
    };
  }

  reference(written: ShapedDocument["reference"]): Reference {
    const path = "reference";
    const origin = originOf(written);
    const perKelvin = this.faults.limit(
      written.tempco.perKelvin,
      "reference.tempco.perKelvin",
      "perKelvin",
    );
    const over = this.range(written.tempco.over, "reference.tempco.over", "celsius");
    return {
      voltage: this.faults.positive(written.voltage, "reference.voltage", "voltage"),
      initial: this.limits(written.initial, {
        path: "reference.initial",
        dimension: "ratio",
        origin,
      }),
      boxExcursion: perKelvin.multiply(over.upper.subtract(over.lower)),
      boxCelsius: over,
      tempcoOrigin: originOf(written.tempco, origin),
      ...this.drift(written.drift, "reference.drift", origin),
      ...this.optionalLimits("lineRegulation", written.lineRegulation, {
        path,
        dimension: "perVolt",
        origin,
      }),
      ...this.optionalValue("noise", written.noise, { path, dimension: "voltage" }),
      origin,
    };
  }

  adc(written: ShapedDocument["adc"]): Converter {
    const path = "adc";
    const origin = originOf(written);
    const lsb = { path, dimension: "lsb", origin } as const;
    const ratio = { path, dimension: "ratio", origin } as const;
    const perKelvin = { path, dimension: "perKelvin", origin } as const;
    const { sampling, nonlinearityFit } = written;
    return {
      bits: written.bits,
      input: written.input,
      spanRatio: this.faults.positive(written.spanRatio, "adc.spanRatio", "ratio"),
      ...this.optionalLimits("totalUnadjustedError", written.totalUnadjustedError, lsb),
      ...this.optionalLimits("offset", written.offset, lsb),
      ...this.optionalLimits("offsetTempco", written.offsetTempco, {
        ...lsb,
        dimension: "lsbPerKelvin",
      }),
      ...this.optionalLimits("gainError", written.gainError, ratio),
      ...this.optionalLimits("gainTempco", written.gainTempco, perKelvin),
      rise: this.range(written.rise ?? [0, 0], "adc.rise", "temperatureDifference"),
      ...this.optionalLimits("integralNonlinearity", written.integralNonlinearity, lsb),
      ...(nonlinearityFit === undefined ? {} : { nonlinearityFit }),
      ...this.optionalValue("differentialNonlinearity", written.differentialNonlinearity, lsb),
      ...this.optionalValue("noise", written.noise, lsb),
      ...this.optionalLimits("memory", written.memory, ratio),
      ...(sampling === undefined ? {} : { sampling: this.sampling(sampling) }),
      origin,
    };
  }

  private sampling(written: NonNullable<ShapedDocument["adc"]["sampling"]>) {
    const path = "adc.sampling";
    return {
      capacitance: this.faults.positive(written.capacitance, `${path}.capacitance`, "capacitance"),
      tolerance: this.faults.limit(written.tolerance, `${path}.tolerance`, "ratio"),
      startsFrom: this.faults.value(written.startsFrom, `${path}.startsFrom`, "ratio"),
      origin: originOf(written),
    };
  }

  timing(written: NonNullable<ShapedDocument["timing"]>): Timing {
    const origin = GUARANTEED;
    const clockDrift = this.drift(written.clockDrift, "timing.clockDrift", origin).drift;
    return {
      sampleRate: this.faults.positive(written.sampleRate, "timing.sampleRate", "frequency"),
      latency: this.range(written.latency, "timing.latency", "time"),
      clockTolerance: this.limits(written.clockTolerance, {
        path: "timing.clockTolerance",
        dimension: "ratio",
        origin,
      }),
      ...(clockDrift === undefined ? {} : { clockDrift }),
      ...this.optionalValue("jitter", written.jitter, { path: "timing", dimension: "time" }),
      ...(written.window === undefined
        ? {}
        : {
            window: {
              duration: this.faults.positive(
                written.window.duration,
                "timing.window.duration",
                "time",
              ),
              position: written.window.position,
            },
          }),
    };
  }

  private point(
    written: { voltage: Written; appliedError: WrittenLimits },
    path: string,
    origin: Origin,
  ): AdjustmentPoint {
    return {
      voltage: this.faults.value(written.voltage, `${path}.voltage`, "voltage"),
      appliedError: this.limits(written.appliedError, {
        path: `${path}.appliedError`,
        dimension: "voltage",
        origin,
      }),
    };
  }

  adjustment(written: ShapedDocument["adjustment"]): Adjustment {
    if (written.kind === "none") return { kind: "none" };
    const origin = originOf(written);
    const process = {
      ambientCelsius: this.range(written.ambient, "adjustment.ambient", "celsius"),
      averagedReadings: written.averagedReadings,
      ageYears: this.faults.limit(written.age ?? 0, "adjustment.age", "years"),
      origin,
    };
    return written.kind === "gain"
      ? { kind: "gain", at: this.point(written.at, "adjustment.at", origin), ...process }
      : {
          kind: "twoPoint",
          low: this.point(written.low, "adjustment.low", origin),
          high: this.point(written.high, "adjustment.high", origin),
          ...process,
        };
  }

  conditions(written: ShapedDocument["conditions"]): Conditions {
    const path = "conditions";
    const { faults } = this;
    const list = (values: readonly Written[], at: string, dimension: Dimension): Decimal[] =>
      values.map((value, index) => faults.positive(value, `${at}[${index}]`, dimension));
    const ambientCelsius = this.range(written.ambient, "conditions.ambient", "celsius");
    const noiseCut = faults.positive(written.noiseCut ?? 4, "conditions.noiseCut", "ratio");
    return {
      ambientCelsius,
      referenceCelsius: faults.value(
        written.referenceAmbient ?? "23 degC",
        "conditions.referenceAmbient",
        "celsius",
      ),
      ...(written.humidity === undefined
        ? {}
        : { humidity: this.range(written.humidity, "conditions.humidity", "relativeHumidity") }),
      supply: this.range(written.supply, "conditions.supply", "voltage"),
      ...this.optionalValue("warmUp", written.warmUp, { path, dimension: "time" }),
      mains: {
        voltages: list(written.mains.voltages, "conditions.mains.voltages", "voltage"),
        tolerance: faults.limit(written.mains.tolerance, "conditions.mains.tolerance", "ratio"),
        frequencies: list(written.mains.frequencies, "conditions.mains.frequencies", "frequency"),
      },
      instant: faults.positive(written.instant, "conditions.instant", "time"),
      products: written.products ?? "passive",
      yearsSinceManufacture: faults.limit(
        written.sinceManufacture ?? "1 year",
        "conditions.sinceManufacture",
        "years",
      ),
      yearsSinceAdjustment: faults.limit(
        written.sinceAdjustment ?? "1 year",
        "conditions.sinceAdjustment",
        "years",
      ),
      readingsAveraged: written.readingsAveraged ?? 1,
      noiseCut,
    };
  }
}
