import { PlainEvaluator } from "../expression/evaluate.ts";
import { compileTape } from "../expression/tape.ts";
import type { MeasurementModel } from "../chain/measurement-model.ts";
import type { Domain } from "./domain.ts";

/** Effect of one quantity on the error. */
export interface Term {
  readonly slot: number;
  /** Volts per unit of the quantity at the worst point. */
  readonly sensitivity: number;
  /** How much of the error goes when the quantity alone returns to its nominal value, V. */
  readonly volts: number;
}

/** Sums that common practice forms from sensitivities at one point, V. */
export interface CommonSums {
  readonly linearSum: number;
  readonly rootSumSquare: number;
}

/** Breaks errors of a model down by quantity, on the bounded equation in plain doubles. */
export class TermAnalysis {
  private readonly evaluator: PlainEvaluator;
  private readonly domain: Domain;
  private readonly gradient: Float64Array;

  constructor(model: MeasurementModel, domain: Domain) {
    this.domain = domain;
    this.evaluator = new PlainEvaluator(compileTape([model.bounded], domain.names));
    this.gradient = new Float64Array(domain.names.length);
  }

  /** Terms at a point where the error is largest, largest first. */
  termsAt(point: Float64Array): readonly Term[] {
    const whole = this.evaluator.evaluate(point);
    this.evaluator.gradient(0, this.gradient);
    const sensitivities = this.gradient.slice();
    const moved = point.slice();
    const terms: Term[] = [];
    for (let slot = 1; slot < point.length; slot += 1) {
      moved[slot] = this.domain.nominal[slot]!;
      const volts = Math.abs(whole - this.evaluator.evaluate(moved));
      moved[slot] = point[slot]!;
      terms.push({ slot, sensitivity: sensitivities[slot]!, volts });
    }
    return terms.sort((one, other) => other.volts - one.volts);
  }

  /**
   * The sums a spreadsheet forms: sensitivities at the nominal point times the larger deviation,
   * added up or squared. Products of deviations, as tempco times temperature, are invisible to it,
   * so that it is formed with the ambient at its warmest, as a careful spreadsheet would.
   */
  commonSums(voltage: number): CommonSums {
    const box = this.domain.box({ lower: voltage, upper: voltage });
    const point = this.domain.nominalAt(voltage);
    const ambient = this.domain.slotOf.get("ambient_use");
    if (ambient !== undefined) point[ambient] = box.upper[ambient]!;
    this.evaluator.evaluate(point);
    this.evaluator.gradient(0, this.gradient);
    let linearSum = 0;
    let squares = 0;
    for (let slot = 1; slot < point.length; slot += 1) {
      const nominal = this.domain.nominal[slot]!;
      const deviation = Math.max(nominal - box.lower[slot]!, box.upper[slot]! - nominal);
      const part = Math.abs(this.gradient[slot]!) * deviation;
      linearSum += part;
      squares += part * part;
    }
    return { linearSum, rootSumSquare: Math.sqrt(squares) };
  }
}
