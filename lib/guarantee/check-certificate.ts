// A checker of certificates that shares no code with the search: fixed-point interval arithmetic
// on big integers with 128 fraction bits, every operation rounded outward. It can be read alone,
// with the files of `checker`.
import type { Certificate, CertificateCodeClaim, CertificateSide } from "./certificate.ts";
import { Rows } from "./checker/checked-rows.ts";
import { BITS, ONE, Refusal, decimalOf, doubleOf, most, refuse } from "./checker/fixed-point.ts";
import type { Box, Fixed } from "./checker/fixed-point.ts";
import { indicationOf } from "./checker/indication-of-code.ts";
import { proven, signed, withSide } from "./checker/proven-maximum.ts";
import type { Subject } from "./checker/proven-maximum.ts";
import { confirmIdentity } from "./checker/same-function.ts";

/** Outcome of a check. */
export interface CertificateCheck {
  /** Every step of every band was confirmed. */
  readonly confirmed: boolean;
  readonly bands: number;
  readonly steps: number;
  /** Steps that were not, each with the band and the reason. */
  readonly refusals: readonly string[];
}

/** Checks the claims of one certificate. */
class Checker {
  private readonly certificate: Certificate;
  private readonly limits: Box;
  private readonly error: Rows;
  private readonly code: Rows;
  steps = 0;

  constructor(certificate: Certificate) {
    const { symbols, functions } = certificate;
    const names = symbols.map(({ name }) => name);
    this.certificate = certificate;
    this.limits = symbols.map(({ lower, upper }) => ({
      low: decimalOf(lower).low,
      high: decimalOf(upper).high,
    }));
    this.error = new Rows(functions.provable, names);
    this.code = new Rows(functions.code, names);
  }

  private subject(rows: Rows, sign: 1 | -1): Subject {
    return {
      rows,
      sign,
      count: () => {
        this.steps += 1;
      },
    };
  }

  /** The code, or its negative, stays below claim + 1/2 from the band's end to the voltage. */
  private confirmCode(claim: CertificateCodeClaim, from: bigint, sign: 1 | -1, room: bigint): void {
    const to = doubleOf(claim.voltage);
    if (to.high < from) refuse(`a threshold at ${claim.voltage} V before the band`);
    const part: Fixed = { low: from, high: to.high };
    const box = withSide(this.limits, 0, signed(part, sign));
    const bound = proven(this.subject(this.code, sign), box, claim.step);
    if (bound >= (BigInt(claim.code) << BITS) + room)
      refuse(`code ${sign * claim.code} can occur up to ${sign * claim.voltage} V`);
  }

  private confirmCodes(side: CertificateSide, band: Fixed, sign: 1 | -1): bigint {
    const { by } = side;
    const { indication } = this.certificate.functions;
    if (by.kind !== "codes" || indication === undefined) return refuse("codes without a table");
    const half = ONE / 2n;
    const ends = signed(band, sign);
    if (doubleOf(by.last.voltage).low < ends.high) refuse("codes beyond the end of the band");
    this.confirmCode(by.first, ends.low, sign, half);
    this.confirmCode(by.last, ends.low, sign, half);
    const errorFrom = (code: number, voltage: bigint): bigint =>
      signed(indicationOf(indication, BigInt(sign * code)), sign).high - voltage;
    let largest = errorFrom(by.first.code, ends.low);
    for (let code = by.first.code + 1; code <= by.last.code; code += 1) {
      const claim = by.thresholds.find((threshold) => threshold.code === code);
      // A threshold is proven half a code lower: the code itself cannot occur.
      if (claim !== undefined) this.confirmCode(claim, ends.low, sign, -half);
      const from = claim === undefined ? ends.low : doubleOf(claim.voltage).low;
      largest = most(largest, errorFrom(code, from));
    }
    return largest;
  }

  private confirmSide(band: Fixed, side: CertificateSide, sign: 1 | -1): void {
    const largest =
      side.by.kind === "codes"
        ? this.confirmCodes(side, band, sign)
        : proven(this.subject(this.error, sign), withSide(this.limits, 0, band), side.by.step);
    const claimed = signed(doubleOf(side.proven), sign);
    if (largest > claimed.low)
      refuse(
        `a larger error, ${Number(largest >> (BITS - 60n)) / 2 ** 60} V, than claimed, ${side.proven} V`,
      );
  }

  check(band: Certificate["bands"][number]): string[] {
    const refusals: string[] = [];
    const voltages: Fixed = { low: doubleOf(band.lower).low, high: doubleOf(band.upper).high };
    for (const [name, side, sign] of [
      ["high", band.high, 1],
      ["low", band.low, -1],
    ] as const) {
      try {
        this.confirmSide(voltages, side, sign);
      } catch (error) {
        if (!(error instanceof Refusal)) throw error;
        refusals.push(`${name} side of ${band.lower} V to ${band.upper} V: ${error.message}`);
      }
    }
    return refusals;
  }
}

/**
 * Confirms a certificate: the proven form is the published equation, and every step of every proof
 * holds in arithmetic of its own. `progress` is called after each band.
 */
export function checkCertificate(
  certificate: Certificate,
  progress: (done: number, of: number) => void = () => undefined,
): CertificateCheck {
  const refusals: string[] = [];
  const checker = new Checker(certificate);
  try {
    confirmIdentity(certificate);
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    refusals.push(error.message);
  }
  const { bands } = certificate;
  for (const [index, band] of bands.entries()) {
    refusals.push(...checker.check(band));
    progress(index + 1, bands.length);
  }
  return {
    confirmed: refusals.length === 0,
    bands: bands.length,
    steps: checker.steps,
    refusals,
  };
}
