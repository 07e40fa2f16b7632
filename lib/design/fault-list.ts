import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import { readLimit, readQuantity } from "../quantity/unit-text.ts";
import { Decimal } from "../quantity/decimal.ts";
import type { Dimension } from "../quantity/dimension.ts";

/** A value as a document holds it. */
export type Written = string | number;

function show(value: Written): string {
  return typeof value === "string" ? JSON.stringify(value) : String(value);
}

/**
 * Gathers the faults of a document while it is read, so that all are reported at once. Reading
 * methods return a stand-in value after a fault; nothing read is used once there is one.
 */
export class FaultList {
  readonly faults: Fault[] = [];
  /** Places of figures that came from computed doubles. */
  readonly inexact: string[] = [];

  /** Notes a fault. */
  add(fault: Fault): void {
    this.faults.push(fault);
  }

  /** Reads a value with its unit. */
  value(written: Written, path: string, dimension: Dimension): Decimal {
    return this.read(written, path, readQuantity(written, dimension));
  }

  /** Reads a value that must be greater than zero. */
  positive(written: Written, path: string, dimension: Dimension): Decimal {
    const value = this.value(written, path, dimension);
    if (value.sign() > 0) return value;
    this.add({
      path,
      quantity: "value",
      permitted: "greater than zero",
      received: show(written),
    });
    return Decimal.one;
  }

  /** Reads the magnitude of a limit on both sides of zero. */
  limit(written: Written, path: string, dimension: Dimension): Decimal {
    return this.read(written, path, readLimit(written, dimension));
  }

  private read(written: Written, path: string, read: ReturnType<typeof readQuantity>): Decimal {
    if (read.ok) {
      if (!read.typed) this.inexact.push(path);
      return read.value;
    }
    this.add({
      path,
      quantity: "value",
      permitted: read.permitted,
      received: show(written),
      ...(read.hint === undefined ? {} : { hint: read.hint }),
    });
    return Decimal.one;
  }

  /** Throws {@link InvalidInputError} with every fault found, if any. */
  throwIfAny(subject: string): void {
    if (this.faults.length > 0) throw new InvalidInputError(subject, this.faults);
  }
}
