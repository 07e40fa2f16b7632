import { Decimal } from "../quantity/decimal.ts";
import type { Design, ResistorGroup } from "./design.ts";
import type { Limits } from "./quantity.ts";
import { putDrift, putRatio, putRise, within } from "./quantity-register.ts";
import type { Register } from "./quantity-register.ts";

function total(groups: readonly ResistorGroup[]): Decimal {
  return groups.reduce(
    (sum, { count, resistance }) => sum.add(resistance.multiply(Decimal.ofInteger(count))),
    Decimal.zero,
  );
}

function magnitude(limits: Limits): Decimal {
  return Decimal.max(limits.lower.absolute(), limits.upper.absolute());
}

/** More than any voltage between the pins and the bias, V. */
function largestLegVoltage({ measuringInterval, divider, reference }: Design): Decimal {
  const { bias } = divider;
  const ofBias =
    bias.source === "ground"
      ? Decimal.zero
      : bias.source === "reference"
        ? bias.nominal.multiply(reference.voltage)
        : bias.nominal;
  const { lower, upper } = measuringInterval;
  return Decimal.max(lower.absolute(), upper.absolute())
    .add(ofBias.multiply(Decimal.parse("1.2")))
    .add(reference.voltage);
}

/** More than any voltage across the lower leg, V. */
function largestLowerVoltage(design: Design): Decimal {
  const { upper, lower } = design.divider;
  const share = total(lower).divide(total(upper), 20, "up").multiply(Decimal.parse("1.2"));
  return largestLegVoltage(design).multiply(share).add(design.reference.voltage);
}

/**
 * Limit of the relative difference between the voltage a part carries and its share of the leg
 * without voltage coefficients, in the solved network, equal parts of a group unlike inside their
 * limits.
 */
function voltageShareLimit(design: Design): Decimal {
  const { upper, lower } = design.divider;
  const most = (values: readonly Decimal[]): Decimal =>
    values.reduce((found, value) => Decimal.max(found, value), Decimal.zero);
  const spread = most(
    upper.map(({ tolerance, tempco }) =>
      magnitude(tolerance).add(magnitude(tempco).multiply(Decimal.ofInteger(100))),
    ),
  );
  const coefficient = most(
    upper.map(({ voltageCoefficient }) =>
      voltageCoefficient === undefined ? Decimal.zero : magnitude(voltageCoefficient),
    ),
  );
  // The part that carries most voltage changes most, and the others take up what it leaves.
  const share = most(upper.map(({ resistance }) => resistance)).divide(total(upper), 20, "up");
  const change = coefficient
    .multiply(largestLegVoltage(design))
    .multiply(share)
    .multiply(Decimal.parse("1.2"));
  const ofLeg =
    upper.length === 1
      ? total(lower).divide(total(upper), 20, "up").multiply(Decimal.ofInteger(2))
      : Decimal.parse("2.5");
  const unequal = spread.multiply(Decimal.ofInteger(2));
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
    const limit = voltageShareLimit(design);
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
  const most = largestLowerVoltage(design);
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
      lower: Decimal.min(Decimal.zero, coefficient.lower.multiply(most)),
      upper: Decimal.max(Decimal.zero, coefficient.upper.multiply(most)),
    }),
  );
}

/** Resistors, networks and bias. */
export function putDivider(register: Register, design: Design): void {
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
