// Falsified by a fault that is noticed and said to survive, or the other way round; by a claim that
// takes the credit of another; by a table that stands although the unchanged tester fails; by a run
// whose result depends on how many blocks are done at once or on where it was interrupted; by a
// report that the open schema of mutation testing refuses.
import { Ajv2020 } from "ajv/dist/2020.js";
import { schema as reportSchema } from "mutation-testing-report-schema";
import { describe, expect, test } from "vitest";
import { ALL_CLAIMS } from "../../claims/all-claims.ts";
import { DEFAULT_PROMISES } from "../../claims/promises.ts";
import { voltageBoundsOf } from "../../claims/voltage-bounds.ts";
import { UNCHANGED, faultKeyText, runFaultBlock } from "../../faults/fault-block.ts";
import type { FaultBlockResult, FaultyTester } from "../../faults/fault-block.ts";
import { faultTable } from "../../faults/fault-table.ts";
import type { TableFault } from "../../faults/fault-table.ts";
import { FRONT_END_FAULTS } from "../../faults/front-end-faults.ts";
import { mutationReport } from "../../faults/mutation-report.ts";
import { runFaults } from "../../faults/run-faults.ts";
import type { FaultRunOptions } from "../../faults/run-faults.ts";
import type { FirmwareSource } from "../../../sim/firmware/port.ts";
import { exampleDesign } from "../../support/example-designs.ts";
import { plainFirmware } from "../../support/plain-firmware.ts";
import type { Mistake } from "../../support/plain-firmware.ts";

const design = exampleDesign("03-good-at-34-volts");
const subject = { design, promises: DEFAULT_PROMISES, bounds: voltageBoundsOf(design) };
const claims = ALL_CLAIMS.filter(({ id }) =>
  ["voltage", "together", "availability", "range", "soundness", "canary"].includes(id),
);

const MISTAKES: readonly Mistake[] = ["alwaysFlags", "offByTwoVolts", "traps", "remembers"];
const HARDWARE = ["reference-high"];

function testersOf(unchanged?: Mistake): readonly FaultyTester[] {
  return [
    { id: UNCHANGED, firmware: plainFirmware(unchanged) },
    ...MISTAKES.map((mistake) => ({ id: mistake, firmware: plainFirmware(mistake) })),
    ...FRONT_END_FAULTS.filter(({ id }) => HARDWARE.includes(id)).map((frontEnd) => ({
      id: frontEnd.id,
      firmware: plainFirmware(),
      frontEnd,
    })),
  ];
}

const faults = [
  ...MISTAKES.map((id) => ({ id, caughtBy: ["availability"] })),
  ...HARDWARE.map((id) => ({ id, caughtBy: ["voltage"] })),
];

function rowsOf(more: Readonly<Record<string, Partial<TableFault>>> = {}): TableFault[] {
  return faults.map(({ id }) => {
    const where = HARDWARE.includes(id) ? "front end" : "firmware";
    return { id, says: `The fault ${id}.`, where, ...more[id] };
  });
}

async function run(options: Partial<FaultRunOptions> = {}, unchanged?: Mistake) {
  const work = { claims, subject, testers: testersOf(unchanged), seed: 5 };
  return runFaults({ claims, subject, faults, work }, { runs: 12, mostRuns: 12, ...options });
}

test("a generated fault goes on to the most draws, one with a written reason to the usual ones", async () => {
  // Neither of the two is noticed by this claim.
  const generated = ["reasoned", "open"];
  const testers = [
    { id: UNCHANGED, firmware: plainFirmware() },
    ...generated.map((id) => ({ id, firmware: plainFirmware(), isGenerated: true as const })),
  ];
  const asked = claims.filter(({ id }) => id === "availability");
  const { results } = await runFaults(
    {
      claims: asked,
      subject,
      faults: [],
      generated,
      reasoned: new Set(["reasoned"]),
      work: { claims: asked, subject, testers, seed: 5 },
    },
    { runs: 50, mostRuns: 75 },
  );
  const draws = new Map<string, number>();
  for (const { key } of results)
    for (const id of key.faults ?? []) draws.set(id, (draws.get(id) ?? 0) + key.runs);
  expect(Object.fromEntries(draws)).toEqual({ reasoned: 50, open: 75 });
});

