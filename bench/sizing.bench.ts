// How long a proven frontier over about a million combinations takes, beside proving each of them.
import { readFileSync } from "node:fs";
import { sizeDesign } from "../lib/sizing/size.ts";
import { sizingSpace } from "../lib/sizing/space.ts";

const folder = new URL("../examples/31-sizing/", import.meta.url);
const read = (name: string): unknown => JSON.parse(readFileSync(new URL(name, folder), "utf8"));
const question = {
  template: read("template.json"),
  catalogue: read("catalogue.json"),
  require: ["5 % at 34 V"],
};

const space = sizingSpace(question);
const structure = space.structures[11]!;
const choice = structure.plan.kinds.map(() => 0);
structure.prove(choice);
const before = performance.now();
const rounds = 20;
for (let round = 0; round < rounds; round += 1) structure.prove(choice);
const single = (performance.now() - before) / rounds;

const start = performance.now();
const { byError, byCapacitance, cheapest, looked, proven } = await sizeDesign(question, {
  workers: 2,
});
const seconds = (performance.now() - start) / 1000;
console.log(
  [
    `${space.combinations} combinations in ${seconds.toFixed(1)} s on two workers`,
    `${looked} looks, ${proven} proofs of ${single.toFixed(1)} ms`,
    `frontiers of ${byError.length} and ${byCapacitance.length}, cheapest ${cheapest?.cost}`,
    `one by one ${((single * space.combinations) / 1000).toFixed(0)} s on one core`,
  ].join("; "),
);
