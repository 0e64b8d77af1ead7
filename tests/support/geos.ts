// geos-wasm as a second geometry engine: areas of unions against a circle of many straight pieces, scaled to its true area.
import initGeosJs from 'geos-wasm';

type Geos = {
  Module: {
    _malloc(n: number): number;
    _free(p: number): void;
    getValue(p: number, type: string): number;
    HEAPF64: Float64Array;
    stringToUTF8(s: string, p: number, n: number): void;
  };
  [fn: string]: unknown;
};

export interface GeosEngine {
  /** Area of the union of polygons (arrays of rings, flat x, y) inside a disc about the origin of a 4 x quadrant-gon. */
  overlap(
    polygons: readonly (readonly ArrayLike<number>[])[],
    x: number,
    y: number,
    r: number,
    quadrant: number,
  ): number;
  /** Area of what is in the union of polygons and in a polygon. */
  within(polygons: readonly (readonly ArrayLike<number>[])[], clip: ArrayLike<number>): number;
  /** Area and length of outline of the union of some polygons less the union of others. */
  difference(
    polygons: readonly (readonly ArrayLike<number>[])[],
    without: readonly (readonly ArrayLike<number>[])[],
  ): { area: number; length: number };
  /** Area that the unions of two sets of polygons have in common. */
  common(a: readonly (readonly ArrayLike<number>[])[], b: readonly (readonly ArrayLike<number>[])[]): number;
  /**
   * Area of the union of some polygons with its boundary moved outwards (or, by < 0, inwards), inside the union of others;
   * round corners as chords, `quadrant` to a quarter turn.
   */
  moved(
    polygons: readonly (readonly ArrayLike<number>[])[],
    by: number,
    inside: readonly (readonly ArrayLike<number>[])[],
    quadrant: number,
  ): number;
  /** Area of the union alone. */
  unionArea(polygons: readonly (readonly ArrayLike<number>[])[]): number;
}

export async function geosEngine(): Promise<GeosEngine> {
  const g = (await (initGeosJs as unknown as () => Promise<unknown>)()) as Geos;
  const call = (name: string, ...args: number[]): number => (g[name] as (...a: number[]) => number)(...args);
  const reader = call('GEOSWKTReader_create');
  const cell = g.Module._malloc(8);
  const geom = (wkt: string): number => {
    const n = wkt.length + 1;
    const p = g.Module._malloc(n);
    g.Module.stringToUTF8(wkt, p, n);
    const out = call('GEOSWKTReader_read', reader, p);
    g.Module._free(p);
    return out;
  };
  const ring = (r: ArrayLike<number>, dx: number, dy: number): string => {
    const points: string[] = [];
    for (let i = 0; i < r.length; i += 2) points.push(`${r[i]! - dx} ${r[i + 1]! - dy}`);
    points.push(points[0]!);
    return `(${points.join(',')})`;
  };
  const union = (polygons: readonly (readonly ArrayLike<number>[])[], x: number, y: number): number => {
    let sum = 0;
    for (const p of polygons) {
      const one = geom(`POLYGON (${p.map((r) => ring(r, x, y)).join(',')})`);
      if (sum === 0) sum = one;
      else {
        const next = call('GEOSUnion', sum, one);
        call('GEOSGeom_destroy', sum);
        call('GEOSGeom_destroy', one);
        sum = next;
      }
    }
    return sum;
  };
  const area = (p: number): number => {
    call('GEOSArea', p, cell);
    return g.Module.getValue(cell, 'double');
  };
  return {
    overlap(polygons, x, y, r, quadrant) {
      if (polygons.length === 0) return 0;
      const n = 4 * quadrant;
      const disc: number[] = [];
      // the corners lie outside the circle so that the many-sided disc has the circle's true area
      const scaled = r * Math.sqrt((2 * Math.PI) / n / Math.sin((2 * Math.PI) / n));
      for (let i = 0; i < n; i++)
        disc.push(scaled * Math.cos((2 * Math.PI * i) / n), scaled * Math.sin((2 * Math.PI * i) / n));
      const u = union(polygons, x, y);
      const d = geom(`POLYGON (${ring(disc, 0, 0)})`);
      const i = call('GEOSIntersection', u, d);
      const a = area(i);
      for (const p of [u, d, i]) call('GEOSGeom_destroy', p);
      return a;
    },
    within(polygons, clip) {
      const u = union(polygons, 0, 0);
      const d = geom(`POLYGON (${ring(clip, 0, 0)})`);
      const i = call('GEOSIntersection', u, d);
      const a = area(i);
      for (const p of [u, d, i]) call('GEOSGeom_destroy', p);
      return a;
    },
    common(one, other) {
      const a = union(one, 0, 0);
      const b = union(other, 0, 0);
      const i = call('GEOSIntersection', a, b);
      const result = area(i);
      for (const p of [a, b, i]) call('GEOSGeom_destroy', p);
      return result;
    },
    moved(polygons, by, inside, quadrant) {
      const a = union(polygons, 0, 0);
      const m = call('GEOSBuffer', a, by, quadrant);
      const b = union(inside, 0, 0);
      const i = call('GEOSIntersection', m, b);
      const result = area(i);
      for (const p of [a, m, b, i]) call('GEOSGeom_destroy', p);
      return result;
    },
    difference(polygons, without) {
      const a = union(polygons, 0, 0);
      const b = without.length === 0 ? geom('POLYGON EMPTY') : union(without, 0, 0);
      const d = call('GEOSDifference', a, b);
      call('GEOSLength', d, cell);
      const length = g.Module.getValue(cell, 'double');
      const result = { area: area(d), length };
      for (const p of [a, b, d]) call('GEOSGeom_destroy', p);
      return result;
    },
    unionArea(polygons) {
      const u = union(polygons, 0, 0);
      const a = area(u);
      call('GEOSGeom_destroy', u);
      return a;
    },
  };
}
