// Falsified by: a document of the command, whose trials run in a thread of their own, that differs
// from the one made in a single thread; or a thread that fails and leaves its caller waiting.
import { fileURLToPath } from "node:url";
import { expect, test } from "vitest";
import { loadDesign } from "../../../lib/command/load-design.ts";
import { sweepDesign } from "../../../lib/command/sweep-aside.ts";
import { measurementModel } from "../../../lib/chain/measurement-model.ts";
import { budgetOf } from "../../../lib/report/budget.ts";
import { sweepVoltages } from "../../../lib/report/row-uncertainty.ts";
import { runAside } from "../../../lib/uncertainty/run-aside.ts";
import { runCommand, TEST_VERSION } from "../../support/command-line.ts";

const DEMO = fileURLToPath(
  new URL("../../../examples/04-percent-of-range/design.json", import.meta.url),
);
const task = (name: string) => ({
  file: new URL("../../../lib/command/sweep-aside.ts", import.meta.url),
  name,
});

test("trials in a thread of their own give the document of a single thread", async () => {
  const { out } = await runCommand("budget", DEMO, "--json", "--seed", "3");
  const { design, sha256 } = await loadDesign(DEMO);
  const words = "any unit made to the drawing";
  const uncertainty = { seed: 3, particulars: {}, words };
  const expected = budgetOf(design, { sha256, version: TEST_VERSION, uncertainty });
  expect(out).toBe(JSON.stringify(expected, undefined, 2));
});

test("a thread returns what its task returns, and nothing where the task fails", async () => {
  const { design, document } = await loadDesign(DEMO);
  const order = { document, voltages: [34, -60], options: { trials: 10_000 } };
  const works = runAside(task("sweepDesign"), order);
  const faulty = runAside(task("sweepDesign"), { ...order, document: {} });
  const absent = runAside(task("noSuchTask"), order);
  expect(await works.outcome).toEqual(sweepDesign(order));
  expect(sweepDesign(order)).toEqual(
    sweepVoltages(measurementModel(design), order.voltages, order.options),
  );
  expect(await faulty.outcome).toBeUndefined();
  expect(await absent.outcome).toBeUndefined();
  await Promise.all([works.stop(), faulty.stop(), absent.stop()]);
});
