// Falsified by a log that is silent through a long run or is flooded by a short one, and by a
// terminal whose line is not written over.
import { expect, test } from "vitest";
import { progressTo } from "../../../lib/command/progress.ts";

/** What a run of so many seconds writes that tells of itself every second. */
function written(isTerminal: boolean, seconds: number): string[] {
  const texts: string[] = [];
  let time = 5_000;
  const tell = progressTo({ isTerminal, write: (text) => texts.push(text), now: () => time });
  for (let second = 1; second <= seconds; second += 1) {
    time += 1_000;
    tell(`${second} of ${seconds}`);
  }
  tell("");
  return texts;
}

test("a log has a line every half minute, and none of a short run", () => {
  expect(written(false, 29)).toEqual([]);
  expect(written(false, 100)).toEqual(["30 of 100\n", "60 of 100\n", "90 of 100\n"]);
});

test("on a terminal every text takes the place of the one before, and the last one clears it", () => {
  const texts = written(true, 3);
  expect(texts).toHaveLength(4);
  for (const text of texts) expect(text.startsWith("\r\u001B[2K")).toBe(true);
  expect(texts.at(-1)).toBe("\r\u001B[2K");
});
