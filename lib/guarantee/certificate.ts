import { InvariantBrokenError, invariant } from "../errors.ts";
import type { Expression } from "../expression/node.ts";
import { compileTape } from "../expression/tape.ts";
import { CODE } from "../chain/measurement-model.ts";
import type { Bound, CodeClaim, SideBound, SideClaim } from "./bracket.ts";
import type { ErrorBrackets } from "./error-brackets.ts";
import type { ProofStep } from "./maximum.ts";

/**
 * A row of a function: a decimal, a symbol, or an operation on earlier rows. `^` has the exponent
 * in the third place.
 */
export type CertificateRow =
  | readonly ["decimal", string]
  | readonly ["symbol", string]
  | readonly ["negate" | "exp" | "log" | "sqrt" | "abs" | "floor", number]
  | readonly ["+" | "-" | "*" | "/" | "min" | "max" | "^", number, number];

/**
 * A step of a proof. `collapse`: passes, each a list of symbols by number from 1 that are moved to
 * their upper end, or with a minus sign to their lower end. `cut`: symbol by number from 1, kind,
 * and place; `parts` are the two steps that follow.
 */
export interface CertificateStep {
  readonly collapse?: readonly (readonly number[])[];
  readonly cut?: {
    readonly symbol: number;
    readonly kind: "ends" | "halves";
    readonly at: number;
    readonly miss: number;
  };
  readonly parts?: readonly [CertificateStep, CertificateStep];
}

/** A claim on codes; see {@link SideClaim}. */
export interface CertificateCodeClaim {
  readonly code: number;
  readonly voltage: number;
  readonly step: CertificateStep;
}

/** One side of one band. */
export interface CertificateSide {
  readonly proven: number;
  readonly by:
    | { readonly kind: "error"; readonly step: CertificateStep }
    | {
        readonly kind: "codes";
        readonly first: CertificateCodeClaim;
        readonly thresholds: readonly CertificateCodeClaim[];
        readonly last: CertificateCodeClaim;
      };
}

/** Everything needed to check the proven figures again without this package's search. */
export interface Certificate {
  readonly format: "plumbvolt.certificate/1";
  /** SHA-256 of the design document. */
  readonly design: string;
  /** Limits of every symbol as exact decimals; the first is the true voltage. */
  readonly symbols: readonly {
    readonly name: string;
    readonly lower: string;
    readonly upper: string;
  }[];
  readonly functions: {
    /** Error with roundings as quantities, as published. */
    readonly bounded: readonly CertificateRow[];
    /** The same error as it was proven. */
    readonly provable: readonly CertificateRow[];
    /** Code in use before rounding. */
    readonly code: readonly CertificateRow[];
    /** Indication as a function of the symbol `code`, where there is no adjustment. */
    readonly indication?: readonly CertificateRow[];
  };
  readonly bands: readonly {
    readonly lower: number;
    readonly upper: number;
    readonly high: CertificateSide;
    readonly low: CertificateSide;
  }[];
}

const SIGN_OF = {
  add: "+",
  subtract: "-",
  multiply: "*",
  divide: "/",
  min: "min",
  max: "max",
} as const;

/** The rows of a tape: equal sub-expressions share a row, as they did in the proof. */
function rowsOf(root: Expression, names: readonly string[]): CertificateRow[] {
  const tape = compileTape([root], names);
  const rows = tape.nodes.map((node, row): CertificateRow => {
    const left = tape.left[row]!;
    const right = tape.right[row]!;
    switch (node.kind) {
      case "constant":
        return ["decimal", node.value.toString()];
      case "symbol":
        return ["symbol", node.name];
      case "unary":
        return [node.operation, left];
      case "binary":
        return [SIGN_OF[node.operation], left, right];
      case "power":
        return ["^", left, right];
      case "named":
        throw new InvariantBrokenError("a name has no row of its own");
    }
  });
  invariant(tape.roots[0] === rows.length - 1, "the root is the last row");
  return rows;
}

function stepOf({ passes, division }: ProofStep): CertificateStep {
  const collapse = passes.map((pass) =>
    pass.map(({ slot, end }) => (end === "upper" ? slot + 1 : -(slot + 1))),
  );
  return {
    ...(collapse.length === 0 ? {} : { collapse }),
    ...(division === undefined
      ? {}
      : {
          cut: {
            symbol: division.slot + 1,
            kind: division.kind,
            at: division.at,
            miss: division.miss,
          },
          parts: [stepOf(division.parts[0]), stepOf(division.parts[1])] as const,
        }),
  };
}

function codeClaim({ code, voltage, proof }: CodeClaim): CertificateCodeClaim {
  return { code, voltage, step: stepOf(proof) };
}

function claimOf(claim: SideClaim): CertificateSide["by"] {
  if (claim.kind === "error") return { kind: "error", step: stepOf(claim.proof) };
  return {
    kind: "codes",
    first: codeClaim(claim.first),
    thresholds: claim.thresholds.map(codeClaim),
    last: codeClaim(claim.last),
  };
}

function sideOf(side: SideBound): CertificateSide {
  return { proven: side.proven, by: claimOf(side.claim) };
}

/** Writes the proofs of brackets as a certificate. */
export function certificateOf(
  brackets: ErrorBrackets,
  list: readonly Bound[],
  sha256: string,
): Certificate {
  const { model } = brackets;
  const { names } = brackets.domain;
  return {
    format: "plumbvolt.certificate/1",
    design: sha256,
    symbols: brackets.domain.limits,
    functions: {
      bounded: rowsOf(model.bounded, names),
      provable: rowsOf(model.provable, names),
      code: rowsOf(model.codes.use!, names),
      ...(model.indicationOfCode === undefined
        ? {}
        : { indication: rowsOf(model.indicationOfCode, [CODE]) }),
    },
    bands: list.map(({ band, high, low }) => ({
      lower: band.lower,
      upper: band.upper,
      high: sideOf(high),
      low: sideOf(low),
    })),
  };
}
