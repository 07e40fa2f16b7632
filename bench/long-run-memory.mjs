// A long run of the build on two workers, told on standard output: its time and the most memory that
// the process had. The model and its trials come on standard input.
import { readFileSync } from "node:fs";
import { evaluateUncertaintyOnPool, openTrialPool } from "../dist/lib/index.js";

const { model, trials } = JSON.parse(readFileSync(0, "utf8"));
const pool = openTrialPool(2);
let most = 0;
const timer = setInterval(() => {
  most = Math.max(most, process.memoryUsage.rss());
}, 20);
const start = performance.now();
await evaluateUncertaintyOnPool(model, { trials }, pool);
const seconds = (performance.now() - start) / 1_000;
clearInterval(timer);
await pool.close();
console.log(JSON.stringify({ seconds, mebibytes: most / 2 ** 20 }));
