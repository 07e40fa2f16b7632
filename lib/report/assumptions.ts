import type { Design, Range } from "../design/design.ts";
import type { Quantity } from "../design/quantity.ts";
import { highestCrest } from "../design/node-quantities.ts";
import { Decimal } from "../quantity/decimal.ts";
import { formatQuantity } from "../quantity/format.ts";
import type { Dimension } from "../quantity/dimension.ts";

/** What no figure of a budget covers. */
export const NOT_MODELLED: readonly string[] = [
  "electromagnetic disturbance, surge and electrostatic discharge",
  "microphonics and vibration",
  "condensation and pollution beyond the leakage limits declared",
  "failed parts",
  "the loading of the product by the tester: it changes the voltage, not the error of indication",
  "products whose voltage is no sum of decaying exponentials, as chokes and active discharge",
];

/** Printed wherever a limit, a verdict or an accuracy stands. */
export const CAUTIONS: readonly string[] = [
  "Mains voltage and stored charge can kill. This is a computation; it makes no measurement safe.",
  "Figures are design aids: the current edition of the standard, local codes and a licensed or " +
    "competent person decide. A real instrument is proved by calibration, not by a model.",
];

function both(range: Range, dimension: Dimension): string {
  const text = (value: Decimal): string => formatQuantity(value, dimension);
  return `${text(range.lower)} to ${text(range.upper)}`;
}

/** The conditions for which every figure of the design holds, in a reader's words. */
export function conditionsOf(design: Design): Readonly<Record<string, string>> {
  const { conditions, adjustment } = design;
  const { mains } = conditions;
  const list = (values: readonly Decimal[], dimension: Dimension): string =>
    values.map((value) => formatQuantity(value, dimension)).join(", ");
  return {
    ambient: both(conditions.ambientCelsius, "celsius"),
    ...(conditions.humidity === undefined
      ? {}
      : { humidity: both(conditions.humidity, "relativeHumidity") }),
    supply: both(conditions.supply, "voltage"),
    ...(conditions.warmUp === undefined
      ? {}
      : { warmUp: formatQuantity(conditions.warmUp, "time") }),
    mains:
      `${list(mains.voltages, "voltage")} +/-${formatQuantity(mains.tolerance, "ratio")}, ` +
      list(mains.frequencies, "frequency"),
    reading: `${formatQuantity(conditions.instant, "time")} after the last opening`,
    adjustment:
      adjustment.kind === "none"
        ? "none"
        : `${adjustment.kind === "gain" ? "gain" : "two points"}, at ${both(adjustment.ambientCelsius, "celsius")}`,
    age:
      adjustment.kind === "none"
        ? `${formatQuantity(conditions.yearsSinceManufacture, "years")} since manufacture`
        : `${formatQuantity(conditions.yearsSinceAdjustment, "years")} since adjustment`,
  };
}

/** Figures that are no guaranteed limits, one line for each part and basis. */
export function conditionalOn(quantities: readonly Quantity[]): string[] {
  const lines = quantities
    .filter(({ origin }) => origin.basis !== "guaranteed")
    .map(({ part, origin }) => {
      const document = origin.document === undefined ? "" : ` (${origin.document})`;
      return `${part}: ${origin.basis} figures${document}`;
    });
  return [...new Set(lines)];
}

/** What the proof takes for granted. */
export function assumptionsOf(design: Design): string[] {
  const { adjustment, conditions, timing, filter, adc, inexactFigures } = design;
  const cut = conditions.noiseCut.toString();
  return [
    `Noise is cut at ${cut} standard deviations; readings beyond are left out of the guarantee.`,
    "Averaging gives no credit for rounding: each code counts with its full half step.",
    "Equal parts of one group move together, as from one batch.",
    ...(adjustment.kind === "none"
      ? []
      : ["The reference holds its value from one adjustment reading to the next."]),
    ...(timing === undefined && filter === undefined
      ? []
      : [
          "The product's voltage is a sum of decaying exponentials with positive weights, starting " +
            `at no more than ${formatQuantity(highestCrest(design), "voltage", { significantDigits: 4 })}.`,
        ]),
    ...(adc.differentialNonlinearity !== undefined &&
    adc.differentialNonlinearity.compare(Decimal.one) >= 0
      ? ["The converter's differential nonlinearity allows missing codes; INL limits cover them."]
      : []),
    ...(inexactFigures.length === 0
      ? []
      : [
          `Estimated, not guaranteed: ${inexactFigures.join(", ")} came from computed numbers and ` +
            "not from typed decimals.",
        ]),
  ];
}
