import { Decimal } from "../quantity/decimal.ts";
import { formatQuantity } from "../quantity/format.ts";
import type { Design, Range, ResistorGroup } from "./design.ts";
import type { FaultList } from "./fault-list.ts";
import { highestCrest } from "./node-quantities.ts";
import { scalingConstants } from "./scaling-constants.ts";

const DIGITS = 20;

/** Integers of this many bits are exact in the doubles of any evaluator of the equation. */
const DOUBLE_BITS = 53;

function volts(value: Decimal): string {
  return formatQuantity(value.toNumber(), "voltage", { significantDigits: 5 });
}

function largestVoltage(design: Design): Decimal {
  const { lower, upper } = design.measuringInterval;
  return Decimal.max(lower.absolute(), upper.absolute());
}

function checkNames(design: Design, faults: FaultList): void {
  const { upper, lower, networks } = design.divider;
  const seen = new Map<string, string>([
    ...["ambient", "supply", "bias", "board", "buffer", "reference", "adc", "clock"].map(
      (name) => [name, "a name the project uses itself"] as const,
    ),
    ...["noise", "interference", "applied", "sampling", "filter", "latency", "grid"].map(
      (name) => [name, "a name the project uses itself"] as const,
    ),
  ]);
  for (const { id, path } of [...upper, ...lower, ...networks, ...design.currents]) {
    const earlier = seen.get(id);
    if (earlier !== undefined) {
      faults.add({
        path,
        quantity: "name of a part",
        permitted: "used once",
        received: JSON.stringify(id),
        hint: `it already stands for ${earlier}`,
      });
    }
    seen.set(id, path);
  }
  for (const { network, path } of [...upper, ...lower]) {
    if (network === undefined || networks.some(({ id }) => id === network)) continue;
    faults.add({
      path: `${path}.network`,
      quantity: "network",
      permitted: "one of divider.networks",
      received: JSON.stringify(network),
    });
  }
}

function checkMains(design: Design, faults: FaultList): void {
  const { measuringInterval, conditions } = design;
  const crest = highestCrest(design);
  const carries = (end: Decimal): boolean => end.absolute().compare(crest) >= 0;
  const bothWays = measuringInterval.lower.sign() < 0;
  if (!carries(measuringInterval.upper) || (bothWays && !carries(measuringInterval.lower))) {
    faults.add({
      path: "measuringInterval",
      quantity: "measuring interval",
      permitted: `wide enough for the crest of the highest rated mains, ${volts(crest)}`,
      received: `${volts(measuringInterval.lower)} to ${volts(measuringInterval.upper)}`,
      hint: "the crest is the r.m.s. voltage with its tolerance times the root of two",
    });
  }
  if (conditions.products === "other" && (design.timing ?? design.filter) !== undefined) {
    faults.add({
      path: "conditions.products",
      quantity: "kind of the tested products",
      permitted: '"passive" where timing or filter are part of the error',
      received: '"other"',
      hint: "the bound on the slope holds for sums of decaying exponentials only",
    });
  }
}

function checkConverter(design: Design, faults: FaultList): void {
  const { adc, buffer, timing } = design;
  const separate = [adc.offset, adc.gainError, adc.integralNonlinearity];
  const both =
    adc.totalUnadjustedError !== undefined && separate.some((limits) => limits !== undefined);
  const neither =
    adc.totalUnadjustedError === undefined && separate.some((limits) => limits === undefined);
  if (both || neither) {
    faults.add({
      path: "adc",
      quantity: "errors of the converter",
      permitted:
        "either totalUnadjustedError, or offset, gainError and integralNonlinearity together",
      received: both ? "both" : "an incomplete set",
    });
  }
  if (adc.bits > 24) {
    faults.add({
      path: "adc.bits",
      quantity: "bits",
      permitted: "4 to 24",
      received: `${adc.bits}`,
    });
  }
  if (adc.sampling !== undefined && buffer === undefined && timing === undefined) {
    faults.add({
      path: "adc.sampling",
      quantity: "sampling capacitor",
      permitted: "given together with timing.sampleRate where no buffer drives it",
      received: "no timing",
    });
  }
}

