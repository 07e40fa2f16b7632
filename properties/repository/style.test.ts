// Falsified by a file of the code that breaks a rule of its style which a reader can be told in one
// sentence, or by a check that misses a planted fault.
import ts from "typescript";
import { expect, test } from "vitest";
import { filesIn } from "../support/source-files.ts";
import type { SourceFiles } from "../support/source-files.ts";

const code = filesIn(["lib", "sim"], [".ts"]);
const everything = filesIn(["lib", "sim", "properties", "examples", "bench"], [".ts"]);

/** A place in the code where a construct stands. */
interface Construct {
  readonly name: string;
  readonly place: string;
}

function nameOf(node: ts.Node): string | undefined {
  if (ts.isExportDeclaration(node) && node.exportClause === undefined) return "star re-export";
  if (ts.isExportAssignment(node)) return "default export";
  if (node.kind === ts.SyntaxKind.AnyKeyword) return "any";
  if (ts.isEnumDeclaration(node)) return "enum";
  if (ts.isModuleDeclaration(node)) return "namespace";
  if (ts.isParameter(node) && (node.modifiers?.length ?? 0) > 0) return "parameter property";
  if (ts.isBinaryExpression(node)) {
    const { kind } = node.operatorToken;
    return kind === ts.SyntaxKind.AsteriskAsteriskToken ? "**" : undefined;
  }
  if (node.kind === ts.SyntaxKind.DefaultKeyword && ts.canHaveModifiers(node.parent))
    return "default export";
  if (ts.isCallExpression(node)) return node.expression.getText();
  if (ts.isNewExpression(node) && (node.arguments?.length ?? 0) === 0)
    return `new ${node.expression.getText()}`;
  return undefined;
}

/** Constructs of a text that some rule may speak of. */
function constructsOf(path: string, text: string): Construct[] {
  const file = ts.createSourceFile(path, text, ts.ScriptTarget.ES2022, true);
  const found: Construct[] = [];
  const visit = (node: ts.Node): void => {
    const name = nameOf(node);
    if (name !== undefined) {
      const { line } = file.getLineAndCharacterOfPosition(node.getStart());
      found.push({ name, place: `${path}:${line + 1}` });
    }
    ts.forEachChild(node, visit);
  };
  visit(file);
  return found;
}

const constructs = new Map([...everything].map(([path, text]) => [path, constructsOf(path, text)]));

/** Places where constructs of these names stand, in files of a kind. */
function placesOf(names: RegExp, files: RegExp): string[] {
  return [...constructs]
    .filter(([path]) => files.test(path))
    .flatMap(([, list]) => list.filter(({ name }) => names.test(name)).map(({ place }) => place));
}

const FORBIDDEN = [
  ["star re-export", "export * from './x.ts';", /./],
  ["any", "let x: readonly any[];", /./],
  ["enum", "export enum A { B }", /./],
  ["namespace", "namespace A { export const b = 1; }", /^(?!.*\.d\.ts$)/],
  ["parameter property", "class A { constructor(private b: number) {} }", /./],
  ["default export", "export default function a(): void {}", /^(?:lib|sim)\//],
] as const;

test.each(FORBIDDEN)("no %s stands in the code, and one would be seen", (name, example, files) => {
  expect(constructsOf("planted.ts", example).map((found) => found.name)).toContain(name);
  expect(placesOf(new RegExp(`^${name}$`), files)).toEqual([]);
});

test("a switched-off check stands nowhere in the library", () => {
  const off = new RegExp(
    ["@ts-", "(?:ignore|nocheck)|oxlint-", "disable|eslint-", "disable"].join(""),
  );
  expect([...code].filter(([, text]) => off.test(text)).map(([path]) => path)).toEqual([]);
});

test("proofs never use the engine's own elementary functions", () => {
  const proofs =
    /^lib\/(?:interval\/|expression\/(?:enclose|curvature|end-arithmetic)|guarantee\/maximum)/;
  expect([...constructs.keys()].filter((path) => proofs.test(path)).length).toBeGreaterThan(5);
  const functions = /^(?:\*\*|Math\.(?:exp|log|pow|sin|cos|tan|sinh|cosh|tanh|hypot|cbrt)\w*)$/;
  expect(placesOf(functions, proofs)).toEqual([]);
  const planted = constructsOf("a.ts", "const a = Math.exp(b) + c ** 2;");
  expect(planted.filter(({ name }) => functions.test(name))).toHaveLength(2);
});

test("nothing in the library draws from an unseeded source or reads the clock", () => {
  const hidden = /^(?:Math\.random|Date\.now|new Date|performance\.now|crypto\..*)$/;
  expect(placesOf(hidden, /^(?:lib\/(?!command\/)|sim\/)/)).toEqual([]);
  const planted = constructsOf("a.ts", "const a = Math.random() + Date.now() + +new Date();");
  expect(planted.filter(({ name }) => hidden.test(name))).toHaveLength(3);
});

test("no file of the code is longer than 520 lines, no suite than 700, and most are short", () => {
  expect(code.size).toBeGreaterThan(100);
  const lines = [...everything].map(([path, text]) => ({ path, count: text.split("\n").length }));
  const most = (path: string): number => (path.startsWith("properties/") ? 700 : 520);
  expect(lines.filter(({ path, count }) => count > most(path))).toEqual([]);
  const counts = lines.map(({ count }) => count).sort((one, other) => one - other);
  expect(counts[Math.floor(counts.length / 2)]).toBeLessThan(200);
});

test("names of files are kebab-case", () => {
  const odd = [...everything.keys()].filter(
    (path) =>
      !/^[a-z]+(?:\/[a-z0-9-]+)*\/[a-z0-9]+(?:-[a-z0-9]+)*(?:\.(?:test|bench|d))?\.ts$/.test(path),
  );
  expect(odd).toEqual([]);
});

/** Exported functions and classes that no docstring stands above. */
function undocumented(files: SourceFiles): string[] {
  return [...files].flatMap(([path, text]) => {
    const lines = text.split("\n");
    return lines.flatMap((line, index) => {
      const name = /^export (?:abstract )?(?:async )?(?:function\*?|class) (\w+)/.exec(line)?.[1];
      if (name === undefined) return [];
      // A second signature of the same function stands under the docstring of the first.
      const before = lines[index - 1] ?? "";
      const overload = before.startsWith(`export function ${name}(`);
      return before.trimEnd().endsWith("*/") || overload ? [] : [`${path}: ${name}`];
    });
  });
}

test("every exported function and class of the library has a docstring", () => {
  const exported = [...code.values()].join("\n").match(/^export (?:async )?(?:function|class) /gm);
  expect(exported!.length).toBeGreaterThan(150);
  expect(undocumented(code)).toEqual([]);
  expect(undocumented(new Map([["a.ts", "\nexport function bare(): void {}"]]))).toHaveLength(1);
  expect(
    undocumented(new Map([["a.ts", "/** What it does. */\nexport function told(): void {}"]])),
  ).toEqual([]);
});

test("every suite says in its first comment what would falsify it", () => {
  const suites = [...filesIn(["properties"], [".test.ts"])];
  expect(suites.length).toBeGreaterThan(50);
  const silent = suites.filter(([path, text]) => {
    const head = text.split(/^import /m)[0] ?? "";
    return path.startsWith("properties/laws/") && !/falsif/i.test(head);
  });
  expect(silent.map(([path]) => path)).toEqual([]);
});
