// Falsified by: a page of evidence that asks for anything from anywhere, needs a script, reports an
// error, fails an automated accessibility check in light or dark, loses a section on paper, breaks
// out of its width, or takes a user's text as mark-up. Run by `npm run test:browser`; it needs the
// browser that Debian packages as chromium.
import { execFileSync } from "node:child_process";
import { existsSync, mkdtempSync, rmSync, statSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import axe from "axe-core";
import { chromium } from "playwright-core";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { HOSTILE_TEXTS } from "../laws/report/budget-arbitrary.ts";
import { evidenceFixtureWithPictures } from "../support/record-fixture.ts";

const BROWSER = process.env["CHROMIUM"] ?? "/usr/bin/chromium";

const folder = mkdtempSync(join(tmpdir(), "page-"));
const file = join(folder, "page.html");
let browser: Browser;

beforeAll(async () => {
  if (!existsSync(BROWSER)) throw new Error(`the checks of the page need a browser at ${BROWSER}`);
  const users = HOSTILE_TEXTS.map((text, place) => ({
    id: `H-${place}`,
    text,
    source: text,
    coveredBy: [],
  }));
  writeFileSync(file, (await evidenceFixtureWithPictures({ users })).page);
  browser = await chromium.launch({ executablePath: BROWSER, args: ["--no-sandbox"] });
});

afterAll(async () => {
  await browser?.close();
  rmSync(folder, { recursive: true });
});

/** The page opened from its file, with what it asked for and what it complained of. */
async function opened(options: { readonly script: boolean; readonly dark?: boolean }) {
  const context = await browser.newContext({
    javaScriptEnabled: options.script,
    bypassCSP: options.script,
    colorScheme: options.dark === true ? "dark" : "light",
    viewport: { width: 1100, height: 900 },
  });
  const page = await context.newPage();
  const requests: string[] = [];
  const complaints: string[] = [];
  page.on("request", (request) => requests.push(request.url()));
  page.on("console", (message) => complaints.push(message.text()));
  page.on("pageerror", (error) => complaints.push(String(error)));
  await page.goto(pathToFileURL(file).href);
  return { context, page, requests, complaints };
}

async function violations(page: Page): Promise<readonly string[]> {
  await page.evaluate(axe.source);
  const found = (await page.evaluate("axe.run(document)")) as {
    readonly passes: readonly unknown[];
    readonly violations: readonly { id: string; nodes: readonly { html: string }[] }[];
  };
  expect(found.passes.length).toBeGreaterThan(15);
  return found.violations.map(({ id, nodes }) => `${id}: ${nodes[0]?.html ?? ""}`);
}

describe("the page of the evidence in a browser", () => {
  test("asks for nothing but itself and complains of nothing", async () => {
    const { context, requests, complaints } = await opened({ script: true });
    expect(requests).toEqual([pathToFileURL(file).href]);
    expect(complaints).toEqual([]);
    await context.close();
  });

  test("is painted without any script and holds none", async () => {
    const { context, page } = await opened({ script: false });
    expect(await page.locator("script").count()).toBe(0);
    expect(await page.locator("h1").isVisible()).toBe(true);
    expect(await page.locator("figure svg").first().isVisible()).toBe(true);
    expect(await page.locator("table").count()).toBeGreaterThan(5);
    await context.close();
  });

  test.each([false, true])("passes an accessibility check, dark: %s", async (dark) => {
    const { context, page } = await opened({ script: true, dark });
    const ground = await page.evaluate(
      "getComputedStyle(document.documentElement).backgroundColor",
    );
    expect(ground).toBe(dark ? "rgb(20, 27, 34)" : "rgb(255, 255, 255)");
    expect(await violations(page)).toEqual([]);
    await context.close();
  });

  test("draws its pictures in the colours of the page", async () => {
    const fills = await Promise.all(
      [false, true].map(async (dark) => {
        const { context, page } = await opened({ script: true, dark });
        const fill: unknown = await page.evaluate(
          "getComputedStyle(document.querySelector('figure svg > rect')).fill",
        );
        await context.close();
        return fill;
      }),
    );
    expect(fills).toEqual(["rgb(255, 255, 255)", "rgb(20, 27, 34)"]);
  });

  test("shows mark-up in a user's text as text", async () => {
    const { context, page } = await opened({ script: true });
    const text = await page.locator("body").innerText();
    expect(text).toContain("<script>alert('1')</script>");
    expect(text).toContain('</text></svg><b onload="x">&amp;');
    expect(await page.locator("main script, main b, [onload]").count()).toBe(0);
    await context.close();
  });

  test("breaks out of no width, on a screen or a telephone", async () => {
    const { context, page } = await opened({ script: true });
    for (const width of [1100, 420]) {
      await page.setViewportSize({ width, height: 900 });
      const wide = (await page.evaluate("document.documentElement.scrollWidth")) as number;
      expect(wide).toBeLessThanOrEqual(width);
    }
    await context.close();
  });

  test("prints every section to A4 with page numbers, the basis before the verdicts", async () => {
    const { context, page } = await opened({ script: false });
    const paper = join(folder, "page.pdf");
    await page.pdf({ path: paper, preferCSSPageSize: true });
    await context.close();
    expect(statSync(paper).size).toBeGreaterThan(10_000);
    const facts = execFileSync("pdfinfo", [paper], { encoding: "utf8" });
    expect(facts).toMatch(/Page size:\s+59[45]\.\d+ x 84[12]\.\d* pts \(A4\)/);
    const text = execFileSync("pdftotext", ["-layout", paper, "-"], { encoding: "utf8" });
    const pages = Number(/Pages:\s+(\d+)/.exec(facts)![1]);
    expect(text).toContain(`page ${pages} of ${pages}`);
    const heads = ["1. The answer", "2. Error against", "3. What makes", "4. Verification matrix"];
    const more = ["5. Claims", "6. Acceptance limits", "7. Equation", "8. Sign-off"];
    for (const head of [...heads, ...more]) expect(text).toContain(head);
    const front = text.split("\f")[0]!;
    for (const head of ["Conditional on", "Assumed", "Not modelled"]) expect(front).toContain(head);
    const verdict = text.indexOf("Verdict for each requirement");
    expect(verdict).toBeGreaterThan(text.indexOf("Not modelled"));
  });
});