/** Codes at both ends of the measuring interval, nominal, must lie inside the converter's. */
function checkSpan(design: Design, faults: FaultList): void {
  const { adc, measuringInterval, buffer, reference } = design;
  const { codesPerVolt, zeroCode } = scalingConstants(design);
  const count = Decimal.ofInteger(2n ** BigInt(adc.bits));
  const half = count.multiply(Decimal.parse("0.5"));
  const [lowest, highest] =
    adc.input === "unipolar" ? [Decimal.zero, count] : [half.negate(), half];
  const lsb = reference.voltage.multiply(adc.spanRatio).divide(count, DIGITS, "down");
  const ends: readonly (readonly [string, Decimal])[] = [
    ["lower", measuringInterval.lower],
    ["upper", measuringInterval.upper],
  ];
  for (const [end, voltage] of ends) {
    const code = voltage.multiply(codesPerVolt).add(zeroCode);
    if (code.compare(lowest) < 0 || code.compare(highest) >= 0) {
      faults.add({
        path: "measuringInterval",
        quantity: `code at the ${end} end of the measuring interval`,
        permitted: `${lowest.toString()} to ${highest.toString()}`,
        received: `${code.roundDown(1).toString()} at ${volts(voltage)}`,
        hint: "change the divider, the bias or the converter's span",
      });
    }
    if (buffer === undefined) continue;
    const output = code.multiply(lsb);
    if (output.compare(buffer.swing.lower) < 0 || output.compare(buffer.swing.upper) > 0) {
      faults.add({
        path: "buffer.swing",
        quantity: `buffer output at the ${end} end of the measuring interval`,
        permitted: `${volts(buffer.swing.lower)} to ${volts(buffer.swing.upper)}`,
        received: volts(output),
      });
    }
  }
}

function checkRatings(design: Design, faults: FaultList): void {
  const most = largestVoltage(design);
  const { upper } = design.divider;
  const resistanceOf = ({ count, resistance }: ResistorGroup): Decimal =>
    resistance.multiply(Decimal.ofInteger(count));
  const total = upper.reduce((sum, group) => sum.add(resistanceOf(group)), Decimal.zero);
  const parts = upper.reduce((sum, { count }) => sum + count, 0);
  const largest = upper.reduce((value, part) => Decimal.max(value, part.resistance), Decimal.zero);
  for (const group of upper) {
    const remaining = parts > 1 ? total.subtract(largest) : total;
    const cases = [
      ["in the string", total],
      ...(parts > 1 ? [["with one part of the string shorted", remaining] as const] : []),
    ] as const;
    for (const [circumstance, resistance] of cases) {
      if (resistance.sign() <= 0) continue;
      const voltage = most.multiply(group.resistance).divide(resistance, DIGITS, "up");
      const power = voltage.multiply(voltage).divide(group.resistance, DIGITS, "up");
      if (voltage.compare(group.rating.voltage) > 0) {
        faults.add({
          path: `${group.path}.rating.voltage`,
          quantity: `working voltage ${circumstance}`,
          permitted: `at least ${volts(voltage)}`,
          received: volts(group.rating.voltage),
          hint: "use more parts in series or parts with a higher rating",
        });
      }
      if (power.compare(group.rating.power) > 0) {
        faults.add({
          path: `${group.path}.rating.power`,
          quantity: `dissipation ${circumstance}`,
          permitted: `at least ${formatQuantity(power.toNumber(), "power", { significantDigits: 3 })}`,
          received: formatQuantity(group.rating.power.toNumber(), "power", {
            significantDigits: 3,
          }),
        });
      }
    }
  }
}

function inside(range: Range, value: Decimal): boolean {
  return value.compare(range.lower) >= 0 && value.compare(range.upper) <= 0;
}

function checkAdjustment(design: Design, faults: FaultList): void {
  const { adjustment, measuringInterval } = design;
  if (adjustment.kind === "none") return;
  const points =
    adjustment.kind === "gain"
      ? ([["at", adjustment.at.voltage]] as const)
      : ([
          ["low", adjustment.low.voltage],
          ["high", adjustment.high.voltage],
        ] as const);
  for (const [key, voltage] of points) {
    if (inside(measuringInterval, voltage)) continue;
    faults.add({
      path: `adjustment.${key}.voltage`,
      quantity: "adjustment voltage",
      permitted: "inside the measuring interval",
      received: volts(voltage),
    });
  }
  const span = measuringInterval.upper.subtract(measuringInterval.lower);
  const distance =
    adjustment.kind === "gain"
      ? adjustment.at.voltage
      : adjustment.high.voltage.subtract(adjustment.low.voltage);
  if (distance.multiply(Decimal.ofInteger(20)).compare(span) < 0) {
    faults.add({
      path: "adjustment",
      quantity: adjustment.kind === "gain" ? "adjustment voltage" : "distance of the two points",
      permitted: "at least a twentieth of the measuring interval, the high point above the low",
      received: volts(distance),
    });
  }
}

