import type { Design } from "../design/design.ts";
import { quantitiesOf } from "../design/quantities.ts";
import { invariant } from "../errors.ts";
import type { Box } from "../guarantee/box.ts";

/** One option of every kind, by place. */
export type Choice = readonly number[];

/** A choice in which some kinds are still open. */
export type PartialChoice = readonly (number | undefined)[];

/** Designs of one family: the same equation, other limits. */
export interface FamilyDesigns {
  /** Number of options of each kind. */
  readonly sizes: readonly number[];
  readonly designOf: (choice: Choice) => Design;
  /** The design of a choice with other divider values, to see which limits depend on them. */
  readonly elsewhere: (choice: Choice) => Design;
}

/** What is known of one structure of a family. */
export interface StructureLimits {
  readonly designOf: (choice: Choice) => Design;
  /** Limits that depend on the divider's values, kept by choice. */
  readonly known: Map<string, Limits>;
}

/** Quantities that several kinds make together, or that depend on the divider's values too. */
interface Group {
  readonly places: readonly number[];
  readonly kinds: readonly number[];
}

/** Limits of all quantities of a design, in their order. */
interface Limits {
  readonly names: readonly string[];
  readonly lower: Float64Array;
  readonly upper: Float64Array;
}

function limitsOf(design: Design): Limits {
  const quantities = quantitiesOf(design);
  return {
    names: quantities.map(({ name }) => name),
    lower: Float64Array.from(quantities, ({ lower }) => lower.lowerNumber()),
    upper: Float64Array.from(quantities, ({ upper }) => upper.upperNumber()),
  };
}

interface Ends {
  readonly lower: Float64Array;
  readonly upper: Float64Array;
}

/** Limits of one kind's own quantities under each of its options. */
interface KindLimits {
  /** Places among the quantities. */
  readonly places: readonly number[];
  /** By option, in the order of the places. */
  readonly lower: readonly Float64Array[];
  readonly upper: readonly Float64Array[];
  /** What every option of the kind contains; a lower above an upper where there is no such. */
  readonly common: Ends;
  /** What some option of the kind contains. */
  readonly any: Ends;
}

const LARGEST_CACHE = 4096;

/**
 * Which limits each option of each kind brings. A quantity of one kind alone is looked up; one
 * that several kinds make together, as the noise of converter, buffer and reference, is computed
 * for each combination of theirs.
 */
export class GradeLimits {
  private readonly base: Limits;
  private readonly kinds: readonly KindLimits[];
  private readonly joint: Group;
  private readonly byValue: Group;
  /** Options of each kind with the least and the largest of such quantities. */
  private readonly narrowest: readonly number[];
  private readonly widest: readonly number[];
  private readonly family: StructureLimits;

  constructor(designs: FamilyDesigns) {
    const first = designs.sizes.map(() => 0);
    this.base = limitsOf(designs.designOf(first));
    const alone = designs.sizes.map((size, kind) =>
      Array.from({ length: size }, (_, option) =>
        option === 0 ? this.base : limitsOf(designs.designOf(first.with(kind, option))),
      ),
    );
    for (const { names } of alone.flat()) {
      const same = names.every((name, place) => name === this.base.names[place]);
      invariant(same && names.length === this.base.names.length, "one family, one equation");
    }
    const touched = alone.map((options) => this.touched(options));
    const owners = this.base.names.map((_, place) =>
      touched.flatMap((places, kind) => (places.has(place) ? [kind] : [])),
    );
    const other = limitsOf(designs.elsewhere(first));
    const isByValue = (place: number): boolean =>
      other.lower[place] !== this.base.lower[place] ||
      other.upper[place] !== this.base.upper[place];
    const group = (isIn: (place: number, kinds: readonly number[]) => boolean): Group => {
      const places = owners.flatMap((kinds, place) =>
        kinds.length > 0 && isIn(place, kinds) ? [place] : [],
      );
      const kinds = new Set(places.flatMap((place) => owners[place]!));
      return { places, kinds: [...kinds].sort((one, other) => one - other) };
    };
    this.byValue = group(isByValue);
    this.joint = group((place, kinds) => kinds.length > 1 && !isByValue(place));
    this.kinds = alone.map((options, kind) =>
      kindLimits(
        options,
        [...touched[kind]!].filter((place) => owners[place]!.length === 1 && !isByValue(place)),
      ),
    );
    this.family = { designOf: designs.designOf, known: new Map() };
    const widths = alone.map((options) => options.map((limits) => this.jointWidth(limits)));
    this.narrowest = widths.map((of) => of.indexOf(Math.min(...of)));
    this.widest = widths.map((of) => of.indexOf(Math.max(...of)));
  }

