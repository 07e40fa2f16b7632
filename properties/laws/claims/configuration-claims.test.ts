// Falsified by: firmware that accepts what the port forbids, refuses it for another reason, takes two
// channels in otherwise than one, reads a moment otherwise beside another one, or reports what does
// not fit its phase, and keeps the claim; or the example firmware breaking one of them.
import { fileURLToPath } from "node:url";
import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import { loadFirmware } from "../../../sim/firmware/firmware-files.ts";
import { firmwareSource } from "../../../sim/firmware/firmware-source.ts";
import { brokenRule, refused } from "../../../sim/firmware/port-rules.ts";
import type {
  BlockOutcome,
  Configuration,
  Crossing,
  Firmware,
  Report,
  SampleBlock,
} from "../../../sim/firmware/port.ts";
import { stratifiedDraws } from "../../arbitraries/draws.ts";
import type { Draw } from "../../arbitraries/parameter.ts";
import { evaluateDraw } from "../../campaign/evaluate-draw.ts";
import type { Judgement } from "../../claims/claim.ts";
import type { Subject } from "../../claims/episode.ts";
import { judgementOf } from "../../claims/judgement-of.ts";
import { MORE_CLAIMS } from "../../claims/more/more-claims.ts";
import { DEFAULT_PROMISES } from "../../claims/promises.ts";
import { voltageBoundsOf } from "../../claims/voltage-bounds.ts";
import { exampleDesign } from "../../support/example-designs.ts";
import { TWO_POINT } from "../sim/scenarios.ts";

const subject: Subject = {
  design: TWO_POINT,
  promises: DEFAULT_PROMISES,
  bounds: voltageBoundsOf(TWO_POINT),
};

const BUILD = "../../../examples/21-trigger-firmware/build/trigger.firmware.json";
const example = firmwareSource(loadFirmware(fileURLToPath(new URL(BUILD, import.meta.url))));

/** What comes between the example firmware and its host. */
interface Between {
  readonly configuration?: (asked: Configuration) => Configuration;
  readonly block?: (given: SampleBlock) => SampleBlock;
  readonly outcome?: (said: BlockOutcome) => BlockOutcome;
  readonly report?: (said: Report) => Report;
}

function changed({ configuration, block, outcome, report }: Between): Firmware {
  const honest = example.open();
  const asked = (given: Configuration): Configuration => configuration?.(given) ?? given;
  return {
    start: (given) => honest.start(asked(given)),
    rearm: (given) => honest.rearm(asked(given)),
    samples: (given) => {
      const said = honest.samples(block?.(given) ?? given);
      return outcome?.(said) ?? said;
    },
    report: () => {
      const said = honest.report();
      if (said.kind !== "report" || report === undefined) return said;
      return { kind: "report", report: report(said.report) };
    },
    get trace() {
      return honest.trace;
    },
  };
}

function judgements(id: string, firmware: Firmware, among: (draw: Draw) => boolean = () => true) {
  const claim = MORE_CLAIMS.find((one) => one.id === id)!;
  const space = claim.over(subject);
  const numRuns = claim.enumeration?.members(subject, true).length ?? 60;
  const draws = fc
    .sample(stratifiedDraws(space.parameters), { numRuns, seed: 17 })
    .map((draw, index) =>
      claim.enumeration === undefined ? draw : { ...draw, [claim.enumeration.by]: index },
    );
  return draws.filter(among).flatMap((draw): Judgement[] => {
    const played = evaluateDraw({ subject, firmware }, space, draw);
    return played.kind === "played" ? [judgementOf(claim, played.episode)] : [];
  });
}

/** What was found against a claim, each once. */
function against(id: string, between: Between, among?: (draw: Draw) => boolean): string[] {
  const found = judgements(id, changed(between), among).flatMap((one) =>
    one.kind === "judged" && one.margin < 0 ? [one.because] : [],
  );
  return [...new Set(found)];
}

it.each(["refusal", "two-channels", "moments", "report", "re-arming"])(
  "the example firmware keeps %s, which applies",
  (id) => {
    const all = judgements(id, changed({}));
    expect(all.filter((one) => one.kind === "judged" && one.margin < 0)).toEqual([]);
    expect(all.filter(({ kind }) => kind === "judged").length).toBeGreaterThan(15);
  },
);

