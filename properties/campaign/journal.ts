import { createHash } from "node:crypto";
import {
  closeSync,
  existsSync,
  fsyncSync,
  openSync,
  readFileSync,
  truncateSync,
  writeSync,
} from "node:fs";
import { InvalidInputError } from "../../lib/errors.ts";

/** A journal of finished work: what was done before, and a place for what is done now. */
export interface Journal<Result> {
  /** Results by key, those of earlier runs included, in the order of the file. */
  readonly results: ReadonlyMap<string, Result>;
  /** Whether something after the last whole line was dropped. */
  readonly tornTail: boolean;
  /** Writes a result through to the disk. */
  append(key: string, result: Result): void;
  close(): void;
}

/** Characters of the checksum of a line: a torn or altered line does not pass by chance. */
const SUM = 16;

function checksum(text: string): string {
  return createHash("sha256").update(text).digest("hex").slice(0, SUM);
}

function lineOf(value: unknown): string {
  const text = JSON.stringify(value);
  return `${checksum(text)} ${text}\n`;
}

/** The value of a line; undefined for one that is torn or altered. */
function valueOfLine(line: string): unknown {
  const text = line.slice(SUM + 1);
  if (line[SUM] !== " " || checksum(text) !== line.slice(0, SUM)) return undefined;
  return JSON.parse(text) as unknown;
}

interface ReadLines {
  readonly values: readonly unknown[];
  /** Bytes up to the end of the last good line. */
  readonly goodBytes: number;
  readonly tornTail: boolean;
}

/** Good lines of a file up to the first that is not: nothing behind a torn line is trusted. */
function readLines(path: string): ReadLines {
  const bytes = readFileSync(path);
  const values: unknown[] = [];
  let goodBytes = 0;
  for (;;) {
    const end = bytes.indexOf(0x0a, goodBytes);
    if (end < 0) break;
    const value = valueOfLine(bytes.toString("utf8", goodBytes, end));
    if (value === undefined) break;
    values.push(value);
    goodBytes = end + 1;
  }
  return { values, goodBytes, tornTail: goodBytes < bytes.length };
}

function refuse(path: string, permitted: string, received: string): never {
  throw new InvalidInputError("journal", [{ path, quantity: "journal", permitted, received }]);
}

interface Line<Result> {
  readonly key: string;
  readonly result: Result;
}

/** What a finished journal holds. */
export interface ReadJournal<Header, Result> {
  readonly header: Header;
  readonly results: ReadonlyMap<string, Result>;
}

function contentOf<Header, Result>(path: string, lines: ReadLines): ReadJournal<Header, Result> {
  const [first, ...rest] = lines.values as [{ readonly header?: Header }?, ...Line<Result>[]];
  if (first?.header === undefined)
    refuse(path, "begun with a header", "a file without a good first line");
  const results = new Map<string, Result>();
  for (const { key, result } of rest) results.set(key, result);
  return { header: first.header, results };
}

/** Reads a journal. Throws InvalidInputError for a file that is none. */
export function readJournal<Header, Result>(path: string): ReadJournal<Header, Result> {
  if (!existsSync(path)) refuse(path, "an existing file", "no file");
  return contentOf(path, readLines(path));
}

/**
 * Opens a journal for appending: begins it where there is none, and goes on where one with the
 * same header lies; a torn tail is cut off. Each line carries a checksum.
 *
 * Throws InvalidInputError where the file belongs to another campaign.
 */
export function openJournal<Header, Result>(path: string, header: Header): Journal<Result> {
  const begin = lineOf({ header });
  let results = new Map<string, Result>();
  let tornTail = false;
  const lines = existsSync(path) ? readLines(path) : undefined;
  const isBegun = lines !== undefined && lines.values.length > 0;
  if (isBegun) {
    const earlier = contentOf<Header, Result>(path, lines);
    if (lineOf({ header: earlier.header }) !== begin)
      refuse(path, "that of the same campaign", "one with other inputs");
    results = new Map(earlier.results);
  }
  if (lines !== undefined) {
    tornTail = lines.tornTail;
    truncateSync(path, lines.goodBytes);
  }
  const file = openSync(path, "a");
  if (!isBegun) writeSync(file, begin);
  return {
    results,
    tornTail,
    append: (key, result) => {
      writeSync(file, lineOf({ key, result } satisfies Line<Result>));
      results.set(key, result);
    },
    close: () => {
      fsyncSync(file);
      closeSync(file);
    },
  };
}

/**
 * Results of several journals of one campaign together. Throws InvalidInputError where headers
 * differ, or where two journals give different results for one key.
 */
export function joinJournals<Header, Result>(
  paths: readonly string[],
): ReadJournal<Header, Result> {
  const journals = paths.map((path) => ({ path, ...readJournal<Header, Result>(path) }));
  const [first] = journals;
  if (first === undefined) refuse("", "at least one", "none");
  const results = new Map<string, Result>();
  for (const { path, header, results: own } of journals) {
    if (JSON.stringify(header) !== JSON.stringify(first.header))
      refuse(path, `of the campaign of ${first.path}`, "one with other inputs");
    for (const [key, result] of own) {
      const known = results.get(key);
      if (known !== undefined && JSON.stringify(known) !== JSON.stringify(result))
        refuse(path, `as ${key} has it in an earlier journal`, "another result");
      results.set(key, result);
    }
  }
  return { header: first.header, results };
}
