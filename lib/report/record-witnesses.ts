import { InvariantBrokenError } from "../errors.ts";
import { PlainEvaluator } from "../expression/evaluate.ts";
import { parseInfix } from "../expression/parse-infix.ts";
import { compileTape } from "../expression/tape.ts";
import type { BudgetDocument, BudgetRow, SymbolRow } from "./budget-document.ts";

/** How far a witness's error may be from the published one, V. */
const CLOSE = 1e-9;

/** Limits of a box are the doubles next to the decimals, on their outer side. */
const HAIR = 1e-15;

function limitsOf(symbol: SymbolRow, row: BudgetRow): readonly [number, number] {
  const { lower, upper } = symbol.perBand ? row.band : symbol;
  return [Number(lower), Number(upper)];
}

function outside(symbols: readonly SymbolRow[], row: BudgetRow, side: "high" | "low"): string[] {
  const { witness } = row[side];
  return symbols.flatMap((symbol) => {
    if (symbol.kind === "rounding") return [];
    const value = witness[symbol.name];
    const [lower, upper] = limitsOf(symbol, row);
    const room = HAIR * Math.max(Math.abs(lower), Math.abs(upper));
    if (value !== undefined && value >= lower - room && value <= upper + room) return [];
    return [`witness ${side} at ${row.voltage} V: ${symbol.name} outside its limits`];
  });
}

/**
 * Puts every witness of a budget into the published equation with its roundings: its error must be
 * the one that was stated, inside the proven bound, and every quantity inside its limits. Returns
 * what is not so, one sentence each, and how many witnesses were tried.
 */
export function checkWitnesses(budget: BudgetDocument): {
  readonly witnesses: number;
  readonly differences: readonly string[];
} {
  const { symbols, equation, rows } = budget;
  const { definitions, error } = equation.shown;
  const names = symbols.map(({ name }) => name);
  const evaluator = new PlainEvaluator(
    compileTape([parseInfix({ infix: error, definitions, path: "equation" })], names),
  );
  const differences: string[] = [];
  let witnesses = 0;
  for (const row of rows) {
    for (const side of ["high", "low"] as const) {
      const { witness, witnessed } = row[side];
      const found = evaluator.evaluate(names.map((name) => witness[name] ?? 0));
      if (Number.isNaN(found)) throw new InvariantBrokenError("an equation without a value");
      witnesses += 1;
      differences.push(...outside(symbols, row, side));
      if (!(Math.abs(found - witnessed) <= CLOSE))
        differences.push(
          `witness ${side} at ${row.voltage} V: error ${found} V in place of ${witnessed} V`,
        );
      if (!(found <= row.high.proven && found >= row.low.proven))
        differences.push(`witness ${side} at ${row.voltage} V passes the proven bound`);
    }
  }
  return { witnesses, differences };
}