describe("faults held against claims", () => {
  test("are noticed where the firmware refuses its configuration; without a fault that ends the run", () => {
    const honest = plainFirmware();
    const refusing: FirmwareSource = {
      ...honest,
      open: () =>
        Object.assign(honest.open(), {
          start: () => ({ kind: "refused", code: 5, reason: "scale" }) as const,
        }),
    };
    const key = { claims: ["availability"], block: 0, runs: 2 };
    const testers = [{ id: UNCHANGED, firmware: honest }];
    const work = { claims, subject, seed: 5 };
    const { cells } = runFaultBlock(
      { ...work, testers: [...testers, { id: "refuses", firmware: refusing }] },
      key,
    );
    const noticed = cells.filter(({ failure }) => failure !== null);
    expect(noticed.map(({ fault, claim }) => [fault, claim])).toEqual([["refuses", "soundness"]]);
    expect(noticed[0]!.failure!.because).toBe("a refusal with code 5");
    expect(() =>
      runFaultBlock({ ...work, testers: [{ id: UNCHANGED, firmware: refusing }] }, key),
    ).toThrow(/a refusal with code 5/);
  });

  test("are credited to the claims that notice them, a trap to the claim that presupposes none", async () => {
    const table = faultTable(claims, rowsOf(), await run());
    const by = Object.fromEntries(
      table.faults.map(({ id, noticedBy }) => [id, noticedBy.map(({ claim }) => claim)]),
    );
    expect(by["alwaysFlags"]).toEqual(["availability"]);
    expect(by["traps"]).toEqual(["soundness"]);
    expect(by["offByTwoVolts"]).toContain("voltage");
    expect(by["reference-high"]).toContain("voltage");
    expect(table.claims.map(({ id }) => id)).not.toContain("canary");
    const alone = Object.fromEntries(table.claims.map((claim) => [claim.id, claim.alone]));
    expect(alone["availability"]).toEqual(["alwaysFlags"]);
    // What follows from another claim takes nothing away from it.
    expect(alone["voltage"]).toContain("offByTwoVolts");
    expect(alone["soundness"]).toEqual(["traps"]);
  });

  test("that nothing notices are told, unless a reason is written", async () => {
    const found = await run();
    const table = faultTable(claims, rowsOf(), found);
    expect(table.verdict).toBe("doesNotHold");
    expect(table.reasons.join("; ")).toContain("nothing notices remembers");
    const reasoned = rowsOf({ remembers: { accepted: "It is never armed twice here." } });
    const accepted = faultTable(claims, reasoned, found);
    expect(accepted.faults.find(({ id }) => id === "remembers")!.outcome).toBe("accepted");
    expect(accepted.reasons.join("; ")).not.toContain("remembers");
  });

  test("mean nothing where the unchanged tester fails, a fault cannot be built or a run ended", async () => {
    const failing = faultTable(claims, rowsOf(), await run({}, "alwaysFlags"));
    expect(failing.verdict).toBe("noVerdict");
    expect(failing.baseline.map(({ claim }) => claim)).toContain("availability");
    const refused = rowsOf({ remembers: { refused: "error: no such thing" } });
    expect(faultTable(claims, refused, await run()).verdict).toBe("noVerdict");
    const stopped = await run({ isStopped: () => true });
    expect(stopped).toEqual({ results: [], complete: false });
    expect(faultTable(claims, rowsOf(), stopped).reasons[0]).toMatch(/stopped/);
  });

  test("a claim that is there for a fault goes on until it notices", async () => {
    const late = claims.map((claim) =>
      claim.id === "range" ? { ...claim, mustCatch: ["alwaysFlags"] } : claim,
    );
    const work = { claims: late, subject, testers: testersOf(), seed: 5 };
    const parts = { claims: late, subject, faults, work };
    const found = await runFaults(parts, { runs: 5, mostRuns: 75 });
    const further = found.results.filter(({ key }) => key.faults?.includes("alwaysFlags"));
    expect(further.map(({ key }) => key.block)).toEqual([1, 2]);
    const table = faultTable(late, rowsOf(), found);
    expect(table.claims.find(({ id }) => id === "range")!.missed).toEqual(["alwaysFlags"]);
  });
});

describe("a run over faults", () => {
  test("gives the same with several blocks at once, elsewhere, and after an interruption", async () => {
    const whole = await run({ runs: 30, mostRuns: 60 });
    const work = { claims, subject, testers: testersOf(), seed: 5 };
    const kept: FaultBlockResult[] = [];
    const elsewhere = async (key: FaultBlockResult["key"]): Promise<FaultBlockResult> => {
      // The later blocks come first.
      await new Promise((resolve) => setTimeout(resolve, 20 - 5 * key.block));
      return runFaultBlock(work, key);
    };
    const options = { runs: 30, mostRuns: 60, atOnce: 3 };
    const begun = await run({
      ...options,
      elsewhere,
      keep: (result) => kept.push(result),
      isStopped: () => kept.length >= 2,
    });
    expect(begun.complete).toBe(false);
    const known = new Map(kept.map((result) => [faultKeyText(result.key), result]));
    expect(await run({ ...options, known, elsewhere })).toEqual(whole);
  });
});

describe("the report", () => {
  test("is one of the open mutation testing report schema", async () => {
    const table = faultTable(claims, rowsOf(), await run());
    const text = "int a;\nint b = 1;\n";
    const fault = {
      id: "alwaysFlags",
      says: "Flags.",
      edits: [{ file: "a.c", find: "b = 1", replace: "b = 2" }],
      caughtBy: ["availability"],
    };
    const report = mutationReport({
      table,
      claims,
      sources: [{ file: "firmware/a.c", text }],
      firmwareFaults: [fault],
      version: "1.2.3",
    });
    // Written for an earlier draft; nothing in it reads otherwise in this one.
    const { $schema: _, ...schema } = reportSchema as { readonly $schema?: string };
    const validate = new Ajv2020({ strict: false }).compile(schema);
    expect(validate(report), JSON.stringify(validate.errors)).toBe(true);
    const [mutant] = report.files["a.c"]!.mutants;
    expect(mutant).toMatchObject({ status: "Killed", killedBy: ["availability"] });
    // Source: the schema counts lines and columns from 1; the end is past the last character.
    expect(mutant!.location).toEqual({
      start: { line: 2, column: 5 },
      end: { line: 2, column: 10 },
    });
    expect(validate({ ...report, schemaVersion: 7 })).toBe(false);
  });
});