describe("a configuration that breaks a rule", () => {
  const nothing: Report = {
    phase: "synchronising",
    flags: new Set(),
    candidate: undefined,
    confirmation: undefined,
    opening: undefined,
    readings: [],
    crossings: [],
  };
  const tester = (start: Firmware["start"]): Firmware => ({
    ...changed({}),
    start,
    report: () => ({ kind: "report", report: nothing }),
  });

  it("is what brokenRule says of it, and the example's own is none", () => {
    const all = judgements(
      "refusal",
      tester((given) => {
        const rule = brokenRule(given);
        return rule === undefined ? { kind: "started" } : refused(rule);
      }),
    );
    expect(all.length).toBeGreaterThan(15);
    expect(all.filter((one) => one.kind === "judged" && one.margin < 0)).toEqual([]);
  });

  it("is broken in each case when all is accepted, and when all is refused for one reason", () => {
    const accepting = judgements(
      "refusal",
      tester(() => ({ kind: "started" })),
    );
    for (const one of accepting)
      expect(one).toMatchObject({ margin: -1, because: expect.stringMatching(/: accepted$/) });
    const blunt = judgements(
      "refusal",
      tester(() => refused("other")),
    );
    for (const one of blunt)
      expect(one).toMatchObject({
        margin: -1,
        because: expect.stringMatching(/refused for other/),
      });
  });
});

it("a second channel that is left out is found, of two pins and of two ranges", () => {
  const single: Between = {
    configuration: (asked) => ({
      ...asked,
      role: "single",
      channels: asked.channels.slice(0, 1),
    }),
    block: (given) => ({ ...given, codes: given.codes.slice(0, 1) }),
  };
  for (const wiring of [0, 1])
    expect(against("two-channels", single, (draw) => draw["wiring"] === wiring)).not.toEqual([]);
});

it("a moment that is taken for another one, and a window that is always centred, are found", () => {
  const early: Between = {
    configuration: (asked) => ({
      ...asked,
      moments: asked.moments.map((_, index) => asked.moments[0]! + index),
    }),
  };
  const isLater = (draw: Draw): boolean => draw["request"] === 0;
  expect(against("moments", early, isLater)).not.toEqual([]);
  const centred: Between = {
    configuration: (asked) => ({ ...asked, windowPosition: "centred" }),
  };
  for (const request of [2, 3])
    expect(against("moments", centred, (draw) => draw["request"] === request)).not.toEqual([]);
});

describe("a report", () => {
  const reported = (report: (said: Report) => Report): Between => ({ report });
  it.each<[string, RegExp, Between]>([
    [
      "without opening",
      /a reading without an opening/,
      reported((r) => ({ ...r, opening: undefined })),
    ],
    [
      "without candidate",
      /a confirmation without a candidate/,
      reported((r) => ({ ...r, candidate: undefined })),
    ],
    [
      "of a candidate without one",
      /the phase of a candidate without one/,
      reported((r) => ({ ...r, candidate: undefined })),
    ],
    [
      "without confirmation",
      /timing without a confirmation/,
      reported((r) => ({ ...r, confirmation: undefined })),
    ],
    [
      "of an opening that is not confirmed",
      /an opening without a confirmation/,
      reported((r) => ({ ...r, confirmation: undefined })),
    ],
    [
      "that keeps its candidate",
      /a candidate while (watching|synchronising)/,
      reported((r) => ({ ...r, candidate: r.candidate ?? 5 })),
    ],
    [
      "that confirms too soon",
      /a confirmation while candidate/,
      reported((r) => ({ ...r, confirmation: r.confirmation ?? r.candidate })),
    ],
    [
      "that never finishes",
      /all readings, but still timing/,
      reported((r) => ({ ...r, phase: "timing" })),
    ],
    [
      "that leaves out its readings",
      /finished without a reading or a flag/,
      reported((r) => ({ ...r, readings: [] })),
    ],
    [
      "with candidate and confirmation swapped",
      /a confirmation before its candidate/,
      reported((r) => ({ ...r, candidate: r.confirmation, confirmation: r.candidate })),
    ],
    [
      "with an opening after its confirmation",
      /an opening after its confirmation/,
      reported((r) => ({
        ...r,
        opening: r.opening === undefined ? undefined : r.confirmation! + 1,
      })),
    ],
    [
      "with a reading of before",
      /a reading before the confirmation/,
      reported((r) => ({
        ...r,
        readings: r.readings.map((one) => ({ ...one, instant: r.confirmation! - 1 })),
      })),
    ],
    [
      "with the ends of a crossing swapped",
      /a crossing that ends before it begins/,
      reported((r) => ({
        ...r,
        crossings: r.crossings.map(({ earliest, latest }) => ({
          earliest: latest,
          latest: earliest,
        })),
      })),
    ],
    [
      "whose end is not said",
      /finished, but the end is not said/,
      { outcome: (said) => (said.kind === "used" ? { kind: "used", used: said.used } : said) },
    ],
  ])("%s is found", (_, because, between) => {
    expect(against("report", between).join("\n")).toMatch(because);
  });
});

