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
  /** Numbers of lines that are left out because they do not have their checksum. */
  readonly damaged: readonly number[];
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

/** The value of a line; undefined for one that is altered. */
function valueOfLine(line: string): unknown {
  const text = line.slice(SUM + 1);
  if (line[SUM] !== " " || checksum(text) !== line.slice(0, SUM)) return undefined;
  return JSON.parse(text) as unknown;
}

interface ReadLines {
  /** Of the whole lines; undefined for one that is altered. */
  readonly values: readonly unknown[];
  /** Bytes up to the end of the last whole line. */
  readonly wholeBytes: number;
  readonly tornTail: boolean;
}

function bytesOf(path: string): Buffer {
  try {
    return readFileSync(path);
  } catch (error) {
    return refuse(path, "a readable file", (error as Error).message);
  }
}

/** Each line stands for itself: one that is altered leaves the others what they are. */
function readLines(path: string): ReadLines {
  const bytes = bytesOf(path);
  const values: unknown[] = [];
  let wholeBytes = 0;
  for (;;) {
    const end = bytes.indexOf(0x0a, wholeBytes);
    if (end < 0) break;
    values.push(valueOfLine(bytes.toString("utf8", wholeBytes, end)));
    wholeBytes = end + 1;
  }
  return { values, wholeBytes, tornTail: wholeBytes < bytes.length };
}

function refuse(path: string, permitted: string, received: string, hint?: string): never {
  const fault = { path, quantity: "journal", permitted, received };
  throw new InvalidInputError("journal", [hint === undefined ? fault : { ...fault, hint }]);
}

/** The first place at which two headers differ, with what stands there in either; or nothing. */
function difference(one: unknown, other: unknown, at = ""): readonly string[] | undefined {
  const [text, otherText] = [one, other].map((value) => JSON.stringify(value) ?? "nothing");
  if (text === otherText) return undefined;
  const isOpen = (value: unknown): value is object => typeof value === "object" && value !== null;
  if (!isOpen(one) || !isOpen(other)) return [at, text!, otherText!];
  const [before, after] = [one, other] as Record<string, unknown>[];
  for (const key of new Set([...Object.keys(before!), ...Object.keys(after!)])) {
    const found = difference(before![key], after![key], at === "" ? key : `${at}.${key}`);
    if (found !== undefined) return found;
  }
  return [at, "the same", "the same in another order"];
}

/** Refuses a journal whose header is not the one expected, with the first place that differs. */
function requireHeader(path: string, found: unknown, expected: unknown, hint: string): void {
  const differs = difference(found, expected);
  if (differs === undefined) return;
  const [at, has, asked] = differs;
  refuse(path, `that of the same campaign, with ${at} = ${asked}`, `one with ${has}`, hint);
}

interface Line<Result> {
  readonly key: string;
  readonly result: Result;
}

/** What a finished journal holds. */
export interface ReadJournal<Header, Result> {
  readonly header: Header;
  readonly results: ReadonlyMap<string, Result>;
  /** Numbers of lines that are left out because they do not have their checksum. */
  readonly damaged: readonly number[];
}

function contentOf<Header, Result>(path: string, lines: ReadLines): ReadJournal<Header, Result> {
  const [first, ...rest] = lines.values as [
    { readonly header?: Header }?,
    ...(Line<Result> | undefined)[],
  ];
  if (first?.header === undefined)
    refuse(path, "begun with a header", "a file without a good first line");
  const results = new Map<string, Result>();
  const damaged: number[] = [];
  for (const [index, line] of rest.entries())
    if (line === undefined) damaged.push(index + 2);
    else results.set(line.key, line.result);
  return { header: first.header, results, damaged };
}

/** Reads a journal. Throws InvalidInputError for a file that is none. */
export function readJournal<Header, Result>(path: string): ReadJournal<Header, Result> {
  if (!existsSync(path)) refuse(path, "an existing file", "no file");
  return contentOf(path, readLines(path));
}

const ANEW = "name another folder, or begin anew and set this journal aside with --anew";

/**
 * Opens a journal for appending: begins it where there is none, and goes on where one with the
 * same header lies; a torn tail is cut off. Each line carries a checksum, and one that does not
 * have it is left out.
 *
 * Throws InvalidInputError where the file belongs to another campaign or is no journal.
 */
export function openJournal<Header, Result>(path: string, header: Header): Journal<Result> {
  const begin = lineOf({ header });
  let results = new Map<string, Result>();
  let tornTail = false;
  let damaged: readonly number[] = [];
  const lines = existsSync(path) ? readLines(path) : undefined;
  const isBegun = lines !== undefined && lines.values.length > 0;
  if (isBegun) {
    const earlier = contentOf<Header, Result>(path, lines);
    requireHeader(path, earlier.header, header, ANEW);
    results = new Map(earlier.results);
    ({ damaged } = earlier);
  } else if (lines?.tornTail === true && !begin.startsWith(readFileSync(path, "utf8")))
    refuse(path, "begun with a header", "a file that is no journal", ANEW);
  if (lines !== undefined) {
    ({ tornTail } = lines);
    truncateSync(path, lines.wholeBytes);
  }
  const file = openSync(path, "a");
  if (!isBegun) writeSync(file, begin);
  return {
    results,
    tornTail,
    damaged,
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

/** Which lines of a journal were left out; nothing where there are none. */
export function damagedText(path: string, damaged: readonly number[]): string | undefined {
  if (damaged.length === 0) return undefined;
  const more = damaged.length === 1 ? "" : `, and ${damaged.length - 1} more`;
  return `${path}: line ${damaged[0]} does not have its checksum${more}`;
}

/** What the journals of one campaign hold together. */
export interface JoinedJournals<Header, Result> {
  readonly header: Header;
  readonly results: ReadonlyMap<string, Result>;
  /** What is told of the lines that were left out, for each journal that has such. */
  readonly damaged: readonly string[];
}

/**
 * Results of several journals of one campaign together. Throws InvalidInputError where headers
 * differ, or where two journals give different results for one key.
 */
export function joinJournals<Header, Result>(
  paths: readonly string[],
): JoinedJournals<Header, Result> {
  const journals = paths.map((path) => ({ path, ...readJournal<Header, Result>(path) }));
  const [first] = journals;
  if (first === undefined) refuse("", "at least one", "none");
  const results = new Map<string, Result>();
  const hint = `the first journal named is ${first.path}`;
  for (const { path, header, results: own } of journals) {
    requireHeader(path, header, first.header, hint);
    for (const [key, result] of own) {
      const known = results.get(key);
      if (known !== undefined && JSON.stringify(known) !== JSON.stringify(result))
        refuse(path, `as ${key} has it in an earlier journal`, "another result");
      results.set(key, result);
    }
  }
  const damaged = journals.flatMap((journal) => damagedText(journal.path, journal.damaged) ?? []);
  return { header: first.header, results, damaged };
}
