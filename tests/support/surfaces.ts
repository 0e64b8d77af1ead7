// Surfaces for tests. In: points, a function of the place; out: a Surface in a local system of metres.
import { spotSurface, surfaceOf } from '../../src/grades/index.js';
import { LayerBuilder, type Surface } from '../../src/model/index.js';

export type Height = (x: number, y: number) => number;

/** A surface over spots, triangulated. */
export function spots(places: readonly (readonly [number, number])[], height: Height, name = 'spots.csv'): Surface {
  const into = new LayerBuilder(name, 'csv');
  for (const [x, y] of places) {
    into.begin('point');
    into.part();
    into.ring();
    into.vertex(x, y);
    into.end({ ground_height_m: height(x, y) });
  }
  return spotSurface(into.finish({ crs: null, sha256: null }), 'existing');
}

/** A grid of spots from the origin to `size`, every `step`. */
export function grid(size: number, step: number, height: Height, name?: string): Surface {
  const places: [number, number][] = [];
  for (let x = 0; x <= size + 1e-9; x += step) for (let y = 0; y <= size + 1e-9; y += step) places.push([x, y]);
  return spots(places, height, name);
}

/** A surface of faces as given. */
export function faced(points: readonly (readonly [number, number, number])[], faces: readonly number[]): Surface {
  const into = new LayerBuilder('faces.xml', 'landxml');
  into.begin('multipoint');
  for (const [x, y] of points) {
    into.part();
    into.ring();
    into.vertex(x, y);
  }
  into.end({});
  return surfaceOf({
    layer: into.finish({ crs: null, sha256: null }),
    xy: Float64Array.from(points.flatMap(([x, y]) => [x, y] as const)),
    z: Float64Array.from(points.map(([, , z]) => z)),
    faces: Uint32Array.from(faces),
    findings: [],
  });
}

/** The height of a surface at a place, by looking at every face; NaN outside. */
export function heightAt({ xy, z, faces }: Surface, x: number, y: number): number {
  for (let f = 0; f < faces.length; f += 3) {
    const [a, b, c] = [faces[f]!, faces[f + 1]!, faces[f + 2]!];
    const side = (p: number, q: number): number =>
      (xy[q * 2]! - xy[p * 2]!) * (y - xy[p * 2 + 1]!) - (xy[q * 2 + 1]! - xy[p * 2 + 1]!) * (x - xy[p * 2]!);
    const [u, v, w] = [side(b, c), side(c, a), side(a, b)];
    if (Math.min(u, v, w) >= -1e-12) return (u * z[a]! + v * z[b]! + w * z[c]!) / (u + v + w);
  }
  return Number.NaN;
}
