// A checker of certificates that shares no code with the search: fixed-point interval arithmetic
// on big integers with 128 fraction bits, every operation rounded outward. It can be read alone.
import type {
  Certificate,
  CertificateCodeClaim,
  CertificateRow,
  CertificateSide,
  CertificateStep,
} from "./certificate.ts";

/** An interval in units of 2^-128. */
interface Fixed {
  readonly low: bigint;
  readonly high: bigint;
}

type Box = readonly Fixed[];

const BITS = 128n;
const ONE = 1n << BITS;
const ZERO: Fixed = { low: 0n, high: 0n };
const UNIT: Fixed = { low: ONE, high: ONE };

function floorDivide(a: bigint, b: bigint): bigint {
  const q = a / b;
  return q * b !== a && a < 0n !== b < 0n ? q - 1n : q;
}

function ceilDivide(a: bigint, b: bigint): bigint {
  return -floorDivide(-a, b);
}

const least = (...values: bigint[]): bigint => values.reduce((a, b) => (b < a ? b : a));
const most = (...values: bigint[]): bigint => values.reduce((a, b) => (b > a ? b : a));
const add = (a: Fixed, b: Fixed): Fixed => ({ low: a.low + b.low, high: a.high + b.high });
const negate = (a: Fixed): Fixed => ({ low: -a.high, high: -a.low });
const subtract = (a: Fixed, b: Fixed): Fixed => add(a, negate(b));
const isZero = (a: Fixed): boolean => a.low === 0n && a.high === 0n;

/** A product of two ends, rounded down or up. */
const down = (a: bigint, b: bigint): bigint => (a * b) >> BITS;
const up = (a: bigint, b: bigint): bigint => -((-a * b) >> BITS);

function multiply(a: Fixed, b: Fixed): Fixed {
  if (isZero(a) || isZero(b)) return ZERO;
  if (a.low >= 0n) {
    return {
      low: down(b.low >= 0n ? a.low : a.high, b.low),
      high: up(b.high >= 0n ? a.high : a.low, b.high),
    };
  }
  if (a.high <= 0n) return negate(multiply(negate(a), b));
  if (b.low >= 0n) return { low: down(a.low, b.high), high: up(a.high, b.high) };
  if (b.high <= 0n) return { low: down(a.high, b.low), high: up(a.low, b.low) };
  return {
    low: least(down(a.low, b.high), down(a.high, b.low)),
    high: most(up(a.low, b.low), up(a.high, b.high)),
  };
}

/** A step that cannot be confirmed. */
class Refusal extends Error {}

function refuse(what: string): never {
  throw new Refusal(what);
}

function divide(a: Fixed, b: Fixed): Fixed {
  if (b.low <= 0n && b.high >= 0n) refuse("a division by an interval that contains zero");
  const tops = [a.low << BITS, a.high << BITS] as const;
  const quotients = tops.flatMap((top) => [b.low, b.high].map((bottom) => [top, bottom] as const));
  return {
    low: least(...quotients.map(([top, bottom]) => floorDivide(top, bottom))),
    high: most(...quotients.map(([top, bottom]) => ceilDivide(top, bottom))),
  };
}

/** exp(x) for |x| <= 1: the series, its rest below twice the first term left out. */
function smallExponential(x: Fixed): Fixed {
  let sum = UNIT;
  let term = UNIT;
  for (let n = 1n; n <= 34n; n += 1n) {
    const next = multiply(term, x);
    term = { low: floorDivide(next.low, n), high: ceilDivide(next.high, n) };
    sum = add(sum, term);
  }
  const rest = 2n * most(-term.low, term.high, 1n);
  return { low: sum.low - rest, high: sum.high + rest };
}

function pointExponential(x: Fixed): Fixed {
  let halvings = 0;
  let reduced = x;
  while (most(-reduced.low, reduced.high) > ONE) {
    reduced = { low: reduced.low >> 1n, high: -(-reduced.high >> 1n) };
    halvings += 1;
    if (halvings > 12) refuse("an exponent beyond 4096");
  }
  let result = smallExponential(reduced);
  for (let count = 0; count < halvings; count += 1) result = multiply(result, result);
  return result;
}

