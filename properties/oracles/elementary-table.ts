/** One line of a table of a function: an argument and 30 significant digits of its value. */
export interface TableRow {
  /** Stands for the double itself, not for the decimal text it is written as. */
  readonly argument: number;
  /** Value at the double, to nearest in the 30th digit. */
  readonly value: string;
}

// Made with the decimal module of Python 3.11 at 80 digits and, independently, in binary
// multiple-precision arithmetic at 60 digits; the two agree in every digit printed. A third
// implementation makes every row again in elementary-table.test.ts. The arguments cover both signs,
// the seams of a binary reduction (next to ln 2, its half and the square root of 2), the neighbours
// of 1, and both ends of the doubles.

export const expTable: readonly TableRow[] = [
  { argument: 1, value: "2.71828182845904523536028747135" },
  { argument: -1, value: "3.67879441171442321595523770161e-1" },
  { argument: 0.5, value: "1.64872127070012814684865078781" },
  { argument: -0.5, value: "6.06530659712633423603799534991e-1" },
  { argument: 2, value: "7.38905609893065022723042746058" },
  { argument: 10, value: "2.20264657948067165169579006453e4" },
  { argument: -10, value: "4.53999297624848515355915155606e-5" },
  { argument: 0.1, value: "1.10517091807564763094663882346" },
  { argument: -0.001, value: "9.99000499833374991647259481733e-1" },
  { argument: 1e-10, value: "1.00000000010000000000500000364" },
  { argument: -1e-15, value: "9.99999999999999000000000000000e-1" },
  { argument: 2.220446049250313e-16, value: "1.00000000000000022204460492503" },
  { argument: 0.34657359027997264, value: "1.41421356237309503240355144461" },
  { argument: 0.6931471805599454, value: "2.00000000000000017566366864811" },
  { argument: 3.25, value: "2.57903399171930620890801076694e1" },
  { argument: -34, value: "1.71390843154201296630272034258e-15" },
  { argument: 100, value: "2.68811714181613544841262555158e43" },
  { argument: -100, value: "3.72007597602083596295969580386e-44" },
  { argument: 700.25, value: "1.30229973669917839353354223862e304" },
  { argument: 709, value: "8.21840746155497218924137238660e307" },
  { argument: -708, value: "3.30755300363840799620117429721e-308" },
  { argument: -745, value: "2.82235073047193707635344008206e-324" },
];

export const logTable: readonly TableRow[] = [
  { argument: 2, value: "6.93147180559945309417232121458e-1" },
  { argument: 10, value: "2.30258509299404568401799145468" },
  { argument: 0.5, value: "-6.93147180559945309417232121458e-1" },
  { argument: 0.1, value: "-2.30258509299404562850684022343" },
  { argument: 3, value: "1.09861228866810969139524523692" },
  { argument: 1.4142135623730954, value: "3.46573590279972880075948505726e-1" },
  { argument: 0.7071067811865474, value: "-3.46573590279972900369021220865e-1" },
  { argument: 1.0000000000000002, value: "2.22044604925031283432823045462e-16" },
  { argument: 0.9999999999999999, value: "-1.11022302462515660205338988848e-16" },
  { argument: 1.001, value: "9.99500333083423142709456047873e-4" },
  { argument: 0.999, value: "-1.00050033358353438921046944138e-3" },
  { argument: 2.7182818284590446, value: "9.99999999999999783446332584033e-1" },
  { argument: 34, value: "3.52636052461616138966676673933" },
  { argument: 430, value: "6.06378520868760810749083396803" },
  { argument: 0.001, value: "-6.90775527898213703123729265233" },
  { argument: 1e10, value: "2.30258509299404568401799145468e1" },
  { argument: 1e-300, value: "-6.90775527898213705180338344570e2" },
  { argument: 5e-324, value: "-7.44440071921381262314107298446e2" },
  { argument: 2.2250738585072014e-308, value: "-7.08396418532264106224411228130e2" },
  { argument: 1.7976931348623157e308, value: "7.09782712893383996732223389911e2" },
  { argument: 1.5, value: "4.05465108108164381978013115464e-1" },
];

export const sqrtTable: readonly TableRow[] = [
  { argument: 2, value: "1.41421356237309504880168872421" },
  { argument: 3, value: "1.73205080756887729352744634151" },
  { argument: 5, value: "2.23606797749978969640917366873" },
  { argument: 10, value: "3.16227766016837933199889354443" },
  { argument: 0.5, value: "7.07106781186547524400844362105e-1" },
  { argument: 0.1, value: "3.16227766016837941976973025885e-1" },
  { argument: 0.01, value: "1.00000000000000001040834085586e-1" },
  { argument: 1e-10, value: "1.00000000000000001821609865775e-5" },
  { argument: 1e10, value: "1.00000000000000000000000000000e5" },
  { argument: 34, value: "5.83095189484530047087415287755" },
  { argument: 430, value: "2.07364413533277208745589867998e1" },
  { argument: 6.25, value: "2.50000000000000000000000000000" },
  { argument: 1e-300, value: "1.00000000000000001252954591760e-150" },
  { argument: 5e-324, value: "2.22275874948507748344271341427e-162" },
  { argument: 2.2250738585072014e-308, value: "1.49166814624004134865819306309e-154" },
  { argument: 1.7976931348623157e308, value: "1.34078079299425963552911713195e154" },
  { argument: 1.0000000000000002, value: "1.00000000000000011102230246252" },
  { argument: 0.9999999999999999, value: "9.99999999999999944488848768742e-1" },
  { argument: 123456789, value: "1.11111110605555554405416661434e4" },
  { argument: 7e-9, value: "8.36660026534075536957308511231e-5" },
  { argument: 0.75, value: "8.66025403784438646763723170753e-1" },
];
