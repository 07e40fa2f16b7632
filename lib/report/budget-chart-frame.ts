import type { BudgetChartData, DrawnRequirement } from "./budget-chart-data.ts";
import type { SymmetricLog } from "./symmetric-log.ts";

/** Height of one line of a name at the right of the plot, and the lines and gap of one name. */
export const LABEL = { lineHeight: 14, lines: 3, gap: 6 } as const;

/** Where things stand in the chart of error against voltage; pixels. */
export interface ChartFrame {
  readonly width: number;
  readonly plot: {
    readonly left: number;
    readonly right: number;
    readonly top: number;
    readonly bottom: number;
  };
  /** Room between the frame of the plot and the ends of its axes. */
  readonly inset: number;
  /** V. */
  readonly voltage: SymmetricLog;
  /** V, symmetric about zero. */
  readonly error: SymmetricLog;
}

const LABEL_ROOM = LABEL.lineHeight * LABEL.lines + LABEL.gap;
const WIDTH = 900;
const LEFT = 66;
const RIGHT_LABELS = 232;
const TOP = 116;
/** Least height; more where the names at the right need it. */
const PLOT_HEIGHT = 400;
/** Share of the larger end of the voltage axis within which it is nearly linear. */
const LINEAR_VOLTAGES = 1 / 15;
/**
 * Other statements widen the error axis up to this many times the design's own largest error; what
 * lies beyond is cut and says so, as otherwise the design's own error could not be read.
 */
const WIDEST = 12;
const HEADROOM = 1.12;

/** Lines that are named at the right: the design's own two, ranges asked for, statements. */
function namedLineCount({ requirements, statements }: BudgetChartData): number {
  return 2 + requirements.filter(({ over }) => over === "range").length + statements.length;
}

function median(values: readonly number[]): number | undefined {
  const sorted = [...values].sort((one, other) => one - other);
  return sorted[Math.floor(sorted.length / 2)];
}

function requiredErrors({ allowed }: DrawnRequirement): readonly number[] {
  return allowed.flatMap(({ low, high }) => [Math.abs(low ?? 0), Math.abs(high ?? 0)]);
}

function voltageAxis(data: BudgetChartData): SymmetricLog {
  const voltages = [...data.proven, ...data.requirements.flatMap(({ allowed }) => allowed)].map(
    ({ voltage }) => voltage,
  );
  const domain = [Math.min(0, ...voltages), Math.max(0, ...voltages)] as const;
  const [lower, upper] = domain[0] === domain[1] ? [-1, 1] : domain;
  return { constant: Math.max(-lower, upper) * LINEAR_VOLTAGES, domain: [lower, upper] };
}

function errorAxis(data: BudgetChartData): SymmetricLog {
  const own = data.proven.map(({ low, high }) => Math.max(Math.abs(low), Math.abs(high)));
  const atPoints = data.requirements.filter(({ over }) => over === "points");
  const stated = data.accuracy.branches.flat().flatMap(({ low, high }) => [-low, high]);
  const needed = Math.max(0, ...own, ...stated, ...atPoints.flatMap(requiredErrors));
  const others = [
    ...data.statements.flatMap(({ permitted }) => permitted.map(({ error }) => error)),
    ...data.requirements.flatMap(requiredErrors),
  ];
  const ownLargest = Math.max(0, ...own);
  const wished = Math.min(Math.max(0, ...others), WIDEST * ownLargest);
  const end = Math.max(needed, wished) * HEADROOM;
  const constant = median(own.filter((error) => error > 0)) ?? 1;
  return end > 0 ? { constant, domain: [-end, end] } : { constant: 1, domain: [-1, 1] };
}

/** Sizes and axes that suit the figures: zero always stands on both axes. */
export function budgetChartFrame(data: BudgetChartData): ChartFrame {
  const height = Math.max(PLOT_HEIGHT, LABEL_ROOM * namedLineCount(data));
  return {
    width: WIDTH,
    plot: { left: LEFT, right: WIDTH - RIGHT_LABELS, top: TOP, bottom: TOP + height },
    inset: 12,
    voltage: voltageAxis(data),
    error: errorAxis(data),
  };
}