  private touched(options: readonly Limits[]): ReadonlySet<number> {
    const places = this.base.names.flatMap((_, place) =>
      options.some(
        ({ lower, upper }) =>
          lower[place] !== this.base.lower[place] || upper[place] !== this.base.upper[place],
      )
        ? [place]
        : [],
    );
    return new Set(places);
  }

  /** How wide the quantities are that several kinds make. */
  private jointWidth({ lower, upper }: Limits): number {
    const places = [...this.joint.places, ...this.byValue.places];
    return places.reduce((sum, place) => sum + upper[place]! - lower[place]!, 0);
  }

  /** Sets the quantities of a group; open kinds stand at a stated option. */
  private setTogether(box: Box, { places, kinds }: Group, at: JointChoice): void {
    if (places.length === 0) return;
    const { choice, open, of } = at;
    const full = choice.map((option, kind) => (kinds.includes(kind) ? (option ?? open[kind]!) : 0));
    const key = full.join();
    const limits = of.known.get(key) ?? limitsOf(of.designOf(full));
    if (of.known.size < LARGEST_CACHE) of.known.set(key, limits);
    for (const place of places) {
      box.lower[place + 1] = limits.lower[place]!;
      box.upper[place + 1] = limits.upper[place]!;
    }
  }

  /**
   * Narrows a box of the first options, in place, to what is inside the limits of every choice that
   * is still open; false where nothing is. Slots follow the quantities, that of the true voltage
   * stands before them.
   */
  narrow(box: Box, choice: PartialChoice, structure: StructureLimits): boolean {
    return this.set(box, { choice, structure, open: "common" });
  }

  /** Widens a box of the first options, in place, to hold the limits of every choice. */
  widen(box: Box, structure: StructureLimits): void {
    this.set(box, { choice: this.kinds.map(() => undefined), structure, open: "any" });
  }

  private set(box: Box, of: Setting): boolean {
    const { choice, open, structure } = of;
    let common = true;
    for (const [kind, limits] of this.kinds.entries()) {
      const option = choice[kind];
      const lower = option === undefined ? limits[open].lower : limits.lower[option]!;
      const upper = option === undefined ? limits[open].upper : limits.upper[option]!;
      for (const [index, place] of limits.places.entries()) {
        box.lower[place + 1] = lower[index]!;
        box.upper[place + 1] = upper[index]!;
        common &&= lower[index]! <= upper[index]!;
      }
    }
    const at = open === "common" ? this.narrowest : this.widest;
    this.setTogether(box, this.joint, { choice, open: at, of: this.family });
    this.setTogether(box, this.byValue, { choice, open: at, of: structure });
    return common;
  }
}

interface Setting {
  readonly choice: PartialChoice;
  readonly structure: StructureLimits;
  readonly open: "common" | "any";
}

interface JointChoice {
  readonly choice: PartialChoice;
  readonly open: Choice;
  readonly of: StructureLimits;
}

function kindLimits(options: readonly Limits[], places: readonly number[]): KindLimits {
  const at = (of: Float64Array): Float64Array => Float64Array.from(places, (place) => of[place]!);
  const lower = options.map((limits) => at(limits.lower));
  const upper = options.map((limits) => at(limits.upper));
  const each = (of: readonly Float64Array[], pick: (...values: number[]) => number): Float64Array =>
    Float64Array.from(places, (_, index) => pick(...of.map((one) => one[index]!)));
  const common = { lower: each(lower, Math.max), upper: each(upper, Math.min) };
  const any = { lower: each(lower, Math.min), upper: each(upper, Math.max) };
  return { places, lower, upper, common, any };
}
