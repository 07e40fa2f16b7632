import { closing, isType } from "./c-statements.ts";
import type { CStatement } from "./c-statements.ts";
import type { CToken } from "./c-tokens.ts";

/**
 * Kinds of generated faults. A line takes the first that applies, in this order, begun at a place
 * that follows from the text of the line, so that all kinds are used; `constant` comes last.
 */
export const FAULT_OPERATORS = [
  "statement", // an assignment, a call or an early end is left out
  "negation", // a condition the other way round
  "equality", // == and !=
  "logical", // && and ||
  "arithmetic", // + and -, * and /, % becomes *
  "bitwise", // & and |
  "shift", // << and >>
  "boundary", // < and <=, > and >=
  "boolean", // true and false
  "returned", // what is returned becomes 0
  "initialiser", // what a variable begins with becomes 0
  "increment", // ++ and --
  "label", // a case that no value has
  "constant", // n becomes n + 1
] as const;

/** Kind of a generated fault. */
export type FaultOperator = (typeof FAULT_OPERATORS)[number];

/** A change of text that makes a fault. */
export interface FaultCandidate {
  readonly operator: FaultOperator;
  /** Place of the first character that is replaced, and of the first one behind. */
  readonly start: number;
  readonly end: number;
  readonly replacement: string;
}

const SWAPS: Readonly<Record<string, readonly [FaultOperator, string]>> = {
  "==": ["equality", "!="],
  "!=": ["equality", "=="],
  "&&": ["logical", "||"],
  "||": ["logical", "&&"],
  "+": ["arithmetic", "-"],
  "-": ["arithmetic", "+"],
  "*": ["arithmetic", "/"],
  "/": ["arithmetic", "*"],
  "%": ["arithmetic", "*"],
  "+=": ["arithmetic", "-="],
  "-=": ["arithmetic", "+="],
  "&": ["bitwise", "|"],
  "|": ["bitwise", "&"],
  "&=": ["bitwise", "|="],
  "|=": ["bitwise", "&="],
  "<<": ["shift", ">>"],
  ">>": ["shift", "<<"],
  "<": ["boundary", "<="],
  "<=": ["boundary", "<"],
  ">": ["boundary", ">="],
  ">=": ["boundary", ">"],
  "++": ["increment", "--"],
  "--": ["increment", "++"],
  true: ["boolean", "false"],
  false: ["boolean", "true"],
};

/** Signs that stand before one value as well as between two. */
const EITHER = new Set(["+", "-", "*", "&"]);

/** True where a bracket closes a cast, as in (int32_t). */
function closesCast(tokens: readonly CToken[], close: number): boolean {
  let open = close - 1;
  while (open >= 0 && (isType(tokens[open]!) || tokens[open]!.text === "*")) open -= 1;
  return open >= 0 && open < close - 1 && tokens[open]!.text === "(";
}

/** True where the sign at an index stands between two values. */
function isBinary(tokens: readonly CToken[], index: number): boolean {
  const before = tokens[index - 1];
  if (before === undefined || isType(before) || before.text === "return") return false;
  if (before.text === ")") return !closesCast(tokens, index - 1);
  return before.kind === "word" || before.kind === "number" || before.text === "]";
}

function swaps({ tokens }: CStatement): FaultCandidate[] {
  return tokens.flatMap((token, index): FaultCandidate[] => {
    const { text, start, end } = token;
    if (EITHER.has(text) && !isBinary(tokens, index)) {
      // A sign before a value is left out; the others of its kind are for pointers.
      const isSign = text === "-" && before(tokens, index) !== "case";
      return isSign ? [{ operator: "arithmetic", start, end, replacement: "" }] : [];
    }
    if (text === "!") return [{ operator: "negation", start, end, replacement: "" }];
    const swap = Object.hasOwn(SWAPS, text) ? SWAPS[text] : undefined;
    return swap === undefined ? [] : [{ operator: swap[0], start, end, replacement: swap[1] }];
  });
}

