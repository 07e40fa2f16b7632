// Part of the checker of certificates, which shares no code with the search.
import type { Certificate, CertificateRow } from "../certificate.ts";
import { refuse } from "./fixed-point.ts";

const PRIME = (1n << 61n) - 1n;

function residue(value: bigint): bigint {
  const rest = value % PRIME;
  return rest < 0n ? rest + PRIME : rest;
}

/** Inverse modulo the prime, by Fermat. */
function inverse(value: bigint): bigint {
  if (value === 0n) refuse("an unlucky division in the test of identity");
  let [result, base, exponent] = [1n, value, PRIME - 2n];
  for (; exponent > 0n; exponent >>= 1n) {
    if (exponent & 1n) result = residue(result * base);
    base = residue(base * base);
  }
  return result;
}

/** A function modulo a prime at a random point; what is no rational operation is an opaque mix. */
function modular(rows: readonly CertificateRow[], point: ReadonlyMap<string, bigint>): bigint {
  const values: bigint[] = [];
  for (const row of rows) {
    const a = values[row[1] as number] ?? 0n;
    const b = values[row[2] as number] ?? 0n;
    const opaque = (mark: bigint): bigint => residue((a + mark) * (a * 31n + b + mark * mark));
    switch (row[0]) {
      case "decimal": {
        const fraction = row[1].split(".")[1] ?? "";
        const digits = residue(BigInt(row[1].replace(".", "")));
        values.push(residue(digits * inverse(residue(10n ** BigInt(fraction.length)))));
        break;
      }
      case "symbol":
        values.push(point.get(row[1]) ?? refuse(`the unknown symbol ${row[1]}`));
        break;
      case "negate":
        values.push(residue(-a));
        break;
      case "+":
        values.push(residue(a + b));
        break;
      case "-":
        values.push(residue(a - b));
        break;
      case "*":
        values.push(residue(a * b));
        break;
      case "/":
        values.push(residue(a * inverse(b)));
        break;
      case "^": {
        let result = 1n;
        for (let count = 0; count < row[2]; count += 1) result = residue(result * a);
        values.push(result);
        break;
      }
      default:
        values.push(opaque(BigInt([...row[0]].reduce((sum, c) => sum * 131 + c.charCodeAt(0), 7))));
    }
  }
  return values.at(-1)!;
}

/**
 * Both forms of the error are the same function: they agree at random points modulo 2^61 - 1. Two
 * rational functions of this size that differ agree at a random point with a chance below 1e-12.
 */
export function confirmIdentity({ functions, symbols }: Certificate): void {
  let state = 0x9e3779b97f4a7c15n;
  const random = (): bigint => {
    state = (state * 6364136223846793005n + 1442695040888963407n) & ((1n << 64n) - 1n);
    return residue(state >> 3n);
  };
  for (let trial = 0; trial < 4; trial += 1) {
    const point = new Map(symbols.map(({ name }) => [name, random()]));
    if (modular(functions.bounded, point) !== modular(functions.provable, point))
      refuse("a proven form that differs from the published equation");
  }
}
