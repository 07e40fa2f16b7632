import { InvalidInputError } from "../errors.ts";
import type { Fault } from "../errors.ts";
import { Decimal } from "../quantity/decimal.ts";
import { negate, power } from "./build.ts";
import type { Definition } from "./infix.ts";
import { tokensOf } from "./infix-tokens.ts";
import type { Token } from "./infix-tokens.ts";
import type { BinaryOperation, Expression, UnaryOperation } from "./node.ts";

/** An equation as text: the expression, and the named parts it may use. */
export interface InfixEquation {
  readonly infix: string;
  /** Each may use symbols and earlier definitions. */
  readonly definitions?: readonly Definition[];
  /** Place of the text in the reader's document, for errors. Default `equation`. */
  readonly path?: string;
}

const UNARY = new Set<string>(["exp", "log", "sqrt", "abs", "floor"]);
const BINARY = new Set<string>(["min", "max"]);
/** Names that other tools read as constants: no quantity may be called so. */
const CONSTANTS = new Set<string>(["pi", "e", "i"]);
const DEEPEST_NESTING = 400;
const LARGEST_EXPONENT = 64;
const FUNCTIONS = "exp, log, sqrt, abs, floor, min or max";

/** Thrown inside the parser when the rest of the text cannot be read. */
class Unreadable extends Error {}

class Parser {
  readonly faults: Fault[] = [];
  private readonly tokens: readonly Token[];
  private readonly path: string;
  private readonly parts: ReadonlyMap<string, Expression>;
  private next = 0;
  private depth = 0;

  constructor(text: string, path: string, parts: ReadonlyMap<string, Expression>) {
    this.tokens = tokensOf(text);
    this.path = path;
    this.parts = parts;
  }

  private peek(): Token {
    return this.tokens[this.next]!;
  }

  private note(quantity: string, permitted: string, token: Token, received?: string): void {
    this.faults.push({
      path: `${this.path}, character ${token.position}`,
      quantity,
      permitted,
      received:
        received ?? (token.kind === "end" ? "the end of the text" : JSON.stringify(token.text)),
    });
  }

  private stop(permitted: string): never {
    this.note("next part of the expression", permitted, this.peek());
    throw new Unreadable();
  }

  private takes(sign: string): boolean {
    const token = this.peek();
    if (token.kind !== "sign" || token.text !== sign) return false;
    this.next += 1;
    return true;
  }

  private expect(sign: string): void {
    if (!this.takes(sign)) this.stop(JSON.stringify(sign));
  }

  whole(): Expression {
    const root = this.sum();
    if (this.peek().kind !== "end") this.stop("an operator or the end");
    return root;
  }

  private sum(): Expression {
    if (this.depth >= DEEPEST_NESTING) this.stop(`at most ${DEEPEST_NESTING} levels deep`);
    this.depth += 1;
    let left = this.product();
    for (;;) {
      if (this.takes("+")) left = binary("add", left, this.product());
      else if (this.takes("-")) left = binary("subtract", left, this.product());
      else break;
    }
    this.depth -= 1;
    return left;
  }

  private product(): Expression {
    let left = this.signed();
    for (;;) {
      const token = this.peek();
      if (this.takes("*")) left = binary("multiply", left, this.signed());
      else if (this.takes("/")) {
        const right = this.signed();
        if (right.kind === "constant" && right.value.isZero())
          this.note("divisor", "other than zero", token, "0");
        left = binary("divide", left, right);
      } else return left;
    }
  }

  private signed(): Expression {
    let negative = false;
    for (;;) {
      if (this.takes("-")) negative = !negative;
      else if (!this.takes("+")) break;
    }
    const operand = this.powered();
    return negative ? negate(operand) : operand;
  }

  private powered(): Expression {
    const base = this.atom();
    if (!this.takes("^")) return base;
    const token = this.peek();
    const negative = this.takes("-");
    const exponent = this.peek();
    if (exponent.kind !== "number") this.stop("an integer exponent");
    this.next += 1;
    const size = Number(exponent.text);
    if (!Number.isInteger(size) || size > LARGEST_EXPONENT) {
      const range = `an integer from -${LARGEST_EXPONENT} to ${LARGEST_EXPONENT}`;
      this.note("exponent", range, token, `${negative ? "-" : ""}${exponent.text}`);
      return base;
    }
    if (this.peek().kind === "sign" && this.peek().text === "^")
      this.stop("one exponent only; write (a^2)^3");
    return power(base, negative ? -size : size);
  }

