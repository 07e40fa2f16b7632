import { Decimal } from "../quantity/decimal.ts";
import type { Design, ResistorGroup } from "./design.ts";
import type { Limits } from "./quantity.ts";
import { putDrift, putRatio, putRise, within } from "./quantity-register.ts";
import type { Register } from "./quantity-register.ts";

/** Largest relative change of an upper-leg group by its voltage coefficient, and of its share. */
function voltageShareLimit(design: Design, group: ResistorGroup): Decimal {
  const { upper, lower } = design.divider;
  const total = (groups: readonly ResistorGroup[]): Decimal =>
    groups.reduce(
      (sum, { count, resistance }) => sum.add(resistance.multiply(Decimal.ofInteger(count))),
      Decimal.zero,
    );
  const magnitude = (limits: Limits): Decimal =>
    Decimal.max(limits.lower.absolute(), limits.upper.absolute());
  const legVoltage = Decimal.max(
    design.measuringInterval.lower.absolute(),
    design.measuringInterval.upper.absolute(),
  ).add(design.reference.voltage.multiply(Decimal.ofInteger(2)));
  const spread = upper.reduce((most, part) => {
    const own = magnitude(part.tolerance).add(
      magnitude(part.tempco).multiply(Decimal.ofInteger(100)),
    );
    return Decimal.max(most, own);
  }, Decimal.zero);
  const coefficient = upper.reduce(
    (most, part) =>
      part.voltageCoefficient === undefined
        ? most
        : Decimal.max(most, magnitude(part.voltageCoefficient)),
    Decimal.zero,
  );
  const share = group.resistance.divide(total(upper), 20, "up");
  // Relative change of a part at the top of the range, with room for unequal sharing.
  const change = coefficient.multiply(legVoltage).multiply(share).multiply(Decimal.parse("1.2"));
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
  const most = design.reference.voltage.multiply(Decimal.max(Decimal.one, design.adc.spanRatio));
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
