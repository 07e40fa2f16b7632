/** Differences told at most; a document that differs wholly is told by the first of them. */
const MOST_TOLD = 12;

function shown(value: unknown): string {
  const text = value === undefined ? "nothing" : (JSON.stringify(value) ?? typeof value);
  return text.length > 60 ? `${text.slice(0, 59)}…` : text;
}

function isBranch(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === "object" && value !== null;
}

function* differing(expected: unknown, found: unknown, path: string): Generator<string> {
  if (!isBranch(expected) || !isBranch(found) || Array.isArray(expected) !== Array.isArray(found)) {
    if (!Object.is(expected, found))
      yield `${path}: ${shown(found)} in place of ${shown(expected)}`;
    return;
  }
  for (const name of new Set([...Object.keys(expected), ...Object.keys(found)]))
    yield* differing(expected[name], found[name], `${path}.${name}`);
}

/** Where two JSON documents differ, each place in one sentence; the first twelve. */
export function documentDifferences(
  expected: unknown,
  found: unknown,
  name: string,
): readonly string[] {
  const told: string[] = [];
  for (const difference of differing(expected, found, name)) {
    if (told.length === MOST_TOLD) return [...told, `${name}: further differences`];
    told.push(difference);
  }
  return told;
}
