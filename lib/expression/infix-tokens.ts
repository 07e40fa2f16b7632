/** A piece of an infix text. */
export interface Token {
  /** `other` is a character that no expression contains. */
  readonly kind: "number" | "name" | "sign" | "other" | "end";
  readonly text: string;
  /** Place of its first character, counted from 1. */
  readonly position: number;
}

const PIECE =
  /\s*(?:((?:\d+(?:\.\d+)?|\.\d+)(?:[eE][+-]?\d+)?)|([A-Za-z_][A-Za-z0-9_]*)|([-+*/^(),])|(\S))/gu;

/** Cuts an infix text into numbers, names and signs, ending with a token of kind `end`. */
export function tokensOf(text: string): Token[] {
  const tokens: Token[] = [];
  for (const match of text.matchAll(PIECE)) {
    const [whole, number, name, sign] = match;
    const piece = whole.trimStart();
    const position = match.index + whole.length - piece.length + 1;
    const kind =
      number !== undefined
        ? "number"
        : name !== undefined
          ? "name"
          : sign !== undefined
            ? "sign"
            : "other";
    tokens.push({ kind, text: piece, position });
  }
  tokens.push({ kind: "end", text: "", position: text.length + 1 });
  return tokens;
}
