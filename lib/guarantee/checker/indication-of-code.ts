// Part of the checker of certificates, which shares no code with the search.
import type { CertificateRow } from "../certificate.ts";
import { BITS, ceilDivide, floorDivide, refuse } from "./fixed-point.ts";
import type { Fixed } from "./fixed-point.ts";

/** Indication of a code, V, by the rows of the certificate; floors need exact fractions. */
export function indicationOf(rows: readonly CertificateRow[], code: bigint): Fixed {
  const values: [bigint, bigint][] = [];
  const whole = (text: string): [bigint, bigint] => {
    const [, sign = "", digits = "", fraction = ""] =
      /^(-?)(\d*)\.?(\d*)$/.exec(text) ?? refuse(text);
    return [BigInt(`${sign}${digits}${fraction}`), 10n ** BigInt(fraction.length)];
  };
  for (const row of rows) {
    const [a, b] = values[row[1] as number] ?? [0n, 1n];
    const [c, d] = values[row[2] as number] ?? [0n, 1n];
    switch (row[0]) {
      case "decimal":
        values.push(whole(row[1]));
        break;
      case "symbol":
        values.push([code, 1n]);
        break;
      case "floor":
        values.push([floorDivide(a, b), 1n]);
        break;
      case "+":
        values.push([a * d + c * b, b * d]);
        break;
      case "-":
        values.push([a * d - c * b, b * d]);
        break;
      case "*":
        values.push([a * c, b * d]);
        break;
      case "/":
        values.push(c < 0n ? [-a * d, -b * c] : [a * d, b * c]);
        break;
      default:
        refuse(`the operation ${row[0]} in an indication`);
    }
  }
  const [numerator, denominator] = values.at(-1)!;
  return {
    low: floorDivide(numerator << BITS, denominator),
    high: ceilDivide(numerator << BITS, denominator),
  };
}
