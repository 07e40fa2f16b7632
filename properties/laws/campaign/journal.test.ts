// Falsified by: a journal that loses a whole line, believes a torn or altered one, goes on with
// another campaign's results, or joins journals that contradict each other.
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
        },
      ),
    );
  });

  it("refuses to go on with the results of another campaign, and a file that is none", () => {
    const path = written("other", [["one", 1]]);
    expect(() => openJournal(path, { ...HEADER, seed: 2 })).toThrow(InvalidInputError);
    const plain = join(folder, "plain");
    appendFileSync(plain, "no journal\n");
    expect(() => readJournal(plain)).toThrow(/begun with a header/);
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
    expect(() => joinJournals([one, elsewhere])).toThrow(/other inputs/);
  });
});
