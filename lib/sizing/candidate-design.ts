import type { DesignDocument } from "../design/document-schema.ts";
import type { Candidate } from "./candidate.ts";
import type { LegValues, PartKind } from "./part-options.ts";
import type { SizingSpace } from "./space.ts";

/** A part of a combination as a person looks for it. */
export interface ChosenPart {
  readonly kind: PartKind;
  readonly id: string;
  /** Cost of all of its kind. */
  readonly cost: number;
}

/** The parts of a combination. */
export function chosenParts(space: SizingSpace, candidate: Candidate): readonly ChosenPart[] {
  const structure = space.structures[candidate.structure]!;
  return candidate.choice.map((option, kind) => {
    const { kind: name, id } = structure.plan.kinds[kind]![option]!;
    return { kind: name, id, cost: structure.costs[kind]![option]! };
  });
}

/** Values of the legs of a combination; absent where they are the template's. */
export function chosenValues(space: SizingSpace, { structure }: Candidate): LegValues {
  return space.structures[structure]!.values();
}

/** The whole design document of a combination, with the requirements it was sought for. */
export function candidateDocument(space: SizingSpace, candidate: Candidate): DesignDocument {
  const { plan } = space.structures[candidate.structure]!;
  const values = chosenValues(space, candidate);
  const parts = chosenParts(space, candidate).map(({ id }) => id);
  const filled = plan.kinds.reduce(
    (document, options, kind) => options[candidate.choice[kind]!]!.intoDocument(document, values),
    space.template,
  );
  return {
    ...filled,
    name: `${space.template.name}: ${parts.join(", ")}`,
    notes: [
      ...[space.template.notes ?? []].flat(),
      `Chosen from a catalogue for ${space.question.require.join(" and ")}; cost ${candidate.cost}.`,
    ],
    requirements: [...space.question.require],
  };
}