  private atom(): Expression {
    const token = this.peek();
    if (this.takes("(")) {
      const inner = this.sum();
      this.expect(")");
      return inner;
    }
    if (token.kind === "number") {
      this.next += 1;
      return { kind: "constant", value: this.decimal(token) };
    }
    if (token.kind !== "name") this.stop('a number, a name, a function or "("');
    this.next += 1;
    if (this.peek().kind === "sign" && this.peek().text === "(") return this.call(token);
    const part = this.parts.get(token.text);
    if (part !== undefined) return part;
    if (UNARY.has(token.text) || BINARY.has(token.text) || CONSTANTS.has(token.text))
      this.note("name of a quantity", "other than a function or a constant", token);
    return { kind: "symbol", name: token.text };
  }

  private decimal(token: Token): Decimal {
    try {
      return Decimal.parse(token.text);
    } catch {
      this.note("number", "a decimal number such as 0.05 or 5e-5", token);
      return Decimal.zero;
    }
  }

  private call(token: Token): Expression {
    this.expect("(");
    const operands = [this.sum()];
    while (this.takes(",")) operands.push(this.sum());
    this.expect(")");
    const [left, right] = operands;
    const wanted = UNARY.has(token.text) ? 1 : BINARY.has(token.text) ? 2 : 0;
    if (wanted === 0) {
      this.note("function", FUNCTIONS, token);
      return left!;
    }
    if (operands.length !== wanted) {
      const permitted = wanted === 1 ? "one" : "two";
      this.note(`number of operands of ${token.text}`, permitted, token, String(operands.length));
      return left!;
    }
    return wanted === 1
      ? { kind: "unary", operation: token.text as UnaryOperation, operand: left! }
      : binary(token.text as BinaryOperation, left!, right!);
  }
}

function binary(operation: BinaryOperation, left: Expression, right: Expression): Expression {
  return { kind: "binary", operation, left, right };
}

interface Reading {
  readonly text: string;
  readonly path: string;
  readonly parts: ReadonlyMap<string, Expression>;
}

function read({ text, path, parts }: Reading, faults: Fault[]): Expression | undefined {
  const parser = new Parser(text, path, parts);
  try {
    return parser.whole();
  } catch (error) {
    if (!(error instanceof Unreadable)) throw error;
    return undefined;
  } finally {
    faults.push(...parser.faults);
  }
}

/**
 * Reads an expression in ordinary infix notation: + - * / ^ (integer exponent), parentheses, exp,
 * log (natural), sqrt, abs, floor, min and max of two operands, decimals (exact) and names of
 * quantities. A power binds tighter than a sign: -x^2 is -(x^2). Reading what `toInfix` prints
 * gives the same expression.
 *
 * Throws {@link InvalidInputError} with the position of every fault that can be told.
 *
 * @example
 * parseInfix("R1 / (R1 + R2)");
 * parseInfix({ infix: "2 * s", definitions: [{ name: "s", infix: "a + b" }] });
 */
export function parseInfix(equation: string | InfixEquation): Expression {
  const {
    infix,
    definitions = [],
    path = "equation",
  } = typeof equation === "string" ? { infix: equation } : equation;
  const faults: Fault[] = [];
  const parts = new Map<string, Expression>();
  for (const definition of definitions) {
    const place = `${path}.definitions.${definition.name}`;
    const [name, more] = tokensOf(definition.name);
    const reserved = [UNARY, BINARY, CONSTANTS].some((words) => words.has(definition.name));
    if (name?.kind !== "name" || more?.kind !== "end" || reserved || parts.has(definition.name)) {
      faults.push({
        path: place,
        quantity: "name of a definition",
        permitted: "letters, digits and underscores, not a function, and used once",
        received: JSON.stringify(definition.name),
      });
      continue;
    }
    const operand = read({ text: definition.infix, path: place, parts }, faults);
    // A part that cannot be read stands as a symbol, so that the rest is still checked.
    parts.set(
      definition.name,
      operand === undefined
        ? { kind: "symbol", name: definition.name }
        : { kind: "named", name: definition.name, operand },
    );
  }
  const root = read({ text: infix, path, parts }, faults);
  if (root === undefined || faults.length > 0) throw new InvalidInputError("expression", faults);
  return root;
}
