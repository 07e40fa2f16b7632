import { add, multiply } from "../expression/build.ts";
import type { Expression } from "../expression/node.ts";

/** One affine stage of the chain: output = gain times input plus offset. */
export interface Stage {
  readonly gain: Expression;
  readonly offset: Expression;
}

/** Output of stages in a row. */
export function throughStages(input: Expression, stages: readonly Stage[]): Expression {
  return stages.reduce((value, { gain, offset }) => add(multiply(value, gain), offset), input);
}
