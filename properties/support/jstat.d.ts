/** The part of the reference library that the oracles use; it ships no types. */
declare module "jstat" {
  interface Continuous<Parameters extends readonly number[]> {
    inv(probability: number, ...parameters: Parameters): number;
    cdf(value: number, ...parameters: Parameters): number;
  }
  const jStat: {
    readonly normal: Continuous<[mean: number, standardDeviation: number]>;
    readonly studentt: Continuous<[degreesOfFreedom: number]>;
    readonly uniform: Continuous<[lower: number, upper: number]>;
    readonly triangular: Continuous<[lower: number, upper: number, mode: number]>;
    readonly arcsine: Continuous<[lower: number, upper: number]>;
    readonly beta: Continuous<[first: number, second: number]>;
    readonly chisquare: Continuous<[degreesOfFreedom: number]>;
  };
  export default jStat;
}