function before(tokens: readonly CToken[], index: number): string {
  return tokens[index - 1]?.text ?? "";
}

const WHOLE = /^(0[xX][\da-fA-F]+|\d+)([uUlL]*)$/;

function constants({ tokens }: CStatement): FaultCandidate[] {
  return tokens.flatMap(({ kind, text, start, end }): FaultCandidate[] => {
    const [, digits, suffix] = (kind === "number" ? WHOLE.exec(text) : null) ?? [];
    if (digits === undefined || /^0\d/.test(digits)) return [];
    const isHex = /^0x/i.test(digits);
    const next = (BigInt(digits) + 1n).toString(isHex ? 16 : 10);
    return [
      { operator: "constant", start, end, replacement: `${isHex ? "0x" : ""}${next}${suffix}` },
    ];
  });
}

function around(tokens: readonly CToken[]): Pick<FaultCandidate, "start" | "end"> {
  return { start: tokens[0]!.start, end: tokens.at(-1)!.end };
}

/** Values that a variable or a named member begins with. */
function initialisers({ tokens }: CStatement): FaultCandidate[] {
  return tokens.flatMap(({ text }, index): FaultCandidate[] => {
    if (text !== "=") return [];
    let after = index + 1;
    // Of members without names, the first one stands for all.
    if (tokens[after]?.text === "{") after += 1;
    if (tokens[after]?.text === ".") return [];
    let end = after;
    while (end < tokens.length && !/^[;,}]$/.test(tokens[end]!.text)) {
      end = /^[([{]$/.test(tokens[end]!.text) ? closing(tokens, end) + 1 : end + 1;
    }
    const value = tokens.slice(after, end);
    if (value.length === 0 || (value.length === 1 && WHOLE.test(value[0]!.text))) return [];
    return [{ operator: "initialiser", ...around(value), replacement: "0" }];
  });
}

/** Faults of a statement as a whole. */
function wholes(statement: CStatement, source: string): FaultCandidate[] {
  const { kind, tokens } = statement;
  const [first, second] = tokens;
  const last = tokens.at(-1)!;
  const textOf = (part: readonly CToken[]): string =>
    source.slice(part[0]!.start, part.at(-1)!.end);
  if (kind === "expression")
    return [{ operator: "statement", ...around(tokens), replacement: ";" }];
  if (kind === "declaration") return initialisers(statement);
  if (kind === "label" && first!.text === "case" && tokens.length > 2) {
    const value = tokens.slice(1, -1);
    return [{ operator: "label", ...around(value), replacement: `${textOf(value)} + 16` }];
  }
  if (kind === "return") {
    if (second?.text === ";")
      return [{ operator: "statement", ...around(tokens), replacement: ";" }];
    const value = tokens.slice(1, -1);
    const isNumber = value.length === 1 && WHOLE.test(value[0]!.text);
    const isTruth = value.length === 1 && /^(?:true|false)$/.test(value[0]!.text);
    if (isNumber || isTruth) return [];
    return [{ operator: "returned", ...around(value), replacement: "0" }];
  }
  if (kind === "control" && first!.text !== "for" && tokens.length > 3) {
    const condition = tokens.slice(2, -1);
    const place = { start: second!.end, end: last.start };
    const inside = textOf(condition);
    if (first!.text === "switch")
      return [{ operator: "label", ...place, replacement: `${inside} + 16` }];
    return [{ operator: "negation", ...place, replacement: `!(${inside})` }];
  }
  return [];
}

/** All faults that can be made of a statement, in the order of their places. */
export function faultCandidates(statement: CStatement, source: string): readonly FaultCandidate[] {
  if (statement.kind === "hook") return [];
  return [...wholes(statement, source), ...swaps(statement), ...constants(statement)].toSorted(
    (one, other) => one.start - other.start || other.end - one.end,
  );
}
