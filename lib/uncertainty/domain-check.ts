import type { Fault } from "../errors.ts";
import { InvalidInputError } from "../errors.ts";
import { toInfix } from "../expression/infix.ts";
import { topologicalOrder } from "../expression/node.ts";
import type { Expression } from "../expression/node.ts";
import { compileTape } from "../expression/tape.ts";
import { PlainEvaluator } from "../expression/evaluate.ts";
import { quantileOf } from "../statistics/quantile.ts";
import { ScrambledPoints, MOST_DIMENSIONS } from "../random/scrambled-points.ts";
import { streamOf } from "../random/stream.ts";
import type { PreparedModel } from "./measurement-model.ts";

/** An operand and what the model needs it to be. */
interface Restriction {
  readonly operand: Expression;
  readonly kind: "divisor" | "logarithm" | "root";
  readonly output: string;
}

const POINTS = 256;

function restrictionsOf(model: PreparedModel): Restriction[] {
  const found = new Map<Expression, Restriction>();
  model.outputs.forEach((root, index) => {
    const output = model.outputNames[index]!;
    for (const node of topologicalOrder([root])) {
      const kind =
        node.kind === "binary" && node.operation === "divide"
          ? "divisor"
          : node.kind === "unary" && node.operation === "log"
            ? "logarithm"
            : node.kind === "unary" && node.operation === "sqrt"
              ? "root"
              : undefined;
      if (kind === undefined) continue;
      const operand =
        node.kind === "binary" ? node.right : node.kind === "unary" ? node.operand : node;
      if (operand.kind !== "constant" && !found.has(operand))
        found.set(operand, { operand, kind, output });
    }
  });
  return [...found.values()];
}

/** Spread-out points of the domain; every second one in a corner of the bounded inputs. */
function* domainPoints(model: PreparedModel): Generator<Float64Array> {
  const { inputs } = model;
  const dimensions = Math.min(inputs.length, MOST_DIMENSIONS);
  const seeds = inputs.slice(0, dimensions).map(({ name }) => streamOf(name).identifier);
  const points = new ScrambledPoints(seeds);
  const point = new Float64Array(inputs.length);
  for (let index = 0; index < POINTS; index += 1) {
    inputs.forEach(({ distribution }, slot) => {
      const u = slot < dimensions ? points.coordinate(index, slot) : 0.5;
      const end = quantileOf(distribution, Math.round(u));
      const isCorner = index % 2 === 1 && Number.isFinite(end);
      point[slot] = isCorner ? end : quantileOf(distribution, u);
    });
    yield point;
  }
}

/**
 * Looks for a pole inside the domain that trials may step over: a divisor that takes both signs or
 * zero, a logarithm or root of a number that can be too small. A divisor of both signs passes zero
 * on the way, so that the output has no finite moments.
 *
 * Throws {@link InvalidInputError} with every such operand. That none is found proves nothing.
 */
export function checkDomain(model: PreparedModel): void {
  const restrictions = restrictionsOf(model);
  if (restrictions.length === 0 || model.inputs.length === 0) return;
  const names = model.inputs.map(({ name }) => name);
  const tape = compileTape(
    restrictions.map(({ operand }) => operand),
    names,
  );
  const evaluator = new PlainEvaluator(tape);
  const least = new Float64Array(restrictions.length).fill(Infinity);
  const greatest = new Float64Array(restrictions.length).fill(-Infinity);
  for (const point of domainPoints(model)) {
    evaluator.evaluate(point);
    restrictions.forEach((_, index) => {
      least[index] = Math.min(least[index]!, evaluator.root(index));
      greatest[index] = Math.max(greatest[index]!, evaluator.root(index));
    });
  }
  const faults: Fault[] = [];
  restrictions.forEach(({ operand, kind, output }, index) => {
    const [low, high] = [least[index]!, greatest[index]!];
    const isFine =
      kind === "divisor" ? low > 0 || high < 0 : kind === "logarithm" ? low > 0 : low >= 0;
    if (isFine) return;
    const shown = toInfix(operand).infix;
    faults.push({
      path: `outputs.${output}`,
      quantity: `${kind === "divisor" ? "divisor" : `operand of the ${kind}`} ${shown}`,
      permitted:
        kind === "divisor"
          ? "of one sign for all values that the inputs may take"
          : kind === "logarithm"
            ? "above zero for all values that the inputs may take"
            : "zero or above for all values that the inputs may take",
      received: `values from ${low} to ${high}`,
    });
  });
  if (faults.length > 0) throw new InvalidInputError("measurement model", faults);
}
