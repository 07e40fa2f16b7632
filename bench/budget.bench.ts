// How tight and how fast the guarantee is on every demo design, beside what common practice says.
import { readFileSync, readdirSync } from "node:fs";
import { spawnSync } from "node:child_process";
import { fileURLToPath } from "node:url";
import { measurementModel } from "../lib/chain/measurement-model.ts";
import { readDesign } from "../lib/design/read-design.ts";
import { bandsOf } from "../lib/guarantee/bands.ts";
import { gapOf } from "../lib/guarantee/bracket.ts";
import { enclosingInterval } from "../lib/guarantee/domain.ts";
import { ErrorBrackets } from "../lib/guarantee/error-brackets.ts";
import { proveStatement } from "../lib/guarantee/statement.ts";
import { TermAnalysis } from "../lib/guarantee/terms.ts";
import { Decimal } from "../lib/quantity/decimal.ts";
import { budgetOf, defaultVoltages } from "../lib/report/budget.ts";

const examples = new URL("../examples/", import.meta.url);
const demos = readdirSync(examples).filter((name) => /^0[1-4]/.test(name));

function milliseconds(work: () => void): number {
  const start = performance.now();
  work();
  return performance.now() - start;
}

for (const demo of demos) {
  const text = readFileSync(new URL(`${demo}/design.json`, examples), "utf8");
  const design = readDesign(JSON.parse(text));
  const voltages = defaultVoltages(design);
  const options = { sha256: "0".repeat(64), version: "bench" };
  const first = milliseconds(() => budgetOf(design, options));
  const again = milliseconds(() => budgetOf(design, options));
  const brackets = new ErrorBrackets(measurementModel(design));
  const bands = bandsOf(design, voltages);
  let worst = 0;
  let boxes = 0;
  const whole = milliseconds(() => {
    for (const band of bands) {
      const { high, low } = brackets.bracket(enclosingInterval(band));
      worst = Math.max(worst, gapOf(high), gapOf(low));
      boxes += high.boxes + low.boxes;
    }
  });
  const at34 = bands.find(({ voltage }) => voltage?.toNumber() === 34)!;
  const single = milliseconds(() => brackets.bracket(enclosingInterval(at34)));
  const statement = milliseconds(() => proveStatement(design, bands, brackets));
  const { linearSum } = new TermAnalysis(brackets.model, brackets.domain).commonSums(34);
  const { high, low } = brackets.bracket(enclosingInterval(at34));
  const witnessed = Math.max(high.witnessed, -low.witnessed);
  console.log(
    [
      demo.padEnd(22),
      `budget of ${voltages.length} voltages ${first.toFixed(0)} ms, again ${again.toFixed(0)} ms`,
      `whole range ${bands.length} bands ${whole.toFixed(0)} ms, ${boxes} boxes`,
      `34 V alone ${single.toFixed(1)} ms`,
      `statement ${statement.toFixed(0)} ms`,
      `worst gap ${(100 * worst).toFixed(3)} %`,
      `linear sum at 34 V falls short of the witness by ${(100 * (1 - linearSum / witnessed)).toFixed(1)} %`,
    ].join("; "),
  );
}

/** Forty voltages from end to end of the range. */
const FORTY = Array.from({ length: 40 }, (_, index) => index * 11 - 218);

for (const demo of demos) {
  const path = fileURLToPath(new URL(`../examples/${demo}/design.json`, import.meta.url));
  const design = readDesign(JSON.parse(readFileSync(path, "utf8")));
  const model = measurementModel(design);
  const bands = bandsOf(
    design,
    FORTY.map((voltage) => Decimal.ofInteger(voltage)),
  ).filter(({ voltage }) => voltage !== undefined);
  const brackets = new ErrorBrackets(model);
  const proven = milliseconds(() => {
    for (const band of bands) brackets.bracket(enclosingInterval(band));
  });
  // The least that any command costs: its own start.
  const runs = (...argv: string[]): number =>
    milliseconds(() => spawnSync(process.execPath, ["bin/plumbvolt.mjs", ...argv]));
  const start = runs("--version");
  const whole = runs("budget", path, `--at=${FORTY.join(",")}`);
  console.log(
    `${demo.padEnd(22)}; 40 voltages: brackets ${proven.toFixed(0)} ms, whole command ` +
      `${whole.toFixed(0)} ms, ${(whole / start).toFixed(1)} times the start of a command`,
  );
}