/** exp rises: its ends are those of the interval. */
function exponential({ low, high }: Fixed): Fixed {
  return {
    low: pointExponential({ low, high: low }).low,
    high: pointExponential({ low: high, high }).high,
  };
}

/** Natural logarithm of a point: halvings or doublings into [1, 2), then 2 artanh((m-1)/(m+1)). */
function pointLogarithm(value: bigint): Fixed {
  if (value <= 0n) refuse("the logarithm of a number that is not positive");
  const shift = value.toString(2).length - 1 - Number(BITS);
  const mantissa: Fixed =
    shift >= 0
      ? { low: value >> BigInt(shift), high: (value >> BigInt(shift)) + 1n }
      : { low: value << BigInt(-shift), high: value << BigInt(-shift) };
  const series = (m: Fixed): Fixed => {
    const z = divide(subtract(m, UNIT), add(m, UNIT));
    const square = multiply(z, z);
    let power = z;
    let sum = z;
    for (let n = 3n; n <= 93n; n += 2n) {
      power = multiply(power, square);
      sum = add(sum, { low: floorDivide(power.low, n), high: ceilDivide(power.high, n) });
    }
    const rest = 2n * most(-power.low, power.high, 1n);
    return { low: 2n * (sum.low - rest), high: 2n * (sum.high + rest) };
  };
  const count = BigInt(shift);
  const ofTwo = series({ low: 2n * ONE, high: 2n * ONE });
  const twos =
    count >= 0n ? [ofTwo.low * count, ofTwo.high * count] : [ofTwo.high * count, ofTwo.low * count];
  return add(series(mantissa), { low: twos[0]!, high: twos[1]! });
}

function decimalOf(text: string): Fixed {
  const [, sign = "", whole = "", fraction = ""] = /^(-?)(\d*)\.?(\d*)$/.exec(text) ?? refuse(text);
  const numerator = BigInt(`${sign}${whole}${fraction}`) << BITS;
  const denominator = 10n ** BigInt(fraction.length);
  return {
    low: floorDivide(numerator, denominator),
    high: ceilDivide(numerator, denominator),
  };
}

/** A double as it is; finer than 2^-126 it is rounded outward. */
function doubleOf(value: number): Fixed {
  if (!Number.isFinite(value)) refuse(`the number ${value}`);
  const scaled = value * 2 ** 100;
  if (Number.isInteger(scaled)) {
    const exact = BigInt(scaled) << (BITS - 100n);
    return { low: exact, high: exact };
  }
  const whole = BigInt(Math.floor(value * 2 ** 126));
  return { low: whole << (BITS - 126n), high: (whole + 1n) << (BITS - 126n) };
}

function absolute(a: Fixed): Fixed {
  if (a.low >= 0n) return a;
  return a.high <= 0n ? negate(a) : { low: 0n, high: most(-a.low, a.high) };
}

function power(a: Fixed, exponent: number): Fixed {
  let result = UNIT;
  for (let count = 0; count < exponent; count += 1) result = multiply(result, a);
  return exponent % 2 === 0 && result.low < 0n ? { low: 0n, high: result.high } : result;
}

/** A function of the certificate: value, gradient and one second derivative over a box. */
class Rows {
  private readonly rows: readonly CertificateRow[];
  private readonly slotOf: ReadonlyMap<string, number>;
  private readonly constants: readonly (Fixed | undefined)[];
  private readonly values: Fixed[] = [];

  constructor(rows: readonly CertificateRow[], names: readonly string[]) {
    this.rows = rows;
    this.slotOf = new Map(names.map((name, slot) => [name, slot]));
    this.constants = rows.map((row) => (row[0] === "decimal" ? decimalOf(row[1]) : undefined));
  }

  private slot(name: string): number {
    return this.slotOf.get(name) ?? refuse(`the unknown symbol ${name}`);
  }

