// Falsified by an import against the direction of the folders, a circle, or a check that sees no
// files or misses a planted fault.
import { describe, expect, test } from "vitest";
import {
  danglingImports,
  importCircles,
  LIB_ORDER,
  wrongImports,
} from "../support/import-direction.ts";
import { filesIn, importsOf } from "../support/source-files.ts";

const files = filesIn(["lib", "sim", "properties", "examples", "bench"], [".ts"]);

describe("the files of the project", () => {
  test("are there, and import one another", () => {
    const inLib = [...files.keys()].filter((path) => path.startsWith("lib/"));
    expect(inLib.length).toBeGreaterThan(100);
    expect([...files.keys()].filter((path) => path.startsWith("sim/")).length).toBeGreaterThan(10);
    expect(files.size).toBeGreaterThan(200);
    expect([...files.values()].flatMap(importsOf).length).toBeGreaterThan(1_000);
    const folders = new Set(inLib.map((path) => path.split(/[/.]/)[1]!));
    folders.delete("command");
    expect([...folders].filter((folder) => !LIB_ORDER.some((name) => name === folder))).toEqual([]);
  });

  test("import in one direction", () => {
    expect(wrongImports(files)).toEqual([]);
  });

  test("import files that exist, by their whole names", () => {
    expect(danglingImports(files)).toEqual([]);
  });

  test("import without circles", () => {
    expect(importCircles(files)).toEqual([]);
  });

  test("keep vitest out of what ships", () => {
    const shipped = [...files].filter(([path]) =>
      /^(?:lib|sim|properties\/(?:arbitraries|claims|campaign|faults))\//.test(path),
    );
    const offenders = shipped.filter(([, text]) =>
      importsOf(text).some((name) => name === "vitest" || name.startsWith("node:test")),
    );
    expect(offenders.map(([path]) => path)).toEqual([]);
  });
});

describe("the check itself", () => {
  const planted = (path: string, text: string) => wrongImports(new Map([...files, [path, text]]));

  test.each([
    ["lib/chain/planted.ts", 'import { x } from "../guarantee/maximum.ts";'],
    ["lib/interval/planted.ts", 'import type { Decimal } from "../quantity/decimal.ts";'],
    ["lib/errors.ts", 'export { x } from "./interval/interval.ts";'],
    ["lib/report/planted.ts", 'import { main } from "../command/main.ts";'],
    ["lib/report/planted.ts", `const { main } = await import${'("../command/main.ts")'};`],
    ["lib/report/planted.ts", 'import { a,\n  b,\n} from "../../sim/index.ts";'],
    ["lib/design/planted.ts", 'import "../chain/stage.ts";'],
    ["lib/novelty/planted.ts", 'import { x } from "../errors.ts";'],
    ["sim/planted.ts", 'import { x } from "../lib/chain/stage.ts";'],
    ["sim/planted.ts", 'import { x } from "../lib/guarantee/maximum.ts";'],
    ["sim/planted.ts", 'import { x } from "../lib/expression/build.ts";'],
    ["sim/planted.ts", 'import { x } from "../lib/uncertainty/any.ts";'],
    ["sim/planted.ts", 'import { x } from "../properties/support/rational.ts";'],
    ["lib/design/planted.ts", 'import { x } from "../../properties/support/rational.ts";'],
    ["lib/report/planted.ts", 'import { x } from "../../properties/claims/claim.ts";'],
    ["lib/command/planted.ts", 'import { x } from "../../properties/support/rational.ts";'],
  ])("sees a planted import in %s: %s", (path, text) => {
    expect(planted(path, text)).toHaveLength(1 + wrongImports(files).length);
  });

  test("passes the imports that are allowed", () => {
    for (const [path, text] of [
      ["lib/guarantee/planted.ts", 'import { x } from "../chain/stage.ts";'],
      ["lib/command/planted.ts", 'import { x } from "../../sim/index.ts";'],
      ["lib/command/planted.ts", 'import { x } from "../../properties/claims/claim.ts";'],
      ["sim/planted.ts", 'import { x } from "../lib/design/quantities.ts";'],
      ["properties/support/planted.ts", 'import { x } from "../../lib/chain/stage.ts";'],
    ] as const)
      expect(planted(path, text)).toEqual(wrongImports(files));
  });

  test("sees a planted circle and a name without its ending", () => {
    const circle = new Map([
      ["lib/a.ts", 'import { b } from "./b.ts";'],
      ["lib/b.ts", 'import type { c } from "./c.ts";'],
      ["lib/c.ts", 'export { a } from "./a.ts";'],
    ]);
    expect(importCircles(circle)).toEqual(["lib/a.ts -> lib/b.ts -> lib/c.ts -> lib/a.ts"]);
    expect(danglingImports(new Map([["lib/a.ts", 'import "./b.ts";']]))).toHaveLength(1);
    expect(danglingImports(new Map([["lib/a.ts", 'import "./b";']]))).toHaveLength(1);
  });
});
