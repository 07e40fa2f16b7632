const SUPERSCRIPTS = "⁰¹²³⁴⁵⁶⁷⁸⁹";

function superscript(exponent: number): string {
  const digits = [...String(Math.abs(exponent))].map((digit) => SUPERSCRIPTS[Number(digit)] ?? "");
  return `${exponent < 0 ? "⁻" : ""}${digits.join("")}`;
}

/**
 * A number to four significant digits, for reading and not for bounds, with its unit where that is
 * not 1: "0.0577", "2.31 × 10⁻⁵ 1/K".
 */
export function shortNumber(value: number, unit: string): string {
  const behind = unit === "" || unit === "1" ? "" : ` ${unit}`;
  if (value === 0) return `0${behind}`;
  const size = Math.abs(value);
  if (size >= 1e-3 && size < 1e6) return `${Number(value.toPrecision(4))}${behind}`;
  const [mantissa = "", exponent = "0"] = value.toExponential(3).split("e");
  return `${Number(mantissa)} × 10${superscript(Number(exponent))}${behind}`;
}
