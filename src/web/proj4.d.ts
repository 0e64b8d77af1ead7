// proj4's modules, one projection each, come without types.
declare module 'proj4/lib/projections/*' {
  const methods: import('../crs/index.js').ProjectionMethods;
  export default methods;
  export const names: readonly string[];
  export const forward: unknown;
  export const inverse: unknown;
}
declare module 'proj4/lib/common/*' {
  export default function (coefficients: readonly number[], at: number): number;
}
