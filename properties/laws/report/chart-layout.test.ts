// Falsified by labels that overlap or leave their line while there is room, labels moved although
// nothing was in their way, text wider than its box, a lost word, an axis on which a larger value
// stands lower, or ticks closer than asked.
import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { cutToWidth, linesInBox, textWidth } from "../../../lib/report/chart-text.ts";
import { spreadLabels } from "../../../lib/report/label-spread.ts";
import { axisShare, axisTicks } from "../../../lib/report/symmetric-log.ts";

/** Rounding of sums of pixels. */
const PIXEL_SLACK = 1e-6;
const labels = fc.array(
  fc.record({
    wanted: fc.integer({ min: -100, max: 600 }),
    size: fc.integer({ min: 1, max: 60 }),
  }),
  { maxLength: 14 },
);

describe("labels along a line", () => {
  test("never overlap, and stay inside the line where they fit into it", () => {
    fc.assert(
      fc.property(labels, (given) => {
        const total = given.reduce((sum, { size }) => sum + size, 0);
        const line = { from: 0, to: Math.max(500, total) };
        const placed = spreadLabels(given, line).map((middle, place) => {
          const size = given[place]?.size ?? 0;
          return { from: middle - size / 2, to: middle + size / 2 };
        });
        placed.sort((one, other) => one.from - other.from);
        for (const [place, { from, to }] of placed.entries()) {
          expect(from).toBeGreaterThanOrEqual((placed[place - 1]?.to ?? line.from) - PIXEL_SLACK);
          expect(to).toBeLessThanOrEqual(line.to + PIXEL_SLACK);
        }
      }),
    );
  });

  test("keep their order, and their place where nothing is in the way", () => {
    fc.assert(
      fc.property(labels, (given) => {
        const placed = spreadLabels(given, { from: 0, to: 900 });
        for (const [one, { wanted }] of given.entries()) {
          for (const [other, label] of given.entries()) {
            if (wanted < label.wanted) expect(placed[one]).toBeLessThan(placed[other] ?? 0);
          }
        }
      }),
    );
    const apart = [100, 300, 200].map((wanted) => ({ wanted, size: 50 }));
    expect(spreadLabels(apart, { from: 0, to: 400 })).toEqual([100, 300, 200]);
    // Two that want one place share the way: each moves by half a label.
    const same = [100, 100].map((wanted) => ({ wanted, size: 20 }));
    expect(spreadLabels(same, { from: 0, to: 400 })).toEqual([90, 110]);
  });
});

describe("a text in a box", () => {
  const texts = fc.lorem({ maxCount: 20 });
  const boxes = fc.record({
    width: fc.integer({ min: 40, max: 400 }),
    fontSize: fc.integer({ min: 8, max: 16 }),
    lines: fc.integer({ min: 1, max: 6 }),
  });

  test("keeps to its lines and its width, and loses words only with an ellipsis", () => {
    fc.assert(
      fc.property(texts, boxes, (text, box) => {
        const lines = linesInBox(text, box);
        expect(lines.length).toBeLessThanOrEqual(box.lines);
        for (const line of lines) {
          expect(textWidth(line, box.fontSize)).toBeLessThanOrEqual(box.width);
        }
        const kept = lines.join(" ");
        if (!kept.includes("…")) expect(kept).toBe(text);
      }),
    );
  });

  test("is not cut where it fits", () => {
    expect(cutToWidth("34 V", { width: 100, fontSize: 12 })).toBe("34 V");
    expect(linesInBox("5 % of indication at 34 V", { width: 90, fontSize: 12, lines: 3 })).toEqual([
      "5 % of",
      "indication at",
      "34 V",
    ]);
    // A figure and its unit stay together.
    expect(linesInBox("up to 1000 V", { width: 75, fontSize: 12, lines: 3 })).toEqual([
      "up to",
      "1000 V",
    ]);
  });
});

describe("an axis that is logarithmic away from zero", () => {
  const axes = fc
    .tuple(fc.integer({ min: 0, max: 5000 }), fc.integer({ min: 1, max: 5000 }))
    .chain(([below, above]) =>
      fc.record({
        constant: fc.integer({ min: 1, max: 2000 }).map((count) => count / 10),
        domain: fc.constant([-below / 10, above / 10] as const),
      }),
    );

  test("rises with the value, runs from 0 to 1, and mirrors the signs", () => {
    fc.assert(
      fc.property(axes, fc.integer({ min: 1, max: 999 }), (axis, mille) => {
        const [lower, upper] = axis.domain;
        const value = lower + ((upper - lower) * mille) / 1000;
        expect(axisShare(lower, axis)).toBe(0);
        expect(axisShare(upper, axis)).toBe(1);
        expect(axisShare(value, axis)).toBeGreaterThan(0);
        expect(axisShare(value, axis)).toBeLessThan(1);
        const both = { constant: axis.constant, domain: [-upper, upper] as const };
        const mirrored = axisShare(-value, both) + axisShare(value, both);
        expect(mirrored).toBeCloseTo(1, 9);
      }),
    );
    // log(1 + 34/34) over log(1 + 102/34) is log 2 over log 4.
    expect(axisShare(34, { constant: 34, domain: [0, 102] })).toBeCloseTo(0.5, 12);
  });

  test("has zero and round values as ticks, none closer to the next than asked", () => {
    fc.assert(
      fc.property(axes, fc.integer({ min: 15, max: 60 }), (axis, spacing) => {
        const ticks = axisTicks(axis, { length: 600, spacing, ends: "asked" });
        expect(ticks).toContain(0);
        for (const [place, tick] of ticks.entries()) {
          const isEnd = axis.domain.includes(tick);
          if (!isEnd && tick !== 0) expect(Math.abs(tick).toExponential()).toMatch(/^[125]e/);
          const next = ticks[place + 1];
          if (next === undefined) continue;
          const pixels = 600 * (axisShare(next, axis) - axisShare(tick, axis));
          expect(pixels).toBeGreaterThanOrEqual(spacing - PIXEL_SLACK);
        }
      }),
    );
    const axis = { constant: 30, domain: [-440, 440] as const };
    const ticks = axisTicks(axis, { length: 600, spacing: 40, ends: "asked" });
    expect(ticks).toEqual([-440, -200, -100, -50, -20, 0, 20, 50, 100, 200, 440]);
  });
});
