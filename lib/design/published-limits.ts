import { ACCESSIBLE_PART_LIMITS } from "./accessible-part-limits.ts";
import { APPLIANCE_DISCHARGE_LIMITS } from "./appliance-discharge-limits.ts";
import { EQUIPMENT_DISCHARGE_LIMITS } from "./equipment-discharge-limits.ts";
import { crestVoltage } from "./mains-limits.ts";
import type { PublishedLimit } from "./published-limit.ts";

/** A fixed voltage at which readings decide, and the lines that are drawn there. */
export interface LimitVoltage {
  /** V. */
  readonly voltage: number;
  /** Identifiers of the lines, in the order of {@link publishedLimits}. */
  readonly ids: readonly string[];
}

/** Share of the initial voltage that IEC 60950-1, 2.1.1.7 puts in place of 1/e = 0.3679. */
const TIME_CONSTANT_FRACTION = 0.37;

/**
 * Every clause that is known here, plug tests first. Figures are design aids: the current edition
 * of the standard decides, and where `advice` stands, part of the entry was recalled and not read.
 */
export function publishedLimits(): readonly PublishedLimit[] {
  return [...APPLIANCE_DISCHARGE_LIMITS, ...EQUIPMENT_DISCHARGE_LIMITS, ...ACCESSIBLE_PART_LIMITS];
}

/**
 * The distinct fixed voltages that are read a stated time after a disconnection, V, ascending, each
 * with its lines; a voltage that is only an alternative counts. Limits that depend on the
 * capacitance (60 V and above) or on the mains (see {@link timeConstantLineVoltage}) have no fixed
 * voltage and are not here.
 */
export function limitVoltages(): readonly LimitVoltage[] {
  const found = new Map<number, string[]>();
  for (const line of publishedLimits().flatMap((limit) => limit.lines)) {
    if (line.duration === undefined) continue;
    for (const limit of [line.limit, ...line.alternatives]) {
      if (limit.kind !== "voltage") continue;
      found.set(limit.voltage, [...(found.get(limit.voltage) ?? []), line.id]);
    }
  }
  return [...found.entries()]
    .map(([voltage, ids]) => ({ voltage, ids }))
    .sort((one, other) => one.voltage - other.voltage);
}

/**
 * Voltage to which a product may have fallen after one time constant when it was disconnected at
 * the crest of a mains of `rms` volts, V: 37 % of the crest, 125.58 V for 240 V. Throws
 * OutsideDomainError unless `rms` is finite and above zero.
 *
 * Source: IEC 60950-1, 2.1.1.7.
 */
export function timeConstantLineVoltage(rms: number): number {
  return TIME_CONSTANT_FRACTION * crestVoltage(rms);
}