  value(box: Box): Fixed {
    const { values } = this;
    for (const [index, row] of this.rows.entries()) {
      const at = (operand: number): Fixed => values[operand]!;
      switch (row[0]) {
        case "decimal":
          values[index] = this.constants[index]!;
          break;
        case "symbol":
          values[index] = box[this.slot(row[1])]!;
          break;
        case "negate":
          values[index] = negate(at(row[1]));
          break;
        case "exp":
          values[index] = exponential(at(row[1]));
          break;
        case "log":
          values[index] = {
            low: pointLogarithm(at(row[1]).low).low,
            high: pointLogarithm(at(row[1]).high).high,
          };
          break;
        case "abs":
          values[index] = absolute(at(row[1]));
          break;
        case "+":
          values[index] = add(at(row[1]), at(row[2]));
          break;
        case "-":
          values[index] = subtract(at(row[1]), at(row[2]));
          break;
        case "*":
          values[index] = multiply(at(row[1]), at(row[2]));
          break;
        case "/":
          values[index] = divide(at(row[1]), at(row[2]));
          break;
        case "min":
          values[index] = {
            low: least(at(row[1]).low, at(row[2]).low),
            high: least(at(row[1]).high, at(row[2]).high),
          };
          break;
        case "max":
          values[index] = {
            low: most(at(row[1]).low, at(row[2]).low),
            high: most(at(row[1]).high, at(row[2]).high),
          };
          break;
        case "^":
          values[index] = power(at(row[1]), row[2]);
          break;
        default:
          refuse(`the operation ${row[0]} in a proof`);
      }
    }
    return values.at(-1)!;
  }

  /** Partial derivatives of a row by its operands, from the values of the last {@link value}. */
  private partials(index: number): readonly (readonly [number, Fixed])[] {
    const row = this.rows[index]!;
    const at = (operand: number): Fixed => this.values[operand]!;
    const between: Fixed = { low: 0n, high: ONE };
    switch (row[0]) {
      case "negate":
        return [[row[1], negate(UNIT)]];
      case "exp":
        return [[row[1], this.values[index]!]];
      case "log":
        return [[row[1], divide(UNIT, at(row[1]))]];
      case "abs": {
        const a = at(row[1]);
        const rising = a.low > 0n || (a.low === 0n && a.high > 0n);
        const falling = a.high < 0n || (a.high === 0n && a.low < 0n);
        return [[row[1], { low: rising ? ONE : -ONE, high: falling ? -ONE : ONE }]];
      }
      case "+":
        return [
          [row[1], UNIT],
          [row[2], UNIT],
        ];
      case "-":
        return [
          [row[1], UNIT],
          [row[2], negate(UNIT)],
        ];
      case "*":
        return [
          [row[1], at(row[2])],
          [row[2], at(row[1])],
        ];
      case "/":
        return [
          [row[1], divide(UNIT, at(row[2]))],
          [row[2], negate(divide(this.values[index]!, at(row[2])))],
        ];
      case "min":
      case "max": {
        const [a, b] = [at(row[1]), at(row[2])];
        const leftWins = row[0] === "min" ? a.high < b.low : a.low > b.high;
        const rightWins = row[0] === "min" ? b.high < a.low : b.low > a.high;
        if (leftWins) return [[row[1], UNIT]];
        return rightWins
          ? [[row[2], UNIT]]
          : [
              [row[1], between],
              [row[2], between],
            ];
      }
      case "^": {
        const slope = power(at(row[1]), row[2] - 1);
        return [[row[1], { low: slope.low * BigInt(row[2]), high: slope.high * BigInt(row[2]) }]];
      }
      default:
        return [];
    }
  }

