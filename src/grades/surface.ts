// A surface of the ground. In: points with heights and faces; out: a surface whose faces cover each place once.
// Terms: face = a triangle, anticlockwise; plan = seen from above; wall = a face without area in plan; fold = two faces that lie on each
// other in plan. Cost: n log n in the faces, and the pairs of faces whose boxes meet.

import { orient2d } from 'robust-predicates';
import { BoxIndex } from '../geometry/index.js';
import type { StopSignal, Surface } from '../model/index.js';
import { finding, InputError } from '../model/index.js';
import { counted, listOf } from '../text/index.js';

/** A surface of more faces is cut down by its maker first: the memory of a job grows with them. */
export const MOST_FACES = 1_000_000;
/** Faces named one by one in a finding. */
const NAMED = 3;
/** Faces that share less ground than this, in square units of the file, touch and do not fold: files round to 0.001. */
const FOLD_SHARE = 1e-6;

/** Positive where a, b, c turn left. robust-predicates counts clockwise as positive. */
export function turn(xy: Float64Array, a: number, b: number, c: number): number {
  return -orient2d(xy[a * 2]!, xy[a * 2 + 1]!, xy[b * 2]!, xy[b * 2 + 1]!, xy[c * 2]!, xy[c * 2 + 1]!);
}

/**
 * Faces made anticlockwise; walls are left out, and both faces of a fold: which of them is the ground, nobody can tell.
 *
 * @param given.faces 3 points a face, either way round
 * @throws InputError `grade-large`, `grade-empty`
 * @example
 * surfaceOf({ layer, xy, z, faces, findings: [] }).faces.length / 3;
 */
export function surfaceOf(given: Surface, signal?: StopSignal): Surface {
  const { layer, xy, z, faces } = given;
  const count = faces.length / 3;
  if (count > MOST_FACES) {
    const message = `${layer.name} has ${count} faces; at most ${MOST_FACES} are taken`;
    throw new InputError('grade-large', message, { layer: layer.name, cure: 'export the part about the site alone' });
  }
  const turned = new Uint32Array(faces.length);
  let kept = 0;
  for (let f = 0; f < count; f++) {
    const [a, b, c] = [faces[f * 3]!, faces[f * 3 + 1]!, faces[f * 3 + 2]!];
    const side = turn(xy, a, b, c);
    if (side === 0) continue;
    turned.set(side > 0 ? [a, b, c] : [a, c, b], kept * 3);
    kept++;
  }
  const sound = turned.slice(0, kept * 3);
  const folded = foldsOf(xy, sound, signal);
  const flat = folded.rows.size === 0 ? sound : sound.filter((_, i) => !folded.rows.has(Math.floor(i / 3)));
  const findings = [...given.findings];
  if (folded.rows.size > 0) {
    const message = `${counted(folded.rows.size, 'face')} lie on each other in plan, near ${listOf(folded.places, NAMED)}: the ground there has two heights and counts as not known`;
    const cure = 'correct the surface where it was made (crossing breaklines, a fold), and export it again';
    findings.push(finding('grade-fold', { layer: layer.name }, message, cure));
  }
  if (flat.length === 0) {
    const message = `${layer.name} covers no ground: it has no face with an area in plan`;
    throw new InputError('grade-empty', message, {
      layer: layer.name,
      cure: 'give a surface, or three or more spot heights that are not on one line',
    });
  }
  return { layer, xy, z, faces: flat, findings };
}

/** Boxes of faces, 4 numbers each. */
export function faceBoxes(xy: Float64Array, faces: Uint32Array): Float64Array {
  const boxes = new Float64Array((faces.length / 3) * 4);
  for (let f = 0; f < faces.length / 3; f++) {
    const [a, b, c] = [faces[f * 3]! * 2, faces[f * 3 + 1]! * 2, faces[f * 3 + 2]! * 2];
    boxes[f * 4] = Math.min(xy[a]!, xy[b]!, xy[c]!);
    boxes[f * 4 + 1] = Math.min(xy[a + 1]!, xy[b + 1]!, xy[c + 1]!);
    boxes[f * 4 + 2] = Math.max(xy[a]!, xy[b]!, xy[c]!);
    boxes[f * 4 + 3] = Math.max(xy[a + 1]!, xy[b + 1]!, xy[c + 1]!);
  }
  return boxes;
}

/** Looks at the signal once in so many faces. */
export const LOOK_EVERY = 1024;

function foldsOf(
  xy: Float64Array,
  faces: Uint32Array,
  signal: StopSignal | undefined,
): { readonly rows: ReadonlySet<number>; readonly places: readonly string[] } {
  const boxes = faceBoxes(xy, faces);
  const index = new BoxIndex(boxes);
  const rows = new Set<number>();
  const places: string[] = [];
  for (let f = 0; f < faces.length / 3; f++) {
    if (f % LOOK_EVERY === 0) signal?.throwIfAborted();
    const n = index.search(boxes[f * 4]!, boxes[f * 4 + 1]!, boxes[f * 4 + 2]!, boxes[f * 4 + 3]!);
    for (const g of index.found.subarray(0, n)) {
      if (g <= f || areApart(xy, faces, f, g) || areApart(xy, faces, g, f)) continue;
      if (isSliver(boxes, f, g)) continue;
      rows.add(f).add(g);
      if (places.length < NAMED + 1) places.push(placeOf(xy, faces, f));
    }
  }
  return { rows, places };
}

/** Whether an edge of face f has all of face g on its other side: then the two have no ground in common. Exact. */
function areApart(xy: Float64Array, faces: Uint32Array, f: number, g: number): boolean {
  for (let k = 0; k < 3; k++) {
    const a = faces[f * 3 + k]!;
    const b = faces[f * 3 + ((k + 1) % 3)]!;
    let apart = true;
    for (let j = 0; j < 3 && apart; j++) apart = turn(xy, a, b, faces[g * 3 + j]!) <= 0;
    if (apart) return true;
  }
  return false;
}

/** Whether the boxes of two faces have next to nothing in common. */
function isSliver(boxes: Float64Array, f: number, g: number): boolean {
  const [i, j] = [f * 4, g * 4];
  const width = Math.min(boxes[i + 2]!, boxes[j + 2]!) - Math.max(boxes[i]!, boxes[j]!);
  const height = Math.min(boxes[i + 3]!, boxes[j + 3]!) - Math.max(boxes[i + 1]!, boxes[j + 1]!);
  return width * height < FOLD_SHARE;
}

function placeOf(xy: Float64Array, faces: Uint32Array, f: number): string {
  const mean = (axis: 0 | 1): number => [0, 1, 2].reduce((sum, k) => sum + xy[faces[f * 3 + k]! * 2 + axis]! / 3, 0);
  return `${mean(0).toFixed(2)}, ${mean(1).toFixed(2)}`;
}
