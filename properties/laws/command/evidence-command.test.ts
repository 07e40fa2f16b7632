// Falsified by: evidence that is not the same bytes when it is made again, that its own check does
// not confirm, or an altered record, file or figure that the check lets pass.
import { createHash } from "node:crypto";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { recordDigest } from "../../../lib/report/record-canonical.ts";
import type { EvidenceRecord } from "../../../lib/report/record-document.ts";
import { exampleDocument } from "../../support/example-designs.ts";
import { runCommand } from "../../support/command-line.ts";

const folder = mkdtempSync(join(tmpdir(), "evidence-"));
const first = join(folder, "first");
const recordPath = join(first, "record.json");
const design = join(folder, "design.json");
const requirements = join(folder, "requirements.json");
const OPTIONS = ["--limits", "iec-60335-1-22.5/plug", "--trials", "10000"];

const made = (out: string, ...more: readonly string[]) =>
  runCommand("evidence", design, ...OPTIONS, "--requirements", requirements, "--out", out, ...more);

beforeAll(async () => {
  // A small range keeps the bands few.
  const document = exampleDocument("01-no-adjustment");
  document.measuringInterval = ["-36 V", "36 V"];
  document.conditions.mains.voltages = ["23 V"];
  const asked = document.requirements?.slice(0, 1);
  writeFileSync(design, JSON.stringify({ ...document, requirements: asked, compareWith: [] }));
  const list = [{ id: "S-9", text: "<b>bold</b>", source: "S", coveredBy: ["claim/absent"] }];
  writeFileSync(requirements, JSON.stringify({ requirements: list }));
  const { code, error } = await made(first, "--date", "2026-11-25");
  expect(error).toBe("");
  expect([1, 3]).toContain(code);
}, 120_000);

afterAll(() => rmSync(folder, { recursive: true }));

const recordText = readFileSync.bind(undefined, recordPath, "utf8") as () => string;
const record = (): EvidenceRecord => JSON.parse(recordText()) as EvidenceRecord;

/** Puts a text in place of a file while `work` runs. */
async function whileAltered<Result>(
  path: string,
  text: string,
  work: () => Promise<Result>,
): Promise<Result> {
  const before = readFileSync(path);
  writeFileSync(path, text);
  try {
    return await work();
  } finally {
    writeFileSync(path, before);
  }
}

describe("plumbvolt evidence", () => {
  test("writes the same bytes again but for the date, and its check confirms them", async () => {
    const second = join(folder, "second");
    await made(second, "--date", "2027-02-03");
    for (const { path } of record().files)
      expect(readFileSync(join(second, path)).equals(readFileSync(join(first, path))), path).toBe(
        true,
      );
    const other = readFileSync(join(second, "record.json"), "utf8");
    const later = JSON.parse(other) as EvidenceRecord;
    expect(later.digest.content).toBe(record().digest.content);
    expect(later.date).toBe("2027-02-03");
    expect(readFileSync(join(second, "verdicts.xml"))).toEqual(
      readFileSync(join(first, "verdicts.xml")),
    );
    const check = await runCommand("check-record", join(second, "record.json"), "--all");
    expect(check.out).toMatch(/\nconfirmed$/);
    expect(check.code).toBe(0);
  });

  test("is refused with every fault of its options", async () => {
    const options = ["--date", "2026-02-30", "--trials", "5", "--seed", "x", "--limits", "none,y"];
    const { code, error } = await runCommand("evidence", design, ...options);
    expect(code).toBe(2);
    for (const option of ["--date", "--trials", "--seed", "--limits"])
      expect(error).toContain(option);
  });
});

describe("plumbvolt check-record", () => {
  test("refuses a record in which any one digit was altered", async () => {
    const text = recordText();
    const digits = [...text.matchAll(/\d/g)].map(({ index }) => index);
    expect(digits.length).toBeGreaterThan(1000);
    const step = Math.floor(digits.length / 25);
    for (const place of digits.filter((_, index) => index % step === 0)) {
      const digit = text[place] === "9" ? "8" : String(Number(text[place]) + 1);
      const altered = text.slice(0, place) + digit + text.slice(place + 1);
      const { code, out } = await whileAltered(recordPath, altered, () =>
        runCommand("check-record", recordPath),
      );
      expect(code, altered.slice(place - 60, place + 60)).toBeGreaterThan(0);
      expect(out).not.toMatch(/\nconfirmed/);
    }
  });

  test("refuses a file of the folder that was altered or is missing", async () => {
    const path = join(first, "checkpoints.csv");
    const { code, out } = await whileAltered(path, "x", () =>
      runCommand("check-record", recordPath),
    );
    expect(code).toBe(1);
    expect(out).toContain("differs: checkpoints.csv");
  });

  test("sees through a record whose digests were made again", async () => {
    const forged = structuredClone(record()) as unknown as { rows: { high: { proven: number } }[] };
    const row = forged.rows.at(-1)!;
    row.high.proven *= 0.5;
    const whole = forged as unknown as EvidenceRecord;
    const digest = recordDigest(whole, (text) => createHash("sha256").update(text).digest("hex"));
    const text = JSON.stringify({ ...whole, digest });
    const { code, out } = await whileAltered(recordPath, text, () =>
      runCommand("check-record", recordPath),
    );
    expect(code).toBe(1);
    expect(out).toMatch(/differs: row of 36 V: not what the certificate proves/);
    expect(out).toMatch(/differs: record\.json\.rows\.\d+\.high\.proven/);
  });

  test("refuses what is no record with exit code 2", async () => {
    const { code, error } = await runCommand("check-record", design);
    expect(code).toBe(2);
    expect(error).toMatch(/format/);
  });
});
