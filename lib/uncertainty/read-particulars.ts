import { toJsonSchema } from "@valibot/to-json-schema";
import {
  array,
  boolean,
  exactOptional,
  literal,
  minLength,
  number,
  pipe,
  safeParse,
  strictObject,
  strictTuple,
  string,
  union,
} from "valibot";
import type { InferOutput } from "valibot";
import { InvalidInputError } from "../errors.ts";
import { FaultList } from "../design/fault-list.ts";
import type { Written } from "../design/fault-list.ts";
import type { Dimension } from "../quantity/dimension.ts";
import type { BudgetSubject, Particulars, ResultInUse, UnitCertificate } from "./particulars.ts";

const written = union([string(), number()]);

/** Shape of the document; values are text with units or plain numbers in SI units. */
const particularsSchema = strictObject({
  format: literal("plumbvolt.particulars/1"),
  certificate: exactOptional(
    strictObject({
      document: string(),
      ambient: written,
      coverageFactor: number(),
      degreesOfFreedom: exactOptional(number()),
      points: pipe(
        array(strictObject({ voltage: written, error: written, expandedUncertainty: written })),
        minLength(2, "two points or more"),
      ),
    }),
  ),
  use: exactOptional(
    strictObject({
      ambient: exactOptional(strictTuple([written, written])),
      readings: exactOptional(pipe(array(written), minLength(2, "two readings or more"))),
      loading: exactOptional(
        strictObject({
          correction: written,
          expandedUncertainty: written,
          coverageFactor: number(),
          applied: boolean(),
        }),
      ),
    }),
  ),
});

type ParticularsDocument = InferOutput<typeof particularsSchema>;

/** The JSON Schema of the document, draft 2020-12. */
export function particularsJsonSchema(): Readonly<Record<string, unknown>> {
  return { ...toJsonSchema(particularsSchema, { target: "draft-2020-12" }) };
}

/** Reads the values of a document whose shape is right. */
class Reader {
  readonly faults = new FaultList();

  value(text: Written, path: string, dimension: Dimension): number {
    return this.faults.value(text, path, dimension).toNumber();
  }

  /** A number that keeps a rule. */
  ruled(
    value: number,
    path: string,
    rule: { holds: boolean; quantity: string; permitted: string },
  ) {
    const { holds, quantity, permitted } = rule;
    if (!holds) this.faults.add({ path, quantity, permitted, received: String(value) });
    return value;
  }

  private factor(value: number, path: string): number {
    const rule = { holds: value > 0, quantity: "coverage factor", permitted: "greater than zero" };
    return this.ruled(value, path, rule);
  }

  private uncertainty(text: Written, path: string, dimension: Dimension): number {
    return this.faults.limit(text, path, dimension).toNumber();
  }

  certificate(document: NonNullable<ParticularsDocument["certificate"]>): UnitCertificate {
    const { degreesOfFreedom: freedom } = document;
    const points = document.points.map((point, index) => {
      const path = `certificate.points[${index}]`;
      return {
        voltage: this.value(point.voltage, `${path}.voltage`, "voltage"),
        error: this.value(point.error, `${path}.error`, "voltage"),
        expandedUncertainty: this.uncertainty(
          point.expandedUncertainty,
          `${path}.expandedUncertainty`,
          "voltage",
        ),
      };
    });
    points.forEach(({ voltage }, index) => {
      const before = points[index - 1]?.voltage ?? -Infinity;
      const permitted = `above the one before it, ${before} V`;
      const rule = { holds: voltage > before, quantity: "voltage", permitted };
      this.ruled(voltage, `certificate.points[${index}].voltage`, rule);
    });
    const rule = { quantity: "degrees of freedom", permitted: "at least 1" };
    return {
      document: document.document,
      ambientCelsius: this.value(document.ambient, "certificate.ambient", "celsius"),
      coverageFactor: this.factor(document.coverageFactor, "certificate.coverageFactor"),
      ...(freedom === undefined
        ? {}
        : {
            degreesOfFreedom: this.ruled(freedom, "certificate.degreesOfFreedom", {
              holds: freedom >= 1,
              ...rule,
            }),
          }),
      points,
    };
  }

  use(document: NonNullable<ParticularsDocument["use"]>): ResultInUse {
    const { ambient, readings, loading } = document;
    const limits = ambient?.map((text, index) =>
      this.value(text, `use.ambient[${index}]`, "celsius"),
    );
    const [lower = 0, upper = 0] = limits ?? [];
    if (limits !== undefined)
      this.ruled(upper, "use.ambient[1]", {
        holds: upper >= lower,
        quantity: "upper temperature",
        permitted: `not below the lower one, ${lower} degC`,
      });
    const values = readings?.map((text, index) =>
      this.value(text, `use.readings[${index}]`, "voltage"),
    );
    return {
      ...(limits === undefined ? {} : { ambientCelsius: { lower, upper } }),
      ...(values === undefined ? {} : { readings: values }),
      ...(loading === undefined
        ? {}
        : {
            loading: {
              correction: this.value(loading.correction, "use.loading.correction", "ratio"),
              standardUncertainty:
                this.uncertainty(
                  loading.expandedUncertainty,
                  "use.loading.expandedUncertainty",
                  "ratio",
                ) / this.factor(loading.coverageFactor, "use.loading.coverageFactor"),
              isApplied: loading.applied,
            },
          }),
    };
  }
}

/**
 * Reads what is known of one unit or one result, for the budget of that subject.
 *
 * Throws {@link InvalidInputError} with every fault of a stage: shape first, then values. The
 * budget of a unit needs a certificate, that of a result the use.
 */
export function readParticulars(document: unknown, subject: BudgetSubject): Particulars {
  const shaped = safeParse(particularsSchema, document);
  if (!shaped.success) {
    const faults = shaped.issues.map((issue) => ({
      path: (issue.path ?? []).map(({ key }) => String(key)).join("."),
      quantity: "field",
      permitted: issue.message.startsWith("Invalid") ? String(issue.expected) : issue.message,
      received: issue.received,
    }));
    throw new InvalidInputError("particulars", faults);
  }
  const { certificate, use } = shaped.output;
  const reader = new Reader();
  const read = {
    ...(certificate === undefined ? {} : { certificate: reader.certificate(certificate) }),
    ...(use === undefined ? {} : { use: reader.use(use) }),
  };
  const need = (field: "certificate" | "use"): void =>
    reader.faults.add({
      path: field,
      quantity: "field",
      permitted: `given for the budget of a ${subject}`,
      received: "nothing",
    });
  if (subject === "unit" && certificate === undefined) need("certificate");
  if (subject === "result" && use === undefined) need("use");
  reader.faults.throwIfAny("particulars");
  return subject === "unit" ? { certificate: read.certificate! } : read;
}
