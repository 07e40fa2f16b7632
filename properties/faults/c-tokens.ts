/** One token of C that can mean something to a machine. */
export interface CToken {
  readonly kind: "word" | "number" | "operator" | "text";
  readonly text: string;
  /** Place of its first character in the source, and of the first one behind it. */
  readonly start: number;
  readonly end: number;
  /** True in a line of #define; other lines for the preprocessor have no tokens here. */
  readonly isDefine: boolean;
}

const BLANK = /(?:[ \t\r\f\v]|\\\r?\n)+/y;
const COMMENT = /\/\*[^]*?(?:\*\/|$)|\/\/(?:\\\r?\n|[^\n])*/y;
const TEXT = /"(?:\\[^]|[^"\\\n])*"?|'(?:\\[^]|[^'\\\n])*'?/y;
const NUMBER = /\.?\d(?:[eEpP][+-]|[\w.])*/y;
const WORD = /[A-Za-z_]\w*/y;
const OPERATOR =
  /<<=|>>=|\.\.\.|->|\+\+|--|<<|>>|<=|>=|==|!=|&&|\|\||[-+*/%&|^]=|[-+*/%&|^~!<>=?:;,.(){}[\]]/y;

const KINDS = [
  ["text", TEXT],
  ["number", NUMBER],
  ["word", WORD],
  ["operator", OPERATOR],
] as const;

function matchAt(pattern: RegExp, source: string, place: number): string | undefined {
  pattern.lastIndex = place;
  return pattern.exec(source)?.[0];
}

/** Length of what is no token at a place: blanks and comments. */
function skipped(source: string, place: number): number {
  return (matchAt(BLANK, source, place) ?? matchAt(COMMENT, source, place) ?? "").length;
}

/**
 * Tokens of a C source in their order, without comments and without the lines for the preprocessor
 * other than #define, whose word itself is left out as well. Characters that C does not know are
 * passed over.
 */
export function cTokens(source: string): readonly CToken[] {
  const tokens: CToken[] = [];
  let directive: "none" | "define" | "other" = "none";
  let place = 0;
  while (place < source.length) {
    const blank = skipped(source, place);
    if (blank > 0) {
      place += blank;
      continue;
    }
    if (source[place] === "\n") directive = "none";
    if (source[place] === "#" && directive === "none") {
      const [whole, name] = /^#[ \t]*(\w*)/.exec(source.slice(place, place + 40))!;
      directive = name === "define" ? "define" : "other";
      place += whole.length;
      continue;
    }
    let length = 1;
    for (const [kind, pattern] of KINDS) {
      const text = matchAt(pattern, source, place);
      if (text === undefined) continue;
      length = text.length;
      const token = { kind, text, start: place, end: place + length };
      if (directive !== "other") tokens.push({ ...token, isDefine: directive === "define" });
      break;
    }
    place += length;
  }
  return tokens;
}
