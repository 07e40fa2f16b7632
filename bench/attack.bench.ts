// Ten million points per demo design against the proven bounds: random, vertex and mixed points.
// ATTACK_POINTS asks for another number. None may lie outside; the largest share reached is printed.
import { readFileSync, readdirSync } from "node:fs";
import { measurementModel } from "../lib/chain/measurement-model.ts";
import { readDesign } from "../lib/design/read-design.ts";
import { PlainEvaluator } from "../lib/expression/evaluate.ts";
import { compileTape } from "../lib/expression/tape.ts";
import { bandsOf } from "../lib/guarantee/bands.ts";
import { ErrorBrackets } from "../lib/guarantee/error-brackets.ts";
import { defaultVoltages } from "../lib/report/budget.ts";

const POINTS = Number(process.env["ATTACK_POINTS"] ?? 10_000_000);
const examples = new URL("../examples/", import.meta.url);

/** xorshift32, enough to scatter points; the seed makes the attack repeatable. */
function scatter(seed: number): () => number {
  let state = seed;
  return () => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    return (state >>> 0) / 2 ** 32;
  };
}

for (const demo of readdirSync(examples).filter((name) => /^0[1-4]/.test(name))) {
  const text = readFileSync(new URL(`${demo}/design.json`, examples), "utf8");
  const design = readDesign(JSON.parse(text));
  const brackets = new ErrorBrackets(measurementModel(design));
  const bounds = bandsOf(design, defaultVoltages(design)).map(({ lower, upper }) =>
    brackets.bound({ lower: lower.lowerNumber(), upper: upper.upperNumber() }),
  );
  const shown = new PlainEvaluator(compileTape([brackets.model.shown], brackets.domain.names));
  const { lower, upper } = brackets.domain.whole();
  const point = new Float64Array(lower.length);
  const random = scatter(20_261_125);
  const each = Math.ceil(POINTS / bounds.length);
  let outside = 0;
  let largest = 0;
  const start = performance.now();
  for (const { band, high, low } of bounds) {
    for (let count = 0; count < each; count += 1) {
      // A third inside, a third at vertices, a third with most quantities at an end.
      const atEnds = count % 3 === 0 ? 0 : count % 3 === 1 ? 1 : 0.8;
      for (let slot = 1; slot < point.length; slot += 1) {
        const place = random();
        const share = random() < atEnds ? (place < 0.5 ? 0 : 1) : place;
        point[slot] = lower[slot]! + share * (upper[slot]! - lower[slot]!);
      }
      const share = count % 5 === 0 ? Math.round(random()) : random();
      point[0] = band.lower + share * (band.upper - band.lower);
      const error = shown.evaluate(point);
      if (error > high.proven || error < low.proven || error !== error) outside += 1;
      largest = Math.max(largest, error / high.proven, error / low.proven);
    }
  }
  const seconds = (performance.now() - start) / 1000;
  console.log(
    `${demo.padEnd(22)}; ${each * bounds.length} points in ${bounds.length} bands, ` +
      `${outside} outside, largest ${(100 * largest).toFixed(1)} % of the bound, ${seconds.toFixed(0)} s`,
  );
  if (outside > 0) throw new Error(`${outside} points of ${demo} lie outside the proven bounds`);
}