  /** Gradient over the box of the last {@link value}, by slot. */
  gradient(slots: number): Fixed[] {
    const adjoints: (Fixed | undefined)[] = this.rows.map(() => undefined);
    const gradient = Array.from({ length: slots }, () => ZERO);
    adjoints[this.rows.length - 1] = UNIT;
    for (let index = this.rows.length - 1; index >= 0; index -= 1) {
      const seed = adjoints[index];
      if (seed === undefined) continue;
      const row = this.rows[index]!;
      if (row[0] === "symbol")
        gradient[this.slot(row[1])] = add(gradient[this.slot(row[1])]!, seed);
      for (const [operand, partial] of this.partials(index)) {
        const part = multiply(seed, partial);
        const known = adjoints[operand];
        adjoints[operand] = known === undefined ? part : add(known, part);
      }
    }
    return gradient;
  }

  /** Second derivative along a slot over the box of the last {@link value}. */
  curvature(slot: number): Fixed {
    const first: Fixed[] = [];
    const second: Fixed[] = [];
    for (const [index, row] of this.rows.entries()) {
      const isSymbol = row[0] === "symbol";
      first[index] = isSymbol && this.slot(row[1]) === slot ? UNIT : ZERO;
      second[index] = ZERO;
      if (isSymbol || row[0] === "decimal") continue;
      const partials = this.partials(index);
      if (partials.every(([operand]) => isZero(first[operand]!) && isZero(second[operand]!)))
        continue;
      if (row[0] === "/") {
        // q = a / b: q' = (a' - q b') / b and q'' = (a'' - 2 q' b' - q b'') / b.
        const [quotient, divisor] = [this.values[index]!, this.values[row[2]]!];
        const part = (of: readonly Fixed[]): Fixed =>
          subtract(of[row[1]]!, multiply(quotient, of[row[2]]!));
        const slope = divide(part(first), divisor);
        const cross = multiply(slope, first[row[2]]!);
        first[index] = slope;
        second[index] = divide(subtract(part(second), add(cross, cross)), divisor);
        continue;
      }
      const chain = (of: readonly Fixed[]): Fixed =>
        partials.reduce(
          (sum, [operand, partial]) => add(sum, multiply(partial, of[operand]!)),
          ZERO,
        );
      first[index] = chain(first);
      if (row[0] === "exp") {
        // (e^a)'' = e^a (a'^2 + a''), in one product as intervals multiply more tightly so.
        const bend = add(power(first[row[1]]!, 2), second[row[1]]!);
        second[index] = multiply(this.values[index]!, bend);
        continue;
      }
      second[index] = add(chain(second), this.bend(row, index, first));
    }
    return second.at(-1)!;
  }

  /** The part of a second derivative that the operation itself bends. */
  private bend(row: CertificateRow, index: number, first: readonly Fixed[]): Fixed {
    const twice = (a: Fixed): Fixed => ({ low: 2n * a.low, high: 2n * a.high });
    const square = (a: Fixed): Fixed => power(a, 2);
    switch (row[0]) {
      case "negate":
      case "+":
      case "-":
        return ZERO;
      case "log":
        return negate(square(divide(first[row[1]]!, this.values[row[1]]!)));
      case "*":
        return twice(multiply(first[row[1]]!, first[row[2]]!));
      case "^":
        if (row[2] === 2) return twice(square(first[row[1]]!));
        return refuse("a step to ends across a higher power");
      case "abs":
      case "min":
      case "max":
        if (this.partials(index).every(([, partial]) => partial.low === partial.high)) return ZERO;
        return refuse("a step to ends across a kink");
      default:
        return refuse("a step to ends across an operation without second derivative");
    }
  }
}

/** A function with its sign: the low side is the high side of its negative. */
interface Subject {
  readonly rows: Rows;
  readonly sign: 1 | -1;
  /** Called at every step. */
  readonly count: () => void;
}

const signed = (a: Fixed, sign: 1 | -1): Fixed => (sign === 1 ? a : negate(a));

