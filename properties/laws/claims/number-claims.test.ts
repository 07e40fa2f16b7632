// Falsified by: a single code among all that is read a unit wrong, two neighbours that change places,
// a polarity that reads higher than the other or a reading moved across a limit line, of which the
// claim on it says nothing; faultless firmware that fails; a list called exhaustive with a code left
// out; a finished list that is no evidence, or an unfinished one that is.
import { describe, expect, test } from "vitest";
import type { Firmware, FirmwareSource } from "../../../sim/firmware/port.ts";
import { LISTED_BLOCK_SIZE } from "../../campaign/block.ts";
import type { BlockKey } from "../../campaign/block.ts";
import { listedText } from "../../campaign/listed.ts";
import { LANES, planOf } from "../../campaign/plan.ts";
import { runBlock } from "../../campaign/run-block.ts";
import { judgeClaim } from "../../campaign/verdict.ts";
import type { Subject } from "../../claims/episode.ts";
import { codesOf, holdCode } from "../../claims/more/held-codes.ts";
import { NUMBER_CLAIMS } from "../../claims/more/number-claims.ts";
import { DEFAULT_PROMISES } from "../../claims/promises.ts";
import { voltageBoundsOf } from "../../claims/voltage-bounds.ts";
import { exampleDesign } from "../../support/example-designs.ts";
import type { Example } from "../../support/example-designs.ts";
import { plainFirmware } from "../../support/plain-firmware.ts";

/** The double rounds to the nearest unit, whatever it is told. */
function subjectOf(example: Example): Subject {
  const design = exampleDesign(example, ({ scaling }) => void (scaling.rounding = "nearest"));
  return { design, promises: DEFAULT_PROMISES, bounds: voltageBoundsOf(design) };
}

const eight = subjectOf("04-percent-of-range");
const ten = subjectOf("02-two-point");
const sixteen = subjectOf("03-good-at-34-volts");

type Change = (units: number, code: number) => number;

/** Firmware whose readings are changed by the code that is held. */
function altered(change: Change): FirmwareSource {
  const { identity, open } = plainFirmware();
  const opened = (): Firmware => {
    const inner = open();
    let code = 0;
    return {
      start: (configuration) => inner.start(configuration),
      rearm: (configuration) => inner.rearm(configuration),
      samples: (block) => {
        code = block.codes[0]!.at(-1) ?? code;
        return inner.samples(block);
      },
      report: () => {
        const outcome = inner.report();
        if (outcome.kind !== "report") return outcome;
        const readings = outcome.report.readings.map((reading) => ({
          ...reading,
          voltages: reading.voltages.map((units) => change(units, code)),
        }));
        return { kind: "report", report: { ...outcome.report, readings } };
      },
      get trace() {
        return inner.trace;
      },
    };
  };
  return { identity, open: opened };
}

/** Verdicts by claim after every block of the lists, or the first blocks alone. */
function judgedOver(subject: Subject, firmware: FirmwareSource, blocks = Infinity) {
  const parts = { lane: "gate", runs: 1, subject, corpus: {} } as const;
  const plan = planOf(NUMBER_CLAIMS, parts).filter(({ method }) => method === "exhaustive");
  const work = { claims: NUMBER_CLAIMS, subject, firmware, seed: 1, corpus: {} };
  const done = plan.filter(({ block }) => block < blocks);
  const results = done.map((key) => runBlock(work, key));
  return NUMBER_CLAIMS.map((claim) => judgeClaim(claim, results, { plan, subject }));
}

/** Claims that are broken. */
const brokenBy = (change: Change): string[] =>
  judgedOver(eight, altered(change)).flatMap(({ id, verdict }) =>
    verdict === "doesNotHold" ? [id] : [],
  );

const UNIT = Math.round(1 / eight.design.scaling.resultUnit.toNumber());
const { zero } = codesOf(eight.design);

