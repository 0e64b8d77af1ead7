// proj4's modules, one projection each, come without types.
declare module 'proj4/lib/projections/*' {
  const methods: import('../project/projection.js').ProjectionMethods;
  export default methods;
}