/** Upper bound on a face: the lesser of the natural and the mean-value bound. */
function faceBound({ rows, sign }: Subject, box: Box): bigint {
  const natural = signed(rows.value(box), sign).high;
  const open = box.flatMap(({ low, high }, slot) => (low === high ? [] : [slot]));
  if (open.length === 0) return natural;
  const gradient = rows.gradient(box.length).map((partial) => signed(partial, sign));
  const centre = box.map(({ low, high }, slot) => {
    const slope = gradient[slot]!;
    if (low === high || slope.low >= 0n) return { low: high, high };
    if (slope.high <= 0n) return { low, high: low };
    const inside = low + ((high - low) * slope.high) / (slope.high - slope.low);
    return { low: inside, high: inside };
  });
  let bound = signed(rows.value(centre), sign).high;
  for (const slot of open) {
    const { low, high } = box[slot]!;
    const at = centre[slot]!.low;
    const rest = multiply(gradient[slot]!, { low: low - at, high: high - at });
    bound += most(rest.high, 0n);
  }
  return least(natural, bound);
}

function withSide(box: Box, slot: number, side: Fixed): Box {
  return box.map((own, index) => (index === slot ? side : own));
}

/** Largest value of the subject over the box, by the steps of a proof. */
function proven(subject: Subject, start: Box, step: CertificateStep): bigint {
  const { rows, sign } = subject;
  subject.count();
  let box = start;
  for (const pass of step.collapse ?? []) {
    rows.value(box);
    const gradient = rows.gradient(box.length);
    const before = box;
    for (const symbol of pass) {
      const slot = Math.abs(symbol) - 1;
      const slope = signed(gradient[slot] ?? refuse(`symbol ${symbol}`), sign);
      const { low, high } = before[slot]!;
      if (symbol > 0 && slope.low < 0n) refuse(`a collapse of symbol ${symbol}: it can fall`);
      if (symbol < 0 && slope.high > 0n) refuse(`a collapse of symbol ${symbol}: it can rise`);
      box = withSide(box, slot, symbol > 0 ? { low: high, high } : { low, high: low });
    }
  }
  const own = faceBound(subject, box);
  if (step.cut === undefined || step.parts === undefined) return own;
  const slot = step.cut.symbol - 1;
  const { low, high } = box[slot] ?? refuse(`symbol ${step.cut.symbol}`);
  if (step.cut.kind === "halves") {
    const at = doubleOf(step.cut.at);
    if (at.low < low || at.high > high) refuse("halves that do not meet inside the interval");
    const halves = most(
      proven(subject, withSide(box, slot, { low, high: at.high }), step.parts[0]),
      proven(subject, withSide(box, slot, { low: at.low, high }), step.parts[1]),
    );
    return least(own, halves);
  }
  rows.value(box);
  const curvature = signed(rows.curvature(slot), sign).low;
  const width = high - low;
  const missed = curvature >= 0n ? 0n : ((-curvature * width * width) >> (2n * BITS + 3n)) + 1n;
  const ends = most(
    proven(subject, withSide(box, slot, { low, high: low }), step.parts[0]),
    proven(subject, withSide(box, slot, { low: high, high }), step.parts[1]),
  );
  return least(own, ends + missed);
}

/** Indication of a code, V, by the rows of the certificate; floors need exact fractions. */
function indicationOf(rows: readonly CertificateRow[], code: bigint): Fixed {
  const values: [bigint, bigint][] = [];
  const whole = (text: string): [bigint, bigint] => {
    const [, sign = "", digits = "", fraction = ""] =
      /^(-?)(\d*)\.?(\d*)$/.exec(text) ?? refuse(text);
    return [BigInt(`${sign}${digits}${fraction}`), 10n ** BigInt(fraction.length)];
  };
  for (const row of rows) {
    const [a, b] = values[row[1] as number] ?? [0n, 1n];
    const [c, d] = values[row[2] as number] ?? [0n, 1n];
    switch (row[0]) {
      case "decimal":
        values.push(whole(row[1]));
        break;
      case "symbol":
        values.push([code, 1n]);
        break;
      case "floor":
        values.push([floorDivide(a, b), 1n]);
        break;
      case "+":
        values.push([a * d + c * b, b * d]);
        break;
      case "-":
        values.push([a * d - c * b, b * d]);
        break;
      case "*":
        values.push([a * c, b * d]);
        break;
      case "/":
        values.push(c < 0n ? [-a * d, -b * c] : [a * d, b * c]);
        break;
      default:
        refuse(`the operation ${row[0]} in an indication`);
    }
  }
  const [numerator, denominator] = values.at(-1)!;
  return {
    low: floorDivide(numerator << BITS, denominator),
    high: ceilDivide(numerator << BITS, denominator),
  };
}

