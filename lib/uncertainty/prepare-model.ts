import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import { symbolsOf } from "../expression/node.ts";
import type { Expression } from "../expression/node.ts";
import { parseInfix } from "../expression/parse-infix.ts";
import { distributionFaults } from "../statistics/distribution.ts";
import { expectationOf, standardUncertaintyOf } from "../statistics/distribution-moments.ts";
import { choleskyFactor } from "./cholesky.ts";
import type {
  Equation,
  InputQuantity,
  PreparedInput,
  PreparedModel,
  UncertaintyModel,
} from "./measurement-model.ts";
import { evaluateReadings, readingFaults } from "./readings.ts";

/** Two coefficients that mirror each other may differ by the rounding of their calculation. */
const ASYMMETRY = 1e-12;

/** What is wrong with one input; `names` gathers the names. */
export function inputFaults(input: InputQuantity, path: string, names: Set<string>): Fault[] {
  const { name, distribution, readings, degreesOfFreedom } = input;
  const faults: Fault[] = [];
  if (names.has(name)) {
    const permitted = "used for one input only";
    const received = JSON.stringify(name);
    faults.push({ path: `${path}.name`, quantity: "name of an input", permitted, received });
  }
  names.add(name);
  if ((distribution === undefined) === (readings === undefined)) {
    const received = distribution === undefined ? "neither" : "both";
    const permitted = "one of distribution and readings";
    faults.push({ path, quantity: `knowledge of ${name}`, permitted, received });
  }
  if (distribution !== undefined)
    faults.push(...distributionFaults(distribution, `${path}.distribution`));
  if (readings !== undefined) faults.push(...readingFaults(readings, `${path}.readings`));
  if (degreesOfFreedom !== undefined && !(degreesOfFreedom >= 1)) {
    const place = `${path}.degreesOfFreedom`;
    const received = String(degreesOfFreedom);
    const quantity = "degrees of freedom";
    faults.push({ path: place, quantity, permitted: "at least 1", received });
  }
  return faults;
}

function correlationFaults(matrix: readonly (readonly number[])[], size: number): Fault[] {
  const faults: Fault[] = [];
  const note = (path: string, permitted: string, received: string): void => {
    faults.push({ path, quantity: "correlation", permitted, received });
  };
  if (matrix.length !== size || matrix.some((row) => row.length !== size)) {
    const columns = matrix.map((row) => row.length).join(", ");
    note(
      "correlation",
      `${size} rows of ${size} coefficients, one per input`,
      `rows of ${columns}`,
    );
    return faults;
  }
  matrix.forEach((row, i) =>
    row.forEach((value, j) => {
      const place = `correlation[${i}][${j}]`;
      if (i === j && value !== 1) note(place, "1 on the diagonal", String(value));
      if (!(Math.abs(value) <= 1)) note(place, "-1 to 1", String(value));
      const mirror = matrix[j]![i]!;
      if (i < j && Math.abs(value - mirror) > ASYMMETRY)
        note(place, `equal to correlation[${j}][${i}], ${mirror}`, String(value));
    }),
  );
  if (faults.length === 0 && choleskyFactor(matrix) === undefined) {
    faults.push({
      path: "correlation",
      quantity: "correlation matrix",
      permitted: "positive definite",
      received: "a matrix with an eigenvalue at or below zero",
      hint: "a quantity that follows from others belongs into the equation, not into the matrix",
    });
  }
  return faults;
}

function equationOf(equation: Equation, path: string, faults: Fault[]): Expression | undefined {
  if (typeof equation === "object" && "kind" in equation) return equation;
  try {
    return parseInfix(
      typeof equation === "string" ? { infix: equation, path } : { ...equation, path },
    );
  } catch (error) {
    if (!(error instanceof InvalidInputError)) throw error;
    faults.push(...error.faults);
    return undefined;
  }
}

interface ReadEquations {
  readonly names: string[];
  readonly roots: Expression[];
}

function readEquations(
  equations: Readonly<Record<string, Equation>>,
  place: string,
  context: { readonly known: ReadonlySet<string>; readonly faults: Fault[] },
): ReadEquations {
  const names: string[] = [];
  const roots: Expression[] = [];
  for (const [name, equation] of Object.entries(equations)) {
    const path = `${place}.${name}`;
    const root = equationOf(equation, path, context.faults);
    if (root === undefined) continue;
    names.push(name);
    roots.push(root);
    for (const symbol of symbolsOf([root])) {
      if (context.known.has(symbol)) continue;
      const permitted = "the name of an input";
      const received = JSON.stringify(symbol);
      context.faults.push({ path, quantity: "symbol", permitted, received });
    }
  }
  return { names, roots };
}

/** Brings readings and distributions to one form. */
export function prepareInput(input: InputQuantity): PreparedInput {
  const { name, distribution, readings } = input;
  if (distribution !== undefined) {
    const own =
      distribution.shape === "studentT" ? distribution.degreesOfFreedom : Number.POSITIVE_INFINITY;
    return {
      name,
      estimate: expectationOf(distribution),
      standardUncertainty: standardUncertaintyOf(distribution),
      degreesOfFreedom: input.degreesOfFreedom ?? own,
      distribution,
    };
  }
  const { mean, standardUncertainty, degreesOfFreedom } = evaluateReadings(readings ?? []);
  return {
    name,
    estimate: mean,
    standardUncertainty,
    degreesOfFreedom: input.degreesOfFreedom ?? degreesOfFreedom,
    distribution: { shape: "studentT", mean, scale: standardUncertainty, degreesOfFreedom },
  };
}

function isIdentity(matrix: readonly (readonly number[])[]): boolean {
  return matrix.every((row, i) => row.every((value, j) => value === (i === j ? 1 : 0)));
}

/**
 * Checks a measurement model and reads its equations. Throws {@link InvalidInputError} with every
 * fault: limits the wrong way round, degrees of freedom below 1, a correlation matrix that is not
 * positive definite, an unknown symbol, an equation that cannot be read.
 */
export function prepareModel(model: UncertaintyModel): PreparedModel {
  const faults: Fault[] = [];
  const names = new Set<string>();
  model.inputs.forEach((input, index) =>
    faults.push(...inputFaults(input, `inputs[${index}]`, names)),
  );
  if (model.correlation !== undefined)
    faults.push(...correlationFaults(model.correlation, model.inputs.length));
  const context = { known: names, faults };
  const outputs = readEquations(model.outputs, "outputs", context);
  const guards = readEquations(model.unquantised ?? {}, "unquantised", context);
  if (Object.keys(model.outputs).length === 0) {
    const permitted = "at least 1";
    faults.push({ path: "outputs", quantity: "number of outputs", permitted, received: "0" });
  }
  // Readings that are all alike leave no distribution to draw from.
  model.inputs.forEach(({ readings, name }, index) => {
    if (readings === undefined || readings.length < 2) return;
    if (readings.some((reading) => reading !== readings[0])) return;
    const path = `inputs[${index}].readings`;
    const hint = "state the resolution as a distribution of its own";
    const quantity = `readings of ${name}`;
    faults.push({ path, quantity, permitted: "not all equal", received: "equal readings", hint });
  });
  if (faults.length > 0) throw new InvalidInputError("measurement model", faults);
  const correlation = model.correlation;
  return {
    outputNames: outputs.names,
    outputs: outputs.roots,
    guards: guards.roots,
    inputs: model.inputs.map(prepareInput),
    ...(correlation === undefined || isIdentity(correlation) ? {} : { correlation }),
  };
}
