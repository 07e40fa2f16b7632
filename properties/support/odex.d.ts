/** The part of the reference ODE solver that the oracles use; its own sources are no strict types. */
type Derivative = (x: number, y: number[]) => number[];

interface Solver {
  absoluteTolerance: number | number[];
  relativeTolerance: number | number[];
  initialStepSize: number;
  maxSteps: number;
  solve(
    derivative: Derivative,
    x0: number,
    y0: number[],
    x1: number,
  ): { readonly outcome: number; readonly xEnd: number; readonly y: number[] };
}

declare const odex: { readonly Solver: new (size: number) => Solver };
export default odex;
