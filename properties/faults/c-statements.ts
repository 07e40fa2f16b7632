import type { CToken } from "./c-tokens.ts";

/** Part of a function that a machine carries out, or that only declares. */
export interface CStatement {
  readonly kind:
    | "define"
    | "control"
    | "label"
    | "return"
    | "declaration"
    | "expression"
    /** Trace, assertion or a value that is thrown away: no part of the product. */
    | "hook";
  /** Name of the function, or of what is defined. */
  readonly within: string;
  readonly tokens: readonly CToken[];
}

/** Words that make a statement one of what is compiled out of the product. */
const HOOKS = new Set(["PV_TRACE", "PV_ASSERT"]);
const CONTROL = new Set(["if", "for", "while", "switch"]);
const TYPES = new Set(
  "const static unsigned signed int char short long void bool struct float double".split(" "),
);

/** True for a word that begins or continues the name of a type in plain C. */
export function isType({ kind, text }: CToken): boolean {
  return kind === "word" && (TYPES.has(text) || text.endsWith("_t"));
}

/** Index of the bracket that closes the one at an index; that of the last token where none does. */
export function closing(tokens: readonly CToken[], open: number): number {
  let depth = 0;
  for (let index = open; index < tokens.length; index++) {
    if (/^[([{]$/.test(tokens[index]!.text)) depth += 1;
    if (/^[)\]}]$/.test(tokens[index]!.text)) depth -= 1;
    if (depth === 0) return index;
  }
  return tokens.length - 1;
}

function kindOf(tokens: readonly CToken[]): CStatement["kind"] {
  const [first, second, third] = tokens;
  if (HOOKS.has(first!.text)) return "hook";
  if (first!.text === "(" && second?.text === "void" && third?.text === ")") return "hook";
  if (first!.text === "return") return "return";
  return isType(first!) ? "declaration" : "expression";
}

/** Index behind a statement that ends with a semicolon; brackets in it are passed over whole. */
function endOf(tokens: readonly CToken[], start: number): number {
  let index = start;
  while (index < tokens.length && tokens[index]!.text !== ";") {
    index = /^[([{]$/.test(tokens[index]!.text) ? closing(tokens, index) + 1 : index + 1;
  }
  return Math.min(index + 1, tokens.length);
}

function statementsOfBody(body: readonly CToken[], within: string): CStatement[] {
  const statements: CStatement[] = [];
  let index = 0;
  while (index < body.length) {
    const { text } = body[index]!;
    if (/^(?:[{};]|else|do)$/.test(text)) {
      index += 1;
      continue;
    }
    let end: number;
    let kind: CStatement["kind"] | undefined;
    if (CONTROL.has(text)) {
      end = closing(body, index + 1) + 1;
      kind = "control";
    } else if (text === "case" || text === "default") {
      const colon = body.findIndex((token, place) => place > index && token.text === ":");
      end = (colon < 0 ? body.length - 1 : colon) + 1;
      kind = "label";
    } else end = endOf(body, index);
    const tokens = body.slice(index, end);
    statements.push({ kind: kind ?? kindOf(tokens), within, tokens });
    index = end;
  }
  return statements;
}

/** The lines of #define that stand for something. */
function definesOf(tokens: readonly CToken[], source: string): CStatement[] {
  const rows: CToken[][] = [];
  for (const token of tokens.filter(({ isDefine }) => isDefine)) {
    const last = rows.at(-1);
    const between = last === undefined ? "" : source.slice(last.at(-1)!.end, token.start);
    // A comment may go on in the next line; #define begins anew in either case.
    if (last !== undefined && !/(?:^|[^\\])\n|#/.test(between)) last.push(token);
    else rows.push([token]);
  }
  return rows
    .filter((row) => row.length > 1)
    .map((row) => ({ kind: "define", within: row[0]!.text, tokens: row.slice(1) }));
}

/**
 * The statements of a source: of its functions, and its #define lines with a value. Plain C is
 * understood: no function-like macros that stand for parts of a statement, no labels to jump to.
 */
export function cStatements(source: string, tokens: readonly CToken[]): readonly CStatement[] {
  const code = tokens.filter(({ isDefine }) => !isDefine);
  const statements = definesOf(tokens, source);
  let name = "";
  for (let index = 0; index < code.length; index++) {
    const { text } = code[index]!;
    if (text === "(") {
      name = code[index - 1]?.text ?? "";
      index = closing(code, index);
    } else if (text === "{") {
      const end = closing(code, index);
      const isBody = code[index - 1]?.text === ")";
      if (isBody) statements.push(...statementsOfBody(code.slice(index + 1, end), name));
      index = end;
    }
  }
  return statements;
}
