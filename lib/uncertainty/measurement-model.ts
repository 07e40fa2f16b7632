import type { InfixEquation } from "../expression/parse-infix.ts";
import type { Expression } from "../expression/node.ts";
import type { Distribution } from "../statistics/distribution.ts";

/**
 * An input quantity of a measurement model: what is known of it as a distribution (Type B), or
 * readings of it (Type A). Exactly one of the two.
 */
export interface InputQuantity {
  /** Name in the equations. */
  readonly name: string;
  readonly distribution?: Distribution;
  /**
   * Repeated independent readings, two at least. The estimate is their mean, the standard
   * uncertainty that of the mean; in the Monte Carlo a Student t distribution stands for them.
   *
   * Source: JCGM 100:2008, 4.2; JCGM 101:2008, 6.4.9.2.
   */
  readonly readings?: readonly number[];
  /**
   * How well the standard uncertainty itself is known; at least 1. When left out, that of the
   * readings or of the Student t, else infinite. Source: JCGM 100:2008, G.4.2.
   */
  readonly degreesOfFreedom?: number;
}

/** An equation: infix text, infix text with named parts, or an expression. */
export type Equation = string | InfixEquation | Expression;

/** A measurement model: outputs as functions of input quantities. */
export interface UncertaintyModel {
  /** Output quantities by name, each with its equation. */
  readonly outputs: Readonly<Record<string, Equation>>;
  readonly inputs: readonly InputQuantity[];
  /**
   * Correlation coefficients of the inputs, in their order: symmetric, ones on the diagonal,
   * positive definite. When left out the inputs are independent.
   */
  readonly correlation?: readonly (readonly number[])[];
  /**
   * For outputs that a quantiser rounds: the same reading before rounding. The Monte Carlo then
   * goes on until this is stable too, because the ends of a quantised interval can stand still
   * long before they are known.
   */
  readonly unquantised?: Readonly<Record<string, Equation>>;
}

/** What an input contributes once Type A and Type B are brought to one form. */
export interface PreparedInput {
  readonly name: string;
  readonly estimate: number;
  /** Standard uncertainty in the sense of JCGM 100. */
  readonly standardUncertainty: number;
  readonly degreesOfFreedom: number;
  /** The distribution that the Monte Carlo draws from. */
  readonly distribution: Distribution;
}

/** A checked model, its equations read. */
export interface PreparedModel {
  readonly outputNames: readonly string[];
  readonly outputs: readonly Expression[];
  readonly guards: readonly Expression[];
  readonly inputs: readonly PreparedInput[];
  /** Absent when all inputs are independent. */
  readonly correlation?: readonly (readonly number[])[];
}
