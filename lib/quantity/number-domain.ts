import { OutsideDomainError } from "../errors.ts";

/**
 * Names a plain number for the sentence of an error: `quantity` "input resistance", `unit` "ohm".
 */
export interface NamedNumber {
  readonly quantity: string;
  readonly value: number;
  /** SI unit behind the value; "1" for a ratio. */
  readonly unit: string;
}

function refuse(number: NamedNumber, permitted: string): never {
  const unit = number.unit === "1" ? "" : ` ${number.unit}`;
  throw new OutsideDomainError({
    path: "",
    quantity: number.quantity,
    permitted,
    received: `${number.value}${unit}`,
  });
}

/** Throws OutsideDomainError unless every number is finite. */
export function requireFinite(numbers: readonly NamedNumber[]): void {
  for (const number of numbers) {
    if (!Number.isFinite(number.value)) refuse(number, "a finite number");
  }
}

/** Throws OutsideDomainError unless every number is finite and above zero. */
export function requirePositive(numbers: readonly NamedNumber[]): void {
  requireFinite(numbers);
  for (const number of numbers) {
    if (number.value <= 0) refuse(number, "greater than zero");
  }
}

/** Throws OutsideDomainError unless every number is finite and not below zero. */
export function requireNotNegative(numbers: readonly NamedNumber[]): void {
  requireFinite(numbers);
  for (const number of numbers) {
    if (number.value < 0) refuse(number, "zero or above");
  }
}
