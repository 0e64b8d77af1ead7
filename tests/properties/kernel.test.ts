// Metamorphic properties of the kernel: turn, shift, mirror, split, double, reorder, grow. A failure prints how many
// cases broke, the first and the worst.
import { describe, expect, it } from 'vitest';
import { Meter } from '../../src/geometry/kernel/meter.js';
import { PieceBuilder } from '../../src/geometry/kernel/pieces.js';
import { mulberry32 } from '../support/random.js';
import { gridPolygon, type Random, reversed, star } from '../support/shapes.js';

interface Scene {
  readonly x: number;
  readonly y: number;
  readonly r: number;
  readonly pieces: readonly { readonly ring: readonly number[]; readonly kind: number; readonly cuts: boolean }[];
}

interface Figures {
  readonly overlap: number; // percent
  readonly severed: number;
  readonly distance: number; // in radii
}

function measure(scene: Scene): Figures {
  const b = new PieceBuilder();
  scene.pieces.forEach((p, i) => {
    b.add([p.ring], { owner: i, classBit: 8 << p.kind, cuts: p.cuts });
  });
  const m = new Meter(b.finish());
  const overlap = m.discAndNearest(scene.x, scene.y, scene.r);
  const area = Math.PI * scene.r ** 2;
  return { overlap: (overlap / area) * 100, severed: (m.severed / area) * 100, distance: m.distance / scene.r };
}

function scenes(count: number, seed: number): Scene[] {
  const random = mulberry32(seed);
  return Array.from({ length: count }, (_, i) => {
    const n = 1 + Math.floor(random() * 5);
    const shape: (r: Random) => number[] = i % 2 === 0 ? (r) => star(r) : gridPolygon;
    const pieces = Array.from({ length: n }, () => ({
      ring: shape(random),
      kind: Math.floor(random() * 7),
      cuts: random() < 0.5,
    }));
    return { x: 0, y: 0, r: 1, pieces };
  });
}

function moved(scene: Scene, map: (x: number, y: number) => readonly [number, number], scale = 1, flip = false): Scene {
  const [x, y] = map(scene.x, scene.y);
  const pieces = scene.pieces.map((p) => {
    const ring: number[] = [];
    for (let i = 0; i < p.ring.length; i += 2) ring.push(...map(p.ring[i]!, p.ring[i + 1]!));
    return { ...p, ring: flip ? reversed(ring) : ring };
  });
  return { x, y, r: scene.r * scale, pieces };
}

/** Runs a property over all scenes; the error it may make is in percentage points. */
function holds(name: string, count: number, allowed: number, error: (scene: Scene, random: Random) => number): void {
  it(name, () => {
    const random = mulberry32(7);
    const broken: { scene: number; by: number }[] = [];
    scenes(count, 20_261_125).forEach((scene, i) => {
      const by = error(scene, random);
      if (!(by <= allowed)) broken.push({ scene: i, by });
    });
    const worst = broken.reduce((a, b) => (b.by > a.by || Number.isNaN(b.by) ? b : a), { scene: -1, by: 0 });
    expect({ broken: broken.length, first: broken[0]?.scene ?? -1, worst }).toEqual({
      broken: 0,
      first: -1,
      worst: { scene: -1, by: 0 },
    });
  });
}

const apart = (a: Figures, b: Figures): number =>
  Math.max(Math.abs(a.overlap - b.overlap), Math.abs(a.severed - b.severed), Math.abs(a.distance - b.distance) * 100);

describe('kernel properties', () => {
  const N = 2000;

  holds('percent stays within 0 and 100, nothing is NaN', N, 0, (scene) => {
    const { overlap, severed, distance } = measure(scene);
    const ok = overlap >= 0 && overlap <= 100 && severed >= -1e-9 && overlap + severed <= 100 + 1e-9 && distance >= 0;
    return ok ? 0 : Number.NaN;
  });

  holds('turning changes nothing', N, 1e-7, (scene, random) => {
    const a = random() * 7;
    const turned = moved(scene, (x, y) => [x * Math.cos(a) - y * Math.sin(a), x * Math.sin(a) + y * Math.cos(a)]);
    return apart(measure(scene), measure(turned));
  });

  holds('two million feet away nothing changes but the last digits of the coordinates', N, 1e-5, (scene) => {
    const before = measure(scene);
    const after = measure(moved(scene, (x, y) => [x * 8 + 2_000_000, y * 8 + 680_000], 8));
    return apart(before, after);
  });

  holds('a mirror changes nothing', N, 1e-9, (scene) => {
    const before = measure(scene);
    const after = measure(moved(scene, (x, y) => [-x, y], 1, true));
    return apart(before, after);
  });

  holds('doubling a piece changes nothing', N, 1e-9, (scene) =>
    apart(measure(scene), measure({ ...scene, pieces: [...scene.pieces, scene.pieces[0]!] })),
  );

  holds('the order of pieces changes nothing, to the last bit', N, 0, (scene) => {
    const a = measure(scene);
    const b = measure({ ...scene, pieces: [...scene.pieces].reverse() });
    return a.overlap === b.overlap && a.severed === b.severed && a.distance === b.distance ? 0 : Number.NaN;
  });

  holds('cutting a piece in two changes no overlap', N, 1e-9, (scene) => {
    const [first, ...rest] = scene.pieces as readonly [Scene['pieces'][0], ...Scene['pieces']];
    // a star seen from its own corner 0 may not be star-shaped; cut a triangle off only where the polygon is convex
    const triangle =
      first.ring.length === 8 ? [first.ring.slice(0, 6), [...first.ring.slice(0, 2), ...first.ring.slice(4)]] : null;
    if (triangle === null || gridBox(first.ring) === false) return 0;
    const split = triangle.map((ring) => ({ ...first, ring }));
    return Math.abs(measure(scene).overlap - measure({ ...scene, pieces: [...split, ...rest] }).overlap);
  });

  holds('a larger zone never loses square metres', N, 1e-9, (scene, random) => {
    const grow = 1 + random();
    const small = measure(scene).overlap;
    const large = measure({ ...scene, r: scene.r * grow }).overlap * grow ** 2;
    return Math.max(small - large, 0);
  });

  holds('one more piece never frees ground', N, 1e-9, (scene, random) => {
    const extra = { ring: star(random), kind: 0, cuts: true };
    const before = measure(scene);
    const after = measure({ ...scene, pieces: [...scene.pieces, extra] });
    return Math.max(before.overlap - after.overlap, before.overlap + before.severed - after.overlap - after.severed, 0);
  });
});

/** Whether a four-cornered ring is an upright rectangle (convex, so that it may be cut along its diagonal). */
function gridBox(ring: readonly number[]): boolean {
  const [ax, ay, bx, by, cx, cy, dx, dy] = ring as [number, number, number, number, number, number, number, number];
  return ay === by && bx === cx && cy === dy && dx === ax;
}