const PRIME = (1n << 61n) - 1n;

function residue(value: bigint): bigint {
  const rest = value % PRIME;
  return rest < 0n ? rest + PRIME : rest;
}

/** Inverse modulo the prime, by Fermat. */
function inverse(value: bigint): bigint {
  if (value === 0n) refuse("an unlucky division in the test of identity");
  let [result, base, exponent] = [1n, value, PRIME - 2n];
  for (; exponent > 0n; exponent >>= 1n) {
    if (exponent & 1n) result = residue(result * base);
    base = residue(base * base);
  }
  return result;
}

/** A function modulo a prime at a random point; what is no rational operation is an opaque mix. */
function modular(rows: readonly CertificateRow[], point: ReadonlyMap<string, bigint>): bigint {
  const values: bigint[] = [];
  for (const row of rows) {
    const a = values[row[1] as number] ?? 0n;
    const b = values[row[2] as number] ?? 0n;
    const opaque = (mark: bigint): bigint => residue((a + mark) * (a * 31n + b + mark * mark));
    switch (row[0]) {
      case "decimal": {
        const fraction = row[1].split(".")[1] ?? "";
        const digits = residue(BigInt(row[1].replace(".", "")));
        values.push(residue(digits * inverse(residue(10n ** BigInt(fraction.length)))));
        break;
      }
      case "symbol":
        values.push(point.get(row[1]) ?? refuse(`the unknown symbol ${row[1]}`));
        break;
      case "negate":
        values.push(residue(-a));
        break;
      case "+":
        values.push(residue(a + b));
        break;
      case "-":
        values.push(residue(a - b));
        break;
      case "*":
        values.push(residue(a * b));
        break;
      case "/":
        values.push(residue(a * inverse(b)));
        break;
      case "^": {
        let result = 1n;
        for (let count = 0; count < row[2]; count += 1) result = residue(result * a);
        values.push(result);
        break;
      }
      default:
        values.push(opaque(BigInt([...row[0]].reduce((sum, c) => sum * 131 + c.charCodeAt(0), 7))));
    }
  }
  return values.at(-1)!;
}

/**
 * Both forms of the error are the same function: they agree at random points modulo 2^61 - 1. Two
 * rational functions of this size that differ agree at a random point with a chance below 1e-12.
 */
function confirmIdentity({ functions, symbols }: Certificate): void {
  let state = 0x9e3779b97f4a7c15n;
  const random = (): bigint => {
    state = (state * 6364136223846793005n + 1442695040888963407n) & ((1n << 64n) - 1n);
    return residue(state >> 3n);
  };
  for (let trial = 0; trial < 4; trial += 1) {
    const point = new Map(symbols.map(({ name }) => [name, random()]));
    if (modular(functions.bounded, point) !== modular(functions.provable, point))
      refuse("a proven form that differs from the published equation");
  }
}

/** Outcome of a check. */
export interface CertificateCheck {
  /** Every step of every band was confirmed. */
  readonly confirmed: boolean;
  readonly bands: number;
  readonly steps: number;
  /** Steps that were not, each with the band and the reason. */
  readonly refusals: readonly string[];
}

/** Checks the claims of one certificate. */
class Checker {
  private readonly certificate: Certificate;
  private readonly limits: Box;
  private readonly error: Rows;
  private readonly code: Rows;
  steps = 0;

  constructor(certificate: Certificate) {
    const { symbols, functions } = certificate;
    const names = symbols.map(({ name }) => name);
    this.certificate = certificate;
    this.limits = symbols.map(({ lower, upper }) => ({
      low: decimalOf(lower).low,
      high: decimalOf(upper).high,
    }));
    this.error = new Rows(functions.provable, names);
    this.code = new Rows(functions.code, names);
  }

