import { compile } from "mathjs";
import type { BudgetDocument } from "../../lib/report/budget-document.ts";

/** An equation as the budget's JSON carries it. */
export interface PrintedEquation {
  readonly definitions: readonly { readonly name: string; readonly infix: string }[];
  readonly error: string;
}

/**
 * A printed equation evaluated by mathjs, definitions in order. Returns the error and the value of
 * every definition. Nothing of the library takes part.
 */
export function evaluatedElsewhere(equation: PrintedEquation): (
  values: Readonly<Record<string, number>>,
) => {
  readonly error: number;
  readonly parts: ReadonlyMap<string, number>;
} {
  const definitions = equation.definitions.map(({ name, infix }) => ({
    name,
    code: compile(infix),
  }));
  const whole = compile(equation.error);
  return (values) => {
    const scope = new Map<string, number>(Object.entries(values));
    const parts = new Map<string, number>();
    for (const { name, code } of definitions) {
      const value = code.evaluate(scope) as number;
      scope.set(name, value);
      parts.set(name, value);
    }
    return { error: whole.evaluate(scope) as number, parts };
  };
}

/** Distance of a value from the edge of its quantiser that is nearest, in steps. */
export function distanceToEdge(argument: number, mode: "nearest" | "down"): number {
  const shifted = mode === "nearest" ? argument + 0.5 : argument;
  const fraction = shifted - Math.floor(shifted);
  return Math.min(fraction, 1 - fraction);
}

/** A document as another tool reads it: through its text. */
export function throughText(document: BudgetDocument): BudgetDocument {
  return JSON.parse(JSON.stringify(document)) as BudgetDocument;
}
