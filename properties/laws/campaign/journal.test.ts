// Falsified by: a journal that loses a whole line, believes a torn or altered one or is silent about
// it, goes on with another campaign's results, writes over a file that is no journal, or joins
// journals that contradict each other.
import {
  appendFileSync,
  mkdtempSync,
  readFileSync,
  rmSync,
  truncateSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import * as fc from "fast-check";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { InvalidInputError } from "../../../lib/errors.ts";
import { joinJournals, openJournal, readJournal } from "../../campaign/journal.ts";

let folder = "";
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "journal-"));
});
afterEach(() => {
  rmSync(folder, { recursive: true });
});

const HEADER = { design: "a", seed: 1 };

function written(name: string, entries: readonly (readonly [string, number])[], header = HEADER) {
  const path = join(folder, name);
  const journal = openJournal<typeof HEADER, number>(path, header);
  for (const [key, value] of entries) journal.append(key, value);
  journal.close();
  return path;
}

describe("a journal", () => {
  it("keeps every whole line and drops the torn one, wherever it was cut", () => {
    const path = written("whole", [
      ["one", 1],
      ["two", 2],
      ["three", 3],
    ]);
    const bytes = readFileSync(path);
    const ends = [...bytes].flatMap((byte, index) => (byte === 0x0a ? [index + 1] : []));
    fc.assert(
      fc.property(fc.integer({ min: ends[0]!, max: bytes.length }), (cut) => {
        writeFileSync(path, bytes);
        truncateSync(path, cut);
        const whole = ends.filter((end) => end <= cut).length - 1;
        const journal = openJournal<typeof HEADER, number>(path, HEADER);
        journal.append("four", 4);
        journal.close();
        expect(journal.tornTail).toBe(!ends.includes(cut));
        const keys = ["one", "two", "three"].slice(0, whole);
        expect([...readJournal(path).results.keys()]).toEqual([...keys, "four"]);
      }),
    );
  });

  it("believes no line with a single altered character", () => {
    const path = written("altered", [["one", 1]]);
    const bytes = readFileSync(path);
    const begin = bytes.indexOf(0x0a) + 1;
    fc.assert(
      fc.property(
        fc.integer({ min: begin, max: bytes.length - 2 }),
        fc.integer({ min: 1, max: 255 }),
        (place, change) => {
          const altered = Buffer.from(bytes);
          altered[place] = bytes[place]! ^ change;
          if (altered[place] === 0x0a) return;
          writeFileSync(path, altered);
          expect(readJournal(path).results.size).toBe(0);
          expect(readJournal(path).damaged).toEqual([2]);
        },
      ),
    );
  });

  it("leaves out an altered line alone, says which it is, and takes what comes again", () => {
    const path = written("middle", [
      ["one", 1],
      ["two", 2],
      ["three", 3],
    ]);
    writeFileSync(path, readFileSync(path, "utf8").replace('"result":2', '"result":5'));
    const journal = openJournal<typeof HEADER, number>(path, HEADER);
    expect(journal.damaged).toEqual([3]);
    expect([...journal.results]).toEqual([
      ["one", 1],
      ["three", 3],
    ]);
    journal.append("two", 2);
    journal.close();
    const { results, damaged } = joinJournals<typeof HEADER, number>([path]);
    expect(Object.fromEntries(results)).toEqual({ one: 1, two: 2, three: 3 });
    expect(damaged).toEqual([`${path}: line 3 does not have its checksum`]);
  });

  it("begins again where its own first line was torn", () => {
    const path = written("first", []);
    const whole = readFileSync(path);
    truncateSync(path, 20);
    openJournal<typeof HEADER, number>(path, HEADER).close();
    expect(readFileSync(path)).toEqual(whole);
  });

  it("refuses to go on with the results of another campaign, and a file that is none", () => {
    const path = written("other", [["one", 1]]);
    const other = { ...HEADER, seed: 2 };
    expect(() => openJournal(path, other)).toThrow(InvalidInputError);
    expect(() => openJournal(path, other)).toThrow(/with seed = 2, received one with 1.*--anew/s);
    const plain = join(folder, "plain");
    appendFileSync(plain, "no journal\n");
    expect(() => readJournal(plain)).toThrow(/begun with a header/);
    for (const text of ["no journal\n", "no journal", '{"my":"notes"}\n']) {
      writeFileSync(plain, text);
      expect(() => openJournal(plain, HEADER)).toThrow(/begun with a header/);
      expect(readFileSync(plain, "utf8")).toBe(text);
    }
    expect(() => readJournal(join(folder, "none"))).toThrow(/no file/);
  });

  it("joins parts of one campaign, and refuses those that contradict or belong elsewhere", () => {
    const one = written("one", [["a", 1]]);
    const two = written("two", [
      ["b", 2],
      ["a", 1],
    ]);
    expect([...joinJournals([one, two]).results]).toEqual([
      ["a", 1],
      ["b", 2],
    ]);
    const contrary = written("contrary", [["a", 3]]);
    expect(() => joinJournals([one, contrary])).toThrow(/another result/);
    const elsewhere = written("elsewhere", [["c", 3]], { ...HEADER, seed: 9 });
    expect(() => joinJournals([one, elsewhere])).toThrow(/with seed = 1, received one with 9/);
  });
});