describe("claims about numbers", () => {
  test("hold for every code of faultless firmware, and that is evidence without classes", () => {
    const found = judgedOver(
      eight,
      altered((units) => units),
    );
    expect(found.map(({ verdict }) => verdict)).toEqual(NUMBER_CLAIMS.map(() => "holds"));
    for (const { reasons, listed, statement } of found) {
      expect(reasons).toEqual([]);
      expect(listed!.run).toBe(listed!.members);
      expect(listed!.notApplicable).toBeLessThanOrEqual(1);
      expect(statement).toMatch(/^exhaustive, (\d+) of \1 pairs/);
    }
  });

  test("find one code of all that is a unit off", () => {
    for (const wrong of [zero + 77, zero - 101])
      expect(brokenBy((units, code) => (code === wrong ? units + 1 : units))).toEqual([
        "conversion",
      ]);
  });

  test("find two neighbours that change places", () => {
    const swapped = brokenBy((units, code) =>
      code === zero + 20 ? units + 9 * UNIT : code === zero + 21 ? units - 9 * UNIT : units,
    );
    expect(swapped).toContain("monotone");
  });

  test("find a polarity that reads higher", () => {
    const broken = brokenBy((units, code) => (code > zero + 40 ? units + 3 * UNIT : units));
    expect(broken).toEqual(["conversion", "polarity"]);
  });

  test("find a reading that is moved across a limit line", () => {
    const far = 60 * UNIT;
    const broken = brokenBy((units) => (units > far && units < 300 * UNIT ? 1 : units));
    expect(broken).toContain("line-rounding");
  });

  test("have no verdict before the list is at its end", () => {
    const found = judgedOver(
      ten,
      altered((units) => units),
      1,
    );
    const [conversion] = found;
    expect(conversion!.verdict).toBe("noVerdict");
    expect(conversion!.statement).toBe(
      `${LISTED_BLOCK_SIZE} of 513 pairs of codes z + k and z - k, not exhaustive`,
    );
    expect(conversion!.reasons[0]).toContain(`${LISTED_BLOCK_SIZE} of 513 runs done`);
  });
});

describe("a finite list", () => {
  test.each([
    ["8 bits", eight],
    ["10 bits", ten],
    ["16 bits", sixteen],
  ])("holds every code of the converter: %s", (_, subject) => {
    const { lowest, highest, zero: middle } = codesOf(subject.design);
    const [conversion, monotone] = NUMBER_CLAIMS;
    const codes = conversion!.enumeration!.members(subject, true);
    const both = new Set(codes.flatMap((code) => [code, 2 * middle - code]));
    const pairs = monotone!.enumeration!.members(subject, true);
    for (let code = lowest; code <= highest; code += 1) {
      if (!both.has(code)) throw new Error(`code ${code} is left out`);
      if (code < highest && pairs[code - lowest] !== code)
        throw new Error(`the pair of code ${code} is left out`);
    }
    expect(pairs).toHaveLength(highest - lowest);
    expect(conversion!.over(subject)).toBe(conversion!.over(subject));
  });

  test("is gone through in every lane, in part where it is long and time is short", () => {
    const methods = (subject: Subject) =>
      LANES.map((lane) => {
        const plan = planOf(NUMBER_CLAIMS, { lane, runs: 10, subject, corpus: {} });
        return [...new Set(plan.map(({ method }: BlockKey) => method))];
      });
    expect(methods(ten)).toEqual(LANES.map(() => ["exhaustive", "search"]));
    const long = methods(sixteen);
    expect(long[0]).toEqual(["enumerated", "search"]);
    expect(long[1]).toEqual(["exhaustive", "search"]);
    const some = NUMBER_CLAIMS[1]!.enumeration!.members(sixteen, false);
    expect(some.length).toBeGreaterThan(65_536 / 16);
    expect(some.length).toBeLessThan(65_536 / 12);
    expect(listedText({ of: "codes", members: 65_536, run: 4_193, notApplicable: 2 })).toBe(
      "4193 of 65536 codes, 2 of them not applicable, not exhaustive",
    );
  });

  test("is read soon after the opening, or at the design's instant by firmware that insists", () => {
    const insisting: FirmwareSource = {
      identity: plainFirmware().identity,
      open: () => {
        const inner = plainFirmware().open();
        return {
          start: (configuration) =>
            configuration.moments[0]! < configuration.tickRate
              ? { kind: "refused", code: 8, reason: "moments" }
              : inner.start(configuration),
          rearm: (configuration) => inner.rearm(configuration),
          samples: (block) => inner.samples(block),
          report: () => inner.report(),
          get trace() {
            return inner.trace;
          },
        };
      },
    };
    const work = { claims: NUMBER_CLAIMS, subject: eight, seed: 1, corpus: {} };
    const key = { claims: ["conversion"], method: "exhaustive", block: 0, runs: 12 } as const;
    const digests = [insisting, plainFirmware()].map((firmware) => {
      const { tallies, digest } = runBlock({ ...work, firmware }, key);
      expect(tallies[0]).toMatchObject({ notApplicable: 0, failures: 0 });
      return digest;
    });
    expect(digests[0]).not.toBe(digests[1]);
    expect(holdCode(eight.design, 200).codes!.at(-1)).toBe(200);
  });
});
