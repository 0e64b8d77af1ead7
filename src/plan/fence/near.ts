// Which shapes come near a line. In: a line of flat x, y (or a single place) and shapes by number; out: their numbers.
// Terms: near = a corner or the middle of an edge of the line within a distance of the shape, or inside it.

import { BoxIndex, distanceToArea, ringBox, type Shape } from '../../geometry/index.js';

/** Shapes by number, asked again and again. */
export class NearShapes {
  readonly #polygons: { readonly number: number; readonly xy: readonly number[]; readonly start: readonly number[] }[] =
    [];
  readonly #index: BoxIndex;

  constructor(shapes: ReadonlyMap<number, Shape>) {
    const boxes: number[] = [];
    for (const [number, shape] of shapes) {
      for (const polygon of shape) {
        const start = [0];
        for (const ring of polygon) start.push(start.at(-1)! + ring.length / 2);
        this.#polygons.push({ number, xy: polygon.flat(), start });
        boxes.push(...ringBox(polygon[0] ?? []));
      }
    }
    this.#index = new BoxIndex(Float64Array.from(boxes));
  }

  /** Numbers of the shapes within a distance of a line, in their order. */
  near(line: readonly number[], withinM: number): number[] {
    const places: (readonly [number, number])[] = [];
    for (let i = 0; i < line.length; i += 2) {
      const [x, y] = [line[i]!, line[i + 1]!];
      if (i > 0) places.push([(line[i - 2]! + x) / 2, (line[i - 1]! + y) / 2]);
      places.push([x, y]);
    }
    const [west, south, east, north] = ringBox(line);
    const n = this.#index.search(west - withinM, south - withinM, east + withinM, north + withinM);
    const numbers = new Set<number>();
    for (const p of this.#index.found.slice(0, n).sort()) {
      const { number, xy, start } = this.#polygons[p]!;
      if (numbers.has(number)) continue;
      if (places.some(([x, y]) => distanceToArea(xy, start, 0, start.length - 1, x, y) <= withinM)) numbers.add(number);
    }
    return [...numbers];
  }
}
