import type { FrontEnd } from "./front-end.ts";

/** Rounds of the fixed point for the current that leaks past the string. */
const ROUNDS = 8;

/**
 * The divider at rest. The network is solved with the upper leg at no voltage; what its voltage
 * coefficients change is a static curve between that node voltage and the real one.
 */
export class StaticTransfer {
  private readonly frontEnd: FrontEnd;
  /** S of the upper leg at no voltage, leakage across it included. */
  readonly upperSiemens: number;
  private readonly others: number;
  private readonly injected: number;

  constructor(frontEnd: FrontEnd) {
    this.frontEnd = frontEnd;
    const ohm = frontEnd.upper.reduce((sum, part) => sum + part.count * part.ohm, 0);
    this.upperSiemens = 1 / ohm + frontEnd.acrossUpper;
    this.others = frontEnd.lower;
    this.injected = frontEnd.bias * frontEnd.lower + frontEnd.current;
    for (const { siemens, volts } of frontEnd.leaks) {
      this.others += siemens;
      this.injected += siemens * volts;
    }
  }

  /** Ohm of the string while it carries a current: each part's voltage is its own resistance's. */
  private stringOhm(current: number): number {
    const { upper } = this.frontEnd;
    const size = Math.abs(current);
    let sum = 0;
    for (let index = 0; index < upper.length; index += 1) {
      const { count, ohm, voltageCoefficient } = upper[index]!;
      sum += (count * ohm) / (1 - voltageCoefficient * size * ohm);
    }
    return sum;
  }

  /** Voltage across the upper leg for the current through string and leakage together. */
  private across(current: number): number {
    const { acrossUpper } = this.frontEnd;
    let through = current;
    let volts = through * this.stringOhm(through);
    if (acrossUpper === 0) return volts;
    for (let round = 0; round < ROUNDS; round += 1) {
      const ohm = this.stringOhm(through);
      volts = current / (1 / ohm + acrossUpper);
      const next = volts / ohm;
      // The same current again gives the same voltage again.
      if (next === through) break;
      through = next;
    }
    return volts;
  }

  /** Node voltage of the network with the leg at no voltage, for a pin voltage. */
  linearNode(pin: number): number {
    return (pin * this.upperSiemens + this.injected) / (this.upperSiemens + this.others);
  }

  /** Pin voltage that gives a node voltage of that network. */
  pinOfLinear(node: number): number {
    return (node * (this.upperSiemens + this.others) - this.injected) / this.upperSiemens;
  }

  /** Pin voltage at which the real node voltage is reached. */
  pinOfReal(node: number): number {
    return node + this.across(node * this.others - this.injected);
  }

  /** Node voltage of the network with the leg at no voltage, where the real one is `node`. */
  linearOfReal(node: number): number {
    return this.linearNode(this.pinOfReal(node));
  }

  /** Real node voltage for a pin voltage: the inverse of {@link pinOfReal} by Newton steps. */
  realNode(pin: number): number {
    let node = this.linearNode(pin);
    const slope = 1 / (1 + this.others / this.upperSiemens);
    for (let step = 0; step < ROUNDS; step += 1) node -= (this.pinOfReal(node) - pin) * slope;
    return node;
  }
}

/** Place of a pin voltage at rest on the converter's straight line, LSB, before rounding. */
export function positionOfPin(frontEnd: FrontEnd, pin: number): number {
  const { buffer, converter } = frontEnd;
  const node = new StaticTransfer(frontEnd).realNode(pin);
  const output = buffer.gain * (node * (1 + buffer.commonMode) + buffer.offset);
  return converter.slope * output + converter.offset;
}
