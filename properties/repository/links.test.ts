// Falsified by a link in a page of the project that leads to no file or to no heading.
import { existsSync, readFileSync } from "node:fs";
import { dirname, join, relative } from "node:path";
import { describe, expect, test } from "vitest";
import { filesIn, ROOT } from "../support/source-files.ts";

const PAGES = ["README.md", "DEVELOPERS.md"].filter((name) => existsSync(join(ROOT, name)));

const pages = new Map<string, string>([
  ...PAGES.map((name) => [name, readFileSync(join(ROOT, name), "utf8")] as const),
  ...(existsSync(join(ROOT, "docs")) ? filesIn(["docs"], [".md"]) : []),
]);

/** A page without its code, in which a bracket is no link. */
function prose(text: string): string {
  return text.replaceAll(/```[\s\S]*?```/g, "").replaceAll(/`[^`\n]*`/g, "");
}

/** Targets of the links and pictures of a page. */
function linksOf(text: string): string[] {
  return [...prose(text).matchAll(/\]\(([^)\s]+)(?:\s+"[^"]*")?\)/g)].map((match) => match[1]!);
}

/** The names that headings get as targets of a link. */
function headingsOf(text: string): Set<string> {
  const headings = text.replaceAll(/```[\s\S]*?```/g, "").match(/^#{1,6} .*$/gm) ?? [];
  return new Set(
    headings.map((heading) =>
      heading
        .replace(/^#+ /, "")
        .toLowerCase()
        .replaceAll(/[^\p{L}\p{N} _-]/gu, "")
        .replaceAll(" ", "-"),
    ),
  );
}

/** What is wrong with a link; undefined where it leads somewhere. */
function wrongWith(page: string, link: string): string | undefined {
  if (/^(?:https?|mailto):/.test(link)) return undefined;
  const [path = "", heading] = link.split("#");
  const target = path === "" ? page : relative(ROOT, join(ROOT, dirname(page), path));
  if (target.startsWith("..")) return `${page}: ${link} leaves the project`;
  if (!existsSync(join(ROOT, target))) return `${page}: ${link} leads to no file`;
  if (heading === undefined || !target.endsWith(".md")) return undefined;
  const text = readFileSync(join(ROOT, target), "utf8");
  return headingsOf(text).has(heading) ? undefined : `${page}: ${link} leads to no heading`;
}

describe("the pages of the project", () => {
  test("have links that lead somewhere", () => {
    const links = [...pages].flatMap(([page, text]) => linksOf(text).map((link) => [page, link]));
    if (PAGES.length > 0) expect(links.length).toBeGreaterThan(0);
    expect(links.flatMap(([page, link]) => wrongWith(page!, link!) ?? [])).toEqual([]);
  });

  test("name commands of the package that exist", () => {
    const { scripts } = JSON.parse(readFileSync(join(ROOT, "package.json"), "utf8")) as {
      scripts: Record<string, string>;
    };
    const named = [...pages.values()].flatMap((text) =>
      [...text.matchAll(/npm run ([\w:]+)/g)].map((match) => match[1]!),
    );
    expect(named.filter((name) => scripts[name] === undefined)).toEqual([]);
  });
});

describe("the check itself", () => {
  test("sees links, pictures and headings, and no brackets in code", () => {
    expect(linksOf("[a](b.md) ![c](d.svg 'x') ![e](f.svg \"g\") `[h](i)`")).toEqual([
      "b.md",
      "f.svg",
    ]);
    expect(linksOf("```\n[a](b)\n```")).toEqual([]);
    expect(headingsOf("# One, two\n\n## `plumbvolt budget`\n")).toEqual(
      new Set(["one-two", "plumbvolt-budget"]),
    );
  });

  test("sees a link that leads nowhere", () => {
    expect(wrongWith("README.md", "docs/none.md")).toMatch(/no file/);
    expect(wrongWith("README.md", "../elsewhere.md")).toMatch(/leaves/);
    expect(wrongWith("README.md", "package.json")).toBeUndefined();
    if (PAGES.includes("README.md"))
      expect(wrongWith("README.md", "#no-such-heading")).toMatch(/no heading/);
  });
});
