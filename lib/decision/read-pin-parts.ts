import {
  array,
  exactOptional,
  maxLength,
  minLength,
  number,
  pipe,
  safeParse,
  strictObject,
  strictTuple,
  string,
  union,
} from "valibot";
import { FaultList } from "../design/fault-list.ts";
import { interval } from "../interval/interval.ts";
import type { Interval } from "../interval/interval.ts";
import type { Dimension } from "../quantity/dimension.ts";
import type { PinPart } from "./pin-impedance.ts";

const written = union([string(), number()]);
const limits = union([written, strictTuple([written, written])]);
type Written = string | number;

const documentSchema = strictObject({
  parts: pipe(
    array(
      strictObject({
        name: pipe(string(), minLength(1), maxLength(100)),
        resistance: exactOptional(limits),
        capacitance: exactOptional(limits),
      }),
    ),
    minLength(1),
  ),
});

function range(
  faults: FaultList,
  value: Written | [Written, Written],
  at: { readonly path: string; readonly dimension: Dimension },
): Interval {
  const [low, high] = Array.isArray(value) ? value : [value];
  const lower = faults.value(low, at.path, at.dimension);
  const upper = high === undefined ? lower : faults.value(high, at.path, at.dimension);
  if (lower.sign() >= 0 && lower.compare(upper) <= 0)
    return interval(lower.lowerNumber(), upper.upperNumber());
  faults.add({
    path: at.path,
    quantity: "value",
    permitted: "zero or above, its limits in order",
    received: `${lower.toString()} to ${upper.toString()}`,
  });
  return interval(0, 0);
}

/**
 * Reads the parts between the pins beside the divider: `{"parts": [{"name": "lead", "resistance":
 * ["1 Tohm", "10 Tohm"], "capacitance": "100 pF"}]}`; one value or two limits, with units. Throws
 * InvalidInputError with every fault.
 */
export function readPinParts(document: unknown): readonly PinPart[] {
  const faults = new FaultList();
  const read = safeParse(documentSchema, document);
  if (!read.success) {
    for (const issue of read.issues) {
      const path = (issue.path ?? []).map(({ key }) => String(key)).join(".");
      const { expected, received } = issue;
      faults.add({ path, quantity: "entry", permitted: expected ?? "as described", received });
    }
    faults.throwIfAny("parts between the pins");
    return [];
  }
  const parts = read.output.parts.map((part, index): PinPart => {
    const at = (field: "resistance" | "capacitance") => ({
      path: `parts[${index}].${field}`,
      dimension: field,
    });
    return {
      name: part.name,
      ...(part.resistance === undefined
        ? {}
        : { resistance: range(faults, part.resistance, at("resistance")) }),
      ...(part.capacitance === undefined
        ? {}
        : { capacitance: range(faults, part.capacitance, at("capacitance")) }),
    };
  });
  faults.throwIfAny("parts between the pins");
  return parts;
}
