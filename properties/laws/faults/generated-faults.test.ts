// Falsified by a line of the example firmware for which the compiler makes code and no fault is
// generated; by a fault whose text is in its source twice, or that changes anything but its line;
// by a change in a comment, a text, an include or a trace; by two runs that differ; and by a fault
// whose name or text changes because another line was put in above; by a written reason for a fault
// that the sources do not have.
import { readFileSync, readdirSync } from "node:fs";
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { cTokens } from "../../faults/c-tokens.ts";
import { placesOf, withFault } from "../../faults/firmware-fault.ts";
import { FAULT_OPERATORS } from "../../faults/fault-operators.ts";
import { generatedFaults } from "../../faults/generated-faults.ts";
import type { GeneratedFault } from "../../faults/generated-faults.ts";
import { isAbout, readSurvivors } from "../../faults/survivors.ts";

const FOLDER = new URL("../../../examples/21-trigger-firmware/", import.meta.url);
const SOURCES = readdirSync(FOLDER)
  .filter((file) => /\.[ch]$/.test(file))
  .map((file) => ({ file: `firmware/${file}`, text: readFileSync(new URL(file, FOLDER), "utf8") }));
const example = generatedFaults(SOURCES);

function lineOf(place: string): string {
  const [file, line] = place.split(":");
  const { text } = SOURCES.find((source) => source.file === `firmware/${file}`)!;
  return text.split("\n")[Number(line) - 1]!.trim();
}