describe("the crossing of a limit line", () => {
  const crossings = (change: (one: Crossing, tickRate: number) => Crossing): Between => {
    let tickRate = 1;
    return {
      configuration: (asked) => {
        ({ tickRate } = asked);
        return asked;
      },
      report: (said) => ({
        ...said,
        crossings: said.crossings.map((one) => change(one, tickRate)),
      }),
    };
  };
  const later = (ticks: number | undefined, by: number): number | undefined =>
    ticks === undefined ? undefined : Math.max(0, Math.round(ticks + by));
  it.each<[string, Between]>([
    ["without its end", crossings((one) => ({ ...one, latest: undefined }))],
    ["without its beginning", crossings((one) => ({ ...one, earliest: undefined }))],
    [
      "with an end long after",
      crossings(({ earliest, latest }, rate) => ({ earliest, latest: later(latest, 0.2 * rate) })),
    ],
    [
      "with a beginning long before",
      crossings(({ earliest, latest }, rate) => ({
        earliest: later(earliest, -0.2 * rate),
        latest,
      })),
    ],
  ])("%s is found", (_, between) => {
    expect(against("crossing", between)).not.toEqual([]);
  });

  it("is kept by the example firmware", () => {
    expect(against("crossing", {})).toEqual([]);
  });
});

describe("a converter that sticks on a held voltage for a whole reading", () => {
  const design = exampleDesign("03-good-at-34-volts");
  const exact: Subject = { design, promises: DEFAULT_PROMISES, bounds: voltageBoundsOf(design) };
  // It falls by a volt in the meantime, and nothing in the codes tells.
  const slow = (draw: Draw): Draw => ({
    ...draw,
    delivery: 1,
    faultAt: 11_704,
    faultFor: 483,
    product: 1,
    capacitance: 1_000,
    decay: 400,
  });
  const judgedOf = (between: Between): Judgement[] => {
    const claim = MORE_CLAIMS.find(({ id }) => id === "sampling")!;
    const space = claim.over(exact);
    return fc
      .sample(stratifiedDraws(space.parameters), { numRuns: 8, seed: 2 })
      .flatMap((draw): Judgement[] => {
        const played = evaluateDraw(
          { subject: exact, firmware: changed(between) },
          space,
          slow(draw),
        );
        return played.kind === "played" ? [judgementOf(claim, played.episode)] : [];
      });
  };

  it("may be read as what it stuck on", () => {
    const all = judgedOf({});
    expect(all.filter((one) => one.kind === "judged" && one.margin < 0)).toEqual([]);
    expect(all.map(({ because }) => because).join()).toMatch(/, stuck on /);
  });

  it("may not be read higher still", () => {
    const volts = 5 / design.scaling.resultUnit.toNumber();
    const higher = judgedOf({
      report: (said) => ({
        ...said,
        readings: said.readings.map(({ instant, voltages: [one] }) => ({
          instant,
          voltages: [one! + Math.sign(one!) * volts],
        })),
      }),
    });
    expect(higher.some((one) => one.kind === "judged" && one.margin < 0)).toBe(true);
  });
});
