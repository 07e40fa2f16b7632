import { Decimal } from "./decimal.ts";

const RESISTANCE: Readonly<Record<string, number>> = { R: 0, K: 3, k: 3, M: 6, G: 9, T: 12 };
const CAPACITANCE: Readonly<Record<string, number>> = { p: -12, n: -9, u: -6, m: -3, F: 0 };

const BEHIND_DIGITS = /^(\d{1,4})([A-Za-z])(\d{0,4})$/;
const LEADING = /^([A-Za-z])(\d{1,4})$/;

/**
 * Reads the letter-and-digit code of a resistance ("4R7", "24M9", "100K", "R47") in ohm or of a
 * capacitance ("4n7", "22p", "p33") in farad; micro is "u". The letter stands for the decimal
 * point. Undefined when the text is no such code.
 *
 * Source: IEC 60062, clause on letter and digit codes (from memory).
 */
export function readRkmCode(
  text: string,
  dimension: "resistance" | "capacitance",
): Decimal | undefined {
  const behind = BEHIND_DIGITS.exec(text);
  const leading = LEADING.exec(text);
  const letter = behind?.[2] ?? leading?.[1];
  if (letter === undefined) return undefined;
  // A resistance may lead with R only: "M10" is no code of the standard.
  if (leading !== null && dimension === "resistance" && letter !== "R") return undefined;
  const exponent = (dimension === "resistance" ? RESISTANCE : CAPACITANCE)[letter];
  if (exponent === undefined) return undefined;
  const fraction = behind?.[3] ?? leading?.[2] ?? "";
  const digits = BigInt(`${behind?.[1] ?? "0"}${fraction}`);
  return Decimal.ofScaled(digits, exponent - fraction.length);
}