function checkTemperatures(design: Design, faults: FaultList): void {
  const { reference, conditions, adjustment } = design;
  const ambients: readonly (readonly [string, Range])[] = [
    ["conditions.ambient", conditions.ambientCelsius],
    ...(adjustment.kind === "none"
      ? []
      : [["adjustment.ambient", adjustment.ambientCelsius] as const]),
  ];
  for (const [path, range] of ambients) {
    if (inside(reference.boxCelsius, range.lower) && inside(reference.boxCelsius, range.upper))
      continue;
    faults.add({
      path,
      quantity: "ambient temperature",
      permitted: `inside the range for which the reference is specified, ${reference.boxCelsius.lower.toString()} to ${reference.boxCelsius.upper.toString()} degC`,
      received: `${range.lower.toString()} to ${range.upper.toString()} degC`,
    });
  }
}

function checkScaling(design: Design, faults: FaultList): void {
  const { scaling, timing, filter, conditions } = design;
  const { multiplier, addend } = scalingConstants(design);
  if (scaling.fractionBits > 30 || multiplier <= 0n) {
    faults.add({
      path: "scaling.fractionBits",
      quantity: "fraction bits",
      permitted: "0 to 30, and enough for a stored multiplier greater than zero",
      received: `${scaling.fractionBits}, multiplier ${multiplier}`,
    });
  }
  // Constants found by adjustment differ from those of the drawing by the tolerances of the parts.
  const product = (multiplier * 2n ** BigInt(design.adc.bits) * 21n) / 20n;
  const largest = product + (addend < 0n ? -addend : addend) / 20n;
  const width = Math.min(scaling.intermediateBits - 1, DOUBLE_BITS);
  if (largest >= 2n ** BigInt(width)) {
    faults.add({
      path: "scaling",
      quantity: "code times multiplier",
      permitted: `below 2^${width}, so that it fits the intermediate result and a double`,
      received: `up to ${largest}`,
      hint: "use fewer fraction bits, a coarser result unit or wider intermediate results",
    });
  }
  const { displayResolution, resultUnit } = scaling;
  if (displayResolution !== undefined && displayResolution.compare(resultUnit) < 0) {
    faults.add({
      path: "scaling.displayResolution",
      quantity: "display resolution",
      permitted: "the result unit or coarser",
      received: volts(displayResolution),
    });
  }
  const twentieth = conditions.instant.multiply(Decimal.parse("0.05"));
  const hundredth = conditions.instant.multiply(Decimal.parse("0.01"));
  const slow: readonly (readonly [string, string, Decimal | undefined, Decimal])[] = [
    ["timing.window.duration", "averaging window", timing?.window?.duration, twentieth],
    ["filter.timeConstant", "filter time constant", filter?.timeConstant, hundredth],
    ["timing.latency", "latency", timing?.latency.upper, twentieth],
    ["timing.latency", "latency", timing?.latency.lower.absolute(), twentieth],
  ];
  for (const [path, quantity, value, most] of slow) {
    if (value === undefined || value.compare(most) <= 0) continue;
    faults.add({
      path,
      quantity,
      permitted: `at most ${formatQuantity(most.toNumber(), "time", { significantDigits: 3 })}`,
      received: formatQuantity(value.toNumber(), "time", { significantDigits: 4 }),
      hint: "beyond that the bound on the slope of the decay says nothing useful",
    });
  }
}

function checkRequirements({ requirements, measuringInterval }: Design, faults: FaultList): void {
  const most = Decimal.max(measuringInterval.lower.absolute(), measuringInterval.upper.absolute());
  for (const [index, { at = [], to }] of requirements.entries()) {
    const path = `requirements[${index}]`;
    for (const voltage of at) {
      if (inside(measuringInterval, voltage)) continue;
      faults.add({
        path: `${path}.at`,
        quantity: "voltage of a requirement",
        permitted: "inside the measuring interval",
        received: volts(voltage),
      });
    }
    if (to === undefined || to.compare(most) <= 0) continue;
    faults.add({
      path: `${path}.to`,
      quantity: "upper end of a requirement",
      permitted: `at most ${volts(most)}, where the measuring interval ends`,
      received: volts(to),
    });
  }
}

/** Notes every fault in the relations between the figures of a design. */
export function checkRelations(design: Design, faults: FaultList): void {
  checkNames(design, faults);
  checkMains(design, faults);
  checkConverter(design, faults);
  checkSpan(design, faults);
  checkRatings(design, faults);
  checkAdjustment(design, faults);
  checkTemperatures(design, faults);
  checkScaling(design, faults);
  checkRequirements(design, faults);
}
