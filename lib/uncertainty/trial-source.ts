import type { Tape } from "../expression/tape.ts";
import type { Draw, PlannedInput } from "./sampling-plan.ts";

/** A double as JavaScript text that reads back as itself. */
function literal(value: number): string {
  return value < 0 || Object.is(value, -0) ? `(${value === 0 ? "-0" : value})` : String(value);
}

function scoreSum(weights: readonly (readonly [number, number])[]): string {
  return weights.map(([input, weight]) => `${literal(weight)} * z${input}`).join(" + ");
}

/** The statements that draw input number `index` from its uniform numbers. */
function drawSource(draw: Draw, index: number, firstUniform: number): string {
  const u = `u${firstUniform}[i]`;
  const v = `u${firstUniform + 1}[i]`;
  const x = `const x${index} =`;
  switch (draw.kind) {
    case "constant":
      return `${x} ${literal(draw.value)};`;
    case "parameter":
      return `${x} parameters[${draw.place}];`;
    case "rectangular":
      return `${x} ${literal(draw.middle)} + ${literal(draw.half)} * (2 * ${u} - 1);`;
    case "triangular": {
      const { middle, half } = draw;
      const side = (tail: string) => `${literal(half)} * (Math.sqrt(2 * ${tail}) - 1)`;
      const below = `${literal(middle)} + ${side("p")}`;
      const above = `${literal(middle)} - ${side("(1 - p)")}`;
      return `let x${index}; { const p = ${u}; x${index} = p <= 0.5 ? ${below} : ${above}; }`;
    }
    case "arcsine": {
      return `${x} ${literal(draw.middle)} + ${literal(draw.half)} * sine(${u} - 0.5);`;
    }
    case "twoPoint":
      return `${x} ${u} < 0.5 ? ${literal(draw.lower)} : ${literal(draw.upper)};`;
    case "curvilinearTrapezoid": {
      const { lower, upper, limitUncertainty: d } = draw;
      const first = `const a${index} = ${literal(lower - d)} + ${literal(2 * d)} * ${u};`;
      const second = `const b${index} = ${literal(lower + upper)} - a${index};`;
      return `${first} ${second} ${x} a${index} + (b${index} - a${index}) * ${v};`;
    }
    case "normal": {
      const inside = 1 - 2 * draw.outside;
      const p = draw.outside === 0 ? u : `${literal(draw.outside)} + ${literal(inside)} * ${u}`;
      return `${x} ${literal(draw.mean)} + ${literal(draw.deviation)} * normal(${p});`;
    }
    case "studentT": {
      const nu = literal(draw.degreesOfFreedom);
      const power = literal(-2 / draw.degreesOfFreedom);
      const radius = `Math.sqrt(${nu} * (exp(${power} * log(${u})) - 1))`;
      // The cosine of 2 pi v, by its distance from half a turn.
      const angle = `sine(2 * Math.abs(${v} - 0.5) - 0.5)`;
      return `${x} ${literal(draw.mean)} + ${literal(draw.scale)} * ${radius} * ${angle};`;
    }
    case "quantile":
      return `${x} quantile(distributions[${index}], ${u});`;
    case "jointNormal": {
      const scaled = `${literal(draw.deviation)} * (${scoreSum(draw.weights)})`;
      return `${x} ${literal(draw.mean)} + ${scaled};`;
    }
    case "jointQuantile":
      return `${x} quantile(distributions[${index}], probability(${scoreSum(draw.weights)}));`;
  }
}

/**
 * JavaScript that replaces the first uniform number of some inputs by the input's value: the body
 * of a function of `count`, `uniforms`, `functions` and `distributions`.
 */
export function drawsSource(
  plan: readonly PlannedInput[],
  isWanted: (draw: Draw) => boolean,
): string {
  const lines: string[] = [];
  let uniform = 0;
  plan.forEach(({ draw, streams }, index) => {
    if (isWanted(draw)) {
      streams.forEach((_, number) =>
        lines.push(`const u${uniform + number} = uniforms[${uniform + number}];`),
      );
      lines.push(
        "for (let i = 0; i < count; i += 1) {",
        drawSource(draw, index, uniform),
        `u${uniform}[i] = x${index};`,
        "}",
      );
    }
    uniform += streams.length;
  });
  return `"use strict";\nconst { exp, log, quantile, sine } = functions;\n${lines.join("\n")}`;
}

const FUNCTION_OF: Readonly<Record<number, string>> = {
  3: "exp",
  4: "log",
  5: "Math.sqrt",
  6: "Math.abs",
  7: "Math.floor",
  12: "Math.min",
  13: "Math.max",
};
const SIGN_OF: Readonly<Record<number, string>> = { 8: "+", 9: "-", 10: "*", 11: "/" };

function rowSource(tape: Tape, row: number): string {
  const code = tape.operation[row]!;
  const a = `r${tape.left[row]!}`;
  const b = `r${tape.right[row]!}`;
  const sign = SIGN_OF[code];
  const named = FUNCTION_OF[code];
  const value =
    code === 0
      ? literal(tape.constantNearest[row]!)
      : code === 1
        ? `x${tape.left[row]!}`
        : code === 2
          ? `-${a}`
          : sign !== undefined
            ? `${a} ${sign} ${b}`
            : named !== undefined
              ? `${named}(${code < 12 ? a : `${a}, ${b}`})`
              : Array.from({ length: tape.right[row]! }, () => a).join(" * ");
  return `const r${row} = ${value};`;
}

/**
 * JavaScript of one fused loop over a block of trials: draws every input from its uniform numbers
 * and evaluates the tape's rows, nothing kept but the roots. The body of a function of the
 * parameters `count`, `uniforms` (one array per uniform number), `outputs` (one array per root),
 * `parameters`, `distributions` and the five functions. It holds no text from the model: names
 * are replaced by numbers, constants by the doubles they are.
 */
export function trialSource(tape: Tape, plan: readonly PlannedInput[]): string {
  const lines: string[] = [];
  const draws: string[] = [];
  const scores: string[] = [];
  let uniform = 0;
  const used = new Set<number>();
  for (let row = 0; row < tape.length; row += 1)
    if (tape.operation[row] === 1) used.add(tape.left[row]!);
  plan.forEach(({ draw, streams }, index) => {
    streams.forEach((_, number) =>
      lines.push(`const u${uniform + number} = uniforms[${uniform + number}];`),
    );
    if (draw.kind === "jointNormal" || draw.kind === "jointQuantile")
      scores.push(`const z${index} = normal(u${uniform}[i]);`);
    if (used.has(index)) draws.push(drawSource(draw, index, uniform));
    uniform += streams.length;
  });
  tape.roots.forEach((_, root) => lines.push(`const o${root} = outputs[${root}];`));
  lines.push("for (let i = 0; i < count; i += 1) {", ...scores, ...draws);
  for (let row = 0; row < tape.length; row += 1) lines.push(rowSource(tape, row));
  tape.roots.forEach((row, root) => lines.push(`o${root}[i] = r${row};`));
  lines.push("}");
  return lines.join("\n");
}