describe("the example firmware", () => {
  test("has a generated fault in every line for which the compiler makes code", () => {
    const table = readFileSync(new URL("build/trigger.lines.txt", FOLDER), "utf8");
    const places = [...new Set(table.split("\n").map((row) => row.split(" ")[1] ?? ""))];
    const own = places.filter((place) => place !== "" && !place.startsWith("host_runtime.c"));
    expect(own.length).toBeGreaterThan(400);
    const covered = new Set(example.lines.map(([fault]) => `${fault!.file}:${fault!.line}`));
    const bare = own.filter((place) => !covered.has(place)).map(lineOf);
    // A function begins and ends in its brackets; room is made for a variable without a value.
    const rest = bare.filter((text) => !/^[{}]$|^\w+ \w+(?: = \{|\[\w+\];)$/.test(text));
    expect(rest.filter((text) => !text.startsWith("PV_TRACE("))).toEqual([]);
    expect(rest).toHaveLength(2);
  });

  test("has a fault in every line of #define with a value, and a reason at every other line", () => {
    const names = SOURCES.flatMap(({ text }) =>
      [...text.matchAll(/^#define (\w+)[ \t]+\S/gm)].map(([, name]) => name!),
    );
    expect(names.length).toBeGreaterThan(40);
    const within = new Set(example.lines.map(([fault]) => fault!.within));
    expect(names.filter((name) => !within.has(name))).toEqual([]);
    const lines = SOURCES.reduce((sum, { text }) => sum + text.split("\n").length - 1, 0);
    expect(example.lines.length + example.without.length).toBe(lines);
    expect(example.without.filter(({ because }) => because === "no operator applies")).toEqual([]);
  });

  test("is changed by each fault in one place, which its line holds, under a name of its own", () => {
    const faults = example.lines.flat();
    expect(new Set(faults.map(({ id }) => id)).size).toBe(faults.length);
    for (const fault of faults) {
      expect(placesOf(SOURCES, fault)).toHaveLength(1);
      const { text } = SOURCES.find(({ file }) => file === `firmware/${fault.file}`)!;
      const changed = withFault(SOURCES, fault).find(
        ({ file }) => file === `firmware/${fault.file}`,
      )!;
      const end = fault.offset + fault.was.length;
      expect(text.slice(fault.offset, end)).toBe(fault.was);
      expect(changed.text).toBe(text.slice(0, fault.offset) + fault.becomes + text.slice(end));
      expect(changed.text).not.toBe(text);
      const first = text.slice(0, fault.offset).split("\n").length;
      expect(first).toBeLessThanOrEqual(fault.line);
      expect(first + fault.was.split("\n").length).toBeGreaterThan(fault.line);
    }
    for (const operator of FAULT_OPERATORS)
      expect(faults.some((fault) => fault.operator === operator)).toBe(true);
  });

  test("gives the same faults twice, and those of a line wherever it stands", () => {
    expect(generatedFaults(SOURCES)).toEqual(example);
    const moved = generatedFaults(
      SOURCES.map(({ file, text }) => ({ file, text: `/* Above. */\n${text}` })),
    );
    const key = ({ file, within, text, was, becomes }: GeneratedFault): string =>
      JSON.stringify([file, within, text, was, becomes]);
    expect(moved.lines.map((line) => line.map(key))).toEqual(
      example.lines.map((line) => line.map(key)),
    );
  });
});

test("each written reason is about a fault that the example firmware has, and there once", () => {
  const document: unknown = JSON.parse(readFileSync(new URL("survivors.json", FOLDER), "utf8"));
  const faults = example.lines.flat();
  const reasons = readSurvivors(document);
  const idle = reasons.filter((entry) => !faults.some((fault) => isAbout(entry, fault)));
  expect(idle).toEqual([]);
  const keys = reasons.map(
    ({ file, within, line, becomes }) => `${file} ${within} ${line} ${becomes}`,
  );
  expect(new Set(keys).size).toBe(keys.length);
  for (const { because } of reasons) expect(because).toMatch(/^[A-Z].*\.$/);
});

/** Code that holds a mark where nothing may be changed. */
const SILENT = fc.constantFrom(
  "/* a < b && c + 1; */",
  "// x = y + 2;",
  "/* return\n true; */",
  'text = "a + b == 3; // no";',
  "letter = '+';",
  "PV_TRACE(a + 1u, b < c, true);",
  "PV_ASSERT(a == b && c > 1);",
  "(void)a;",
);
const LIVE = fc.constantFrom("a = b + 1;", "if (a < b) {\n}", "call(a, 3u);", "a++;", "return a;");

describe("C", () => {
  test("is left alone in comments, texts, includes, trace and assertions", () => {
    const parts = fc.array(fc.oneof(SILENT, LIVE), { minLength: 1, maxLength: 12 });
    fc.assert(
      fc.property(parts, (pieces) => {
        const head = '#include "a+b.h"\n#ifdef A\n#endif\n#define LIMIT 3u /* 4 + 5 */\n';
        const text = `${head}static int f(int a)\n{\n${pieces.join("\n")}\n}\n`;
        const silent: [number, number][] = [];
        const marks = /"[^"\n]*"|'[^'\n]*'|\/\*[^]*?\*\/|\/\/.*|PV_\w+\(.*|\(void\)a;|#i.*|#e.*/g;
        for (const mark of text.matchAll(marks)) {
          silent.push([mark.index, mark.index + mark[0].length]);
        }
        for (const { offset, was, operator } of generatedFaults([
          { file: "a.c", text },
        ]).lines.flat()) {
          // A statement with a text in it is left out as a whole.
          if (operator === "statement") continue;
          for (const [from, to] of silent)
            expect(offset + was.length <= from || offset >= to).toBe(true);
        }
      }),
    );
  });

  test("is cut into tokens that are its text without blanks, comments and the preprocessor", () => {
    const pieces = fc.array(
      fc.constantFrom("a", "0x1Fu", "<<=", "^", "->", '"q\\""', "'\\''", "+", "12"),
    );
    fc.assert(
      fc.property(pieces, (texts) => {
        const text = texts.join(" /* b */\n");
        const tokens = cTokens(`#include <a.h>\n${text}`);
        expect(tokens.map((token) => token.text)).toEqual(texts);
      }),
    );
  });

  const becomes = (body: string): string[] =>
    generatedFaults([{ file: "a.c", text: `int f(int a)\n{\n${body}\n}\n` }])
      .lines.flat()
      .map((fault) => `${fault.operator} ${fault.was} -> ${fault.becomes}`);

  test("keeps what is a pointer, and loses a sign that stands before a value", () => {
    const pointer = becomes("const a_t *b = &c[1];");
    expect(pointer.toSorted()).toEqual(["constant 1 -> 2", "initialiser &c[1] -> 0"]);
    expect(becomes("*a = *b;")).toEqual(["statement *a = *b; -> ;"]);
    expect(becomes("return (int32_t)-a;")).toContain("arithmetic - -> ");
    expect(becomes("return -a;")).toContain("arithmetic - -> ");
    expect(becomes("return (a) - b;")).toContain("arithmetic - -> +");
  });

  test("becomes what the table of operators says", () => {
    expect(becomes("if (a <= b) {}")).toContain("negation a <= b -> !(a <= b)");
    expect(becomes("if (a <= b) {}")).toContain("boundary <= -> <");
    expect(becomes("while (!a && b) {}")).toContain("logical && -> ||");
    expect(becomes("a = b << 0xFFu;")).toContain("constant 0xFFu -> 0x100u");
    expect(becomes("switch (a) { case B: a = 1; }")).toContain("label B -> B + 16");
    expect(becomes("return true;")).toEqual(["boolean true -> false"]);
    expect(becomes("a_t b = {.c = d, .e = f(g, h)};")).toContain("initialiser f(g, h) -> 0");
    expect(becomes("a = b << 017;").join()).not.toMatch(/constant/);
    expect(becomes("int32_t b;")).toEqual([]);
  });
});
