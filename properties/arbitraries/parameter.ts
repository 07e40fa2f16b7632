/** A part of a parameter's range whose members behave alike: a class of the claim. */
export interface Stratum {
  /** Words of the class, as "late second pole". */
  readonly name: string;
  /** Integers, both included. */
  readonly least: number;
  readonly most: number;
}

/**
 * One whole number of a scenario. Physical values are whole numbers times a step, so that they are
 * drawn evenly, stored exactly and shrunk to the plainest one.
 */
export interface Parameter {
  readonly name: string;
  /** What it is, in a few words. */
  readonly meaning: string;
  /** Every class; the plainest first. They may overlap and are drawn equally often. */
  readonly strata: readonly Stratum[];
  /** Value in the unit a reader expects. */
  readonly words: (value: number) => string;
  /** Whether it matters beside the other values; always where absent. */
  readonly matters?: (draw: Draw) => boolean;
  /** Value that need not be mentioned. */
  readonly silentAt?: number;
}

/** Values by the names of the parameters. */
export type Draw = Readonly<Record<string, number>>;

/** Value of a parameter that the draw must have. Throws RangeError where it does not. */
export function valueOf(draw: Draw, name: string): number {
  const value = draw[name];
  if (value === undefined) throw new RangeError(`the draw has no ${name}`);
  return value;
}

/** Least and greatest value over all strata. */
export function spanOf({ strata }: Parameter): readonly [number, number] {
  return [
    Math.min(...strata.map(({ least }) => least)),
    Math.max(...strata.map(({ most }) => most)),
  ];
}

/** The classes a draw belongs to, as "product: passive". */
export function classesOf(parameters: readonly Parameter[], draw: Draw): string[] {
  return parameters.flatMap(({ name, meaning, strata, matters }) => {
    if (strata.length < 2 || !(matters?.(draw) ?? true)) return [];
    const value = valueOf(draw, name);
    return strata
      .filter(({ least, most }) => value >= least && value <= most)
      .map((stratum) => `${meaning}: ${stratum.name}`);
  });
}

/** A draw in words, one line for each parameter that matters. */
export function wordsOf(parameters: readonly Parameter[], draw: Draw): string[] {
  return parameters.flatMap(({ name, meaning, words, matters, silentAt }) => {
    const value = valueOf(draw, name);
    const said = value !== silentAt && (matters?.(draw) ?? true);
    return said ? [`${meaning}: ${words(value)}`] : [];
  });
}
