/** The part of the reference ODE library that the tests use; its own types do not suit strict mode. */
declare module "odex" {
  type Derivative = (x: number, y: number[]) => number[];
  class Solver {
    constructor(size: number);
    maxSteps: number;
    initialStepSize: number;
    relativeTolerance: number;
    absoluteTolerance: number;
    solve(
      derivative: Derivative,
      from: number,
      start: number[],
      to: number,
    ): { readonly y: number[]; readonly outcome: number };
  }
  const odex: { readonly Solver: typeof Solver };
  export default odex;
}
