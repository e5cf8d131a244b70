declare module 'jstat' {
  export const jStat: {
    lowRegGamma(a: number, x: number): number;
    stdev(values: readonly number[], sample: boolean): number;
    coeffvar(values: readonly number[]): number;
    percentile(values: readonly number[], share: number): number;
    studentt: { inv(p: number, freedom: number): number };
    ibeta(x: number, a: number, b: number): number;
    normal: { cdf(x: number, mean: number, deviation: number): number };
  };
}