  private subject(rows: Rows, sign: 1 | -1): Subject {
    return {
      rows,
      sign,
      count: () => {
        this.steps += 1;
      },
    };
  }

  /** The code, or its negative, stays below claim + 1/2 from the band's end to the voltage. */
  private confirmCode(claim: CertificateCodeClaim, from: bigint, sign: 1 | -1, room: bigint): void {
    const to = doubleOf(claim.voltage);
    if (to.high < from) refuse(`a threshold at ${claim.voltage} V before the band`);
    const part: Fixed = { low: from, high: to.high };
    const box = withSide(this.limits, 0, signed(part, sign));
    const bound = proven(this.subject(this.code, sign), box, claim.step);
    if (bound >= (BigInt(claim.code) << BITS) + room)
      refuse(`code ${sign * claim.code} can occur up to ${sign * claim.voltage} V`);
  }

  private confirmCodes(side: CertificateSide, band: Fixed, sign: 1 | -1): bigint {
    const { by } = side;
    const { indication } = this.certificate.functions;
    if (by.kind !== "codes" || indication === undefined) return refuse("codes without a table");
    const half = ONE / 2n;
    const ends = signed(band, sign);
    if (doubleOf(by.last.voltage).low < ends.high) refuse("codes beyond the end of the band");
    this.confirmCode(by.first, ends.low, sign, half);
    this.confirmCode(by.last, ends.low, sign, half);
    const errorFrom = (code: number, voltage: bigint): bigint =>
      signed(indicationOf(indication, BigInt(sign * code)), sign).high - voltage;
    let largest = errorFrom(by.first.code, ends.low);
    for (let code = by.first.code + 1; code <= by.last.code; code += 1) {
      const claim = by.thresholds.find((threshold) => threshold.code === code);
      // A threshold is proven half a code lower: the code itself cannot occur.
      if (claim !== undefined) this.confirmCode(claim, ends.low, sign, -half);
      const from = claim === undefined ? ends.low : doubleOf(claim.voltage).low;
      largest = most(largest, errorFrom(code, from));
    }
    return largest;
  }

  private confirmSide(band: Fixed, side: CertificateSide, sign: 1 | -1): void {
    const largest =
      side.by.kind === "codes"
        ? this.confirmCodes(side, band, sign)
        : proven(this.subject(this.error, sign), withSide(this.limits, 0, band), side.by.step);
    const claimed = signed(doubleOf(side.proven), sign);
    if (largest > claimed.low)
      refuse(
        `a larger error, ${Number(largest >> (BITS - 60n)) / 2 ** 60} V, than claimed, ${side.proven} V`,
      );
  }

  check(band: Certificate["bands"][number]): string[] {
    const refusals: string[] = [];
    const voltages: Fixed = { low: doubleOf(band.lower).low, high: doubleOf(band.upper).high };
    for (const [name, side, sign] of [
      ["high", band.high, 1],
      ["low", band.low, -1],
    ] as const) {
      try {
        this.confirmSide(voltages, side, sign);
      } catch (error) {
        if (!(error instanceof Refusal)) throw error;
        refusals.push(`${name} side of ${band.lower} V to ${band.upper} V: ${error.message}`);
      }
    }
    return refusals;
  }
}

/**
 * Confirms a certificate: the proven form is the published equation, and every step of every proof
 * holds in arithmetic of its own. `progress` is called after each band.
 */
export function checkCertificate(
  certificate: Certificate,
  progress: (done: number, of: number) => void = () => undefined,
): CertificateCheck {
  const refusals: string[] = [];
  const checker = new Checker(certificate);
  try {
    confirmIdentity(certificate);
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    refusals.push(error.message);
  }
  const { bands } = certificate;
  for (const [index, band] of bands.entries()) {
    refusals.push(...checker.check(band));
    progress(index + 1, bands.length);
  }
  return {
    confirmed: refusals.length === 0,
    bands: bands.length,
    steps: checker.steps,
    refusals,
  };
}
