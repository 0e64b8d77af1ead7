// Random and adversarial cases for the measuring kernel: in: a family's name and a seeded generator; out: a case.
// Terms: case = { polygons: [{ rings, kind, cuts }], zone, compact? } as by-angle.mjs takes it; family = cases that
// share one difficulty. Every polygon is valid: simple rings, shell anticlockwise, holes clockwise and inside.

const TAU = 2 * Math.PI;
/** How far from coincidence: nothing, rounding, and what a survey's last digits make. */
const HAIRS = [0, 1e-16, 1e-15, 1e-12, 1e-9];

/** Seeded generator (mulberry32, public domain algorithm by T. Ettinger). */
export function generator(seed) {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

const pick = (random, items) => items[Math.floor(random() * items.length)];
const between = (random, low, high) => low + random() * (high - low);
const whole = (random, low, high) => low + Math.floor(random() * (high - low + 1));
const hair = (random) => pick(random, HAIRS) * pick(random, [-1, 1]);
const many = (n, make) => Array.from({ length: n }, (_, i) => make(i));

function area2(ring) {
  let sum = 0;
  for (let i = 0; i < ring.length; i += 2) {
    const k = (i + 2) % ring.length;
    sum += (ring[i] - ring[0]) * (ring[k + 1] - ring[1]) - (ring[i + 1] - ring[1]) * (ring[k] - ring[0]);
  }
  return sum;
}

function reversed(ring) {
  const out = [];
  for (let i = ring.length - 2; i >= 0; i -= 2) out.push(ring[i], ring[i + 1]);
  return out;
}

const anticlockwise = (ring) => (area2(ring) < 0 ? reversed(ring) : ring);
const mapped = (ring, map) => {
  const out = [];
  for (let i = 0; i < ring.length; i += 2) out.push(...map(ring[i], ring[i + 1]));
  return out;
};
const turned = (ring, angle) => {
  const c = Math.cos(angle);
  const s = Math.sin(angle);
  return mapped(ring, (x, y) => [c * x - s * y, s * x + c * y]);
};
const rect = (x0, y0, x1, y1) => [x0, y0, x1, y0, x1, y1, x0, y1];
const tagged = (random, rings) => ({ rings, kind: whole(random, 0, 6), cuts: random() < 0.5 });
const shellOnly = (random, ring) => tagged(random, [anticlockwise(ring)]);

/** Corners at growing angles about a centre: never crosses itself. */
function star(random, { spread = 3, corners = whole(random, 3, 12), least = 0.2, most = 1.7 } = {}) {
  const cx = (random() - 0.5) * spread;
  const cy = (random() - 0.5) * spread;
  const turn = random() * 7;
  const ring = [];
  for (let k = 0; k < corners; k++) {
    const a = turn + (TAU * (k + random() * 0.8)) / corners;
    const d = between(random, least, most);
    ring.push(cx + d * Math.cos(a), cy + d * Math.sin(a));
  }
  return { ring: anticlockwise(ring), cx, cy };
}

/** On a coarse grid about the trunk: a box, half of one, or an L. */
function gridPolygon(random) {
  const step = () => (Math.floor(random() * 9) - 4) / 4;
  for (;;) {
    const [x0, x1, y0, y1] = [step(), step(), step(), step()];
    if (x0 === x1 || y0 === y1) continue;
    const box = rect(Math.min(x0, x1), Math.min(y0, y1), Math.max(x0, x1), Math.max(y0, y1));
    const shape = whole(random, 0, 3);
    if (shape === 0) return box;
    const [ax, ay, , , cx, cy] = box;
    if (shape === 1) return [ax, ay, cx, ay, cx, cy];
    if (shape === 2) return [ax, ay, cx, cy, ax, cy];
    const mx = (ax + cx) / 2;
    const my = (ay + cy) / 2;
    return [ax, ay, cx, ay, cx, my, mx, my, mx, cy, ax, cy];
  }
}

/** A strip wound about a centre, `rounds` times, its rounds never touching. */
function spiral(random) {
  const n = whole(random, 20, 150);
  const rounds = Math.min(between(random, 0.5, 5), n / 8);
  const start = between(random, 0.02, 0.4);
  const pitch = between(random, 0.1, 0.6);
  const width = pitch * between(random, 0.05, 0.6);
  const [cx, cy] = [between(random, -1, 1), between(random, -1, 1)];
  const turn = random() * 7;
  const ring = [];
  const put = (i, inwards) => {
    const a = turn + (TAU * rounds * i) / n;
    // chords cut inside their arc by r (1 - cos(step / 2)); the scale keeps that below the gap between rounds
    const d = start + (pitch * rounds * i) / n - inwards;
    ring.push(cx + d * Math.cos(a), cy + d * Math.sin(a));
  };
  for (let i = 0; i <= n; i++) put(i, 0);
  for (let i = n; i >= 0; i--) put(i, Math.min(width, start / 2));
  return anticlockwise(ring);
}

function comb(random) {
  const n = whole(random, 4, 60);
  const high = between(random, 0.2, 2);
  const teeth = many(2 * n, (i) => [
    -1.5 + (3 * i) / (2 * n),
    i % 2 === 0 ? 0.01 : high * between(random, 0.5, 1),
  ]).flat();
  const ring = [-1.5, between(random, -1, -0.05), 1.5 - 1.5 / n, -0.1, ...reversed(teeth)];
  const [dx, dy] = [between(random, -0.7, 0.7), between(random, -0.7, 0.7)];
  return anticlockwise(mapped(turned(ring, random() * 7), (x, y) => [x + dx, y + dy]));
}

function tooth(random) {
  const n = whole(random, 40, 400);
  const [cx, cy] = [between(random, -1.5, 1.5), between(random, -1.5, 1.5)];
  const size = between(random, 0.3, 2.5);
  const depth = random() * 0.7;
  return anticlockwise(
    many(n, (k) => {
      const d = size * (1 - depth * random());
      return [cx + d * Math.cos((TAU * k) / n), cy + d * Math.sin((TAU * k) / n)];
    }).flat(),
  );
}

/** A line through tangent point `angle` of the unit circle, moved out by `off`, as the side of a triangle or box. */
function tangent(random, off) {
  const outside = random() < 0.5;
  const near = 1 + off;
  const far = outside ? near + between(random, 0.1, 2) : near - between(random, 0.1, 2.5);
  const [a, b] = [-between(random, 0, 2), between(random, 0.1, 2)];
  const ring = random() < 0.5 ? [near, a, near, b, far, b, far, a] : [near, a, near, b, far, between(random, -1, 1)];
  return anticlockwise(turned(ring, pick(random, [random() * 7, 0, Math.PI / 2, Math.PI, -Math.PI / 2])));
}

const nudged = (random, ring, most) => ring.map((v) => v + (random() < 0.5 ? 0 : (random() - 0.5) * 2 * most));
const onRing = (random) => ({ spread: 0, corners: whole(random, 3, 14), least: 1, most: 1 });
const rolled = (random, ring) => {
  const k = 2 * whole(random, 0, ring.length / 2 - 1);
  return [...ring.slice(k), ...ring.slice(0, k)];
};
const unit = { x: 0, y: 0, r: 1 };
const scene = (polygons, zone = unit) => ({ polygons, zone });

/** Every family: its name and how to make one case. */
export const FAMILIES = {
  stars: (random) => scene(many(whole(random, 1, 6), () => shellOnly(random, star(random).ring))),
  grid: (random) => scene(many(whole(random, 1, 8), () => shellOnly(random, gridPolygon(random)))),
  // corners and edges on the axes and, for some radii, on the circle (0.75, 1, 1.25), each coordinate a hair off
  'grid, a hair off': (random) =>
    scene(
      many(whole(random, 1, 6), () =>
        shellOnly(
          random,
          gridPolygon(random).map((v) => v + pick(random, [0, 0, 0, 1e-17, -1e-17, hair(random)])),
        ),
      ),
      { x: 0, y: 0, r: pick(random, [1, 0.5, 0.75, 1.25]) },
    ),
  tangents: (random) =>
    scene(
      many(whole(random, 1, 4), () =>
        shellOnly(random, random() < 0.8 ? tangent(random, hair(random)) : star(random).ring),
      ),
    ),
  'corners on the circle': (random) =>
    scene(
      many(whole(random, 1, 4), () => {
        const { ring } = star(random, onRing(random));
        const some = mapped(ring, (x, y) => {
          const f = random() < 0.7 ? 1 + hair(random) : between(random, 0.3, 1.6);
          return [x * f, y * f];
        });
        return shellOnly(random, random() < 0.5 ? some : [...some.slice(0, 4), random() * 0.3, random() * 0.3]);
      }),
    ),
  'near-coincident edges': (random) => {
    const base = many(whole(random, 1, 3), () => (random() < 0.5 ? star(random).ring : gridPolygon(random)));
    const copies = many(whole(random, 1, 3), () => nudged(random, pick(random, base), 10 ** -between(random, 6, 16)));
    return scene([...base, ...copies].map((ring) => shellOnly(random, ring)));
  },
  slivers: (random) =>
    scene(
      many(whole(random, 1, 5), () => {
        const width = 10 ** -between(random, 1, 13);
        const [a, b] = [-between(random, 0, 2), between(random, 0.1, 2)];
        const off = pick(random, [0, width, -width / 2, between(random, -0.8, 0.9)]);
        if (random() < 0.3) return shellOnly(random, star(random).ring);
        if (random() < 0.5)
          return shellOnly(random, turned([a, off, b, off + width, b, off + 2 * width], random() * 7));
        // a block with a slit of that width
        return shellOnly(
          random,
          turned(
            [
              -1.2,
              -0.9,
              1.3,
              -0.9,
              1.3,
              off,
              0.1 + a / 3,
              off,
              0.1 + a / 3,
              off + width,
              1.3,
              off + width,
              1.3,
              1.1,
              -1.2,
              1.1,
            ],
            random() * 7,
          ),
        );
      }),
    ),
  fans: (random) => {
    const [x, y] = pick(random, [
      [0, 0],
      [hair(random), hair(random)],
      [between(random, -1, 1), between(random, -1, 1)],
    ]);
    const n = whole(random, 3, 24);
    const fill = pick(random, [1, 0.5, random()]);
    const turn = pick(random, [0, random() * 7]);
    const blade = (i) => [turn + (TAU * i) / n, turn + (TAU * (i + fill)) / n];
    return scene(
      many(n, (i) => {
        const [a, b] = blade(i);
        const d = between(random, 0.5, 2.5);
        return shellOnly(random, [
          x,
          y,
          x + d * Math.cos(a),
          y + d * Math.sin(a),
          x + d * Math.cos(b),
          y + d * Math.sin(b),
        ]);
      }),
    );
  },
  combs: (random) => scene(many(whole(random, 1, 3), () => shellOnly(random, comb(random)))),
  'long rings': (random) =>
    scene(many(whole(random, 1, 2), () => shellOnly(random, random() < 0.5 ? tooth(random) : spiral(random)))),
  holes: (random) =>
    scene(
      many(whole(random, 1, 4), () => {
        const { ring, cx, cy } = star(random, { spread: pick(random, [0, 2]), corners: whole(random, 4, 12) });
        const f = pick(random, [between(random, 0.1, 0.95), 1 - 1e-9, 0.5]);
        const hole = reversed(mapped(ring, (x, y) => [cx + (x - cx) * f, cy + (y - cy) * f]));
        return tagged(random, [ring, hole]);
      }),
    ),
  duplicates: (random) => {
    const base = many(whole(random, 1, 3), () =>
      pick(random, [star(random).ring, gridPolygon(random), tangent(random, 0)]),
    );
    const again = many(whole(random, 1, 4), () => rolled(random, pick(random, base)));
    return scene([...base, ...again].map((ring) => shellOnly(random, ring)));
  },
  rays: (random) =>
    scene(
      many(whole(random, 1, 4), () => {
        const [a, b] = [between(random, 0, 1.2), between(random, 1.3, 3)];
        const lift = pick(random, [0, -0, hair(random)]);
        const side = pick(random, [-1, 1]) * between(random, 0.1, 2);
        const ring = [a, lift, b, lift, pick(random, [b, (a + b) / 2]), side, a, side];
        const turn = pick(random, ['west', 'west', 'south', 'any']);
        const put =
          turn === 'west'
            ? mapped(ring, (x, y) => [-x, y])
            : turn === 'south'
              ? mapped(ring, (x, y) => [y, -x])
              : turned(ring, random() * 7);
        return shellOnly(random, put);
      }),
    ),
  'works at the trunk': (random) =>
    scene(
      many(whole(random, 1, 4), () => {
        const [a, b, c, d] = many(4, () => between(random, 0.1, 2));
        const ring = pick(random, [
          [-a, 0, b, 0, b, c, -a, c], // edge
          [0, 0, a, 0, a, b, 0, b], // corner
          [-a, -b, 0, 0, c, -b, c, d, -a, d], // corner that points in
          [-a, -b, c, -b, c, d, -a, d], // inside
        ]);
        const moved = mapped(ring, (x, y) => [x, y + pick(random, [0, 0, 1e-16, -1e-16, 1e-12, 1e-5])]);
        return shellOnly(random, random() < 0.5 ? moved : turned(moved, random() * 7));
      }),
    ),
  tilings: (random) => {
    // triangles about a point that leave no gap between them: all but one or two of them, in any order
    const n = whole(random, 3, 16);
    const [x, y] = [between(random, -0.9, 0.9), between(random, -0.9, 0.9)];
    const rim = many(n, (k) => {
      const a = (TAU * (k + random() * 0.7)) / n;
      const d = between(random, 0.6, 3);
      return [x + d * Math.cos(a), y + d * Math.sin(a)];
    });
    const all = rim.map((p, k) => [x, y, ...p, ...rim[(k + 1) % n]]);
    return scene(all.slice(whole(random, 0, 2)).map((ring) => shellOnly(random, ring)));
  },
  'many pieces': (random) =>
    scene(
      many(8 + Math.floor(53 * random() ** 2), () => {
        const size = between(random, 0.1, 0.6);
        if (random() < 0.4) return shellOnly(random, gridPolygon(random));
        return shellOnly(
          random,
          mapped(star(random, { spread: 0 }).ring, (x, y) => [x * size, y * size]).map((v, i, all) => v + all[i % 2]),
        );
      }),
    ),
  'quarter ellipses': (random) => {
    const radii = many(4, () => between(random, 0.3, 1.5));
    const turn = pick(random, [0, random() * 7 - 3.5]);
    const base = pick(random, ['stars', 'grid', 'holes', 'works at the trunk', 'rays', 'long rings']);
    return scene(FAMILIES[base](random).polygons, { x: 0, y: 0, radii, turn });
  },
  'tiny and huge radii': (random) => {
    const r = 10 ** between(random, -6, 7);
    const base = FAMILIES[pick(random, PLAIN)](random);
    const size = random() < 0.7 ? r : r * 10 ** between(random, -3, 3);
    const polygons = base.polygons.map((p) => ({ ...p, rings: p.rings.map((ring) => ring.map((v) => v * size)) }));
    return scene(polygons, { x: 0, y: 0, r });
  },
  'cut into compact parts': (random) => {
    const ring = pick(random, [tooth, spiral, comb])(random);
    const size = between(random, 5, 200);
    const place = between(random, -1, 1) * size;
    const polygons = [ring, star(random).ring].map((one) =>
      shellOnly(
        random,
        one.map((v) => v * size),
      ),
    );
    const r = size * between(random, 0.05, 1.5);
    return { ...scene(polygons, { x: place, y: between(random, -1, 1) * size, r }), compact: true };
  },
  'two million feet away': (random) => {
    const base = FAMILIES[pick(random, PLAIN)](random);
    const r = pick(random, [8, 8, between(random, 1, 40)]);
    const [x, y] = [2_000_000.25 * pick(random, [1, -1, random()]), 680_000.5 * pick(random, [1, -1, random()])];
    const polygons = base.polygons.map((p) => ({
      ...p,
      rings: p.rings.map((ring) => mapped(ring, (px, py) => [px * r + x, py * r + y])),
    }));
    return scene(polygons, { x, y, r });
  },
};

/** Families that others move, scale or measure in another zone. */
const PLAIN = [
  'stars',
  'grid',
  'grid, a hair off',
  'tangents',
  'corners on the circle',
  'near-coincident edges',
  'slivers',
  'fans',
  'combs',
  'long rings',
  'holes',
  'duplicates',
  'rays',
  'works at the trunk',
  'tilings',
];

/** The seed of case i of a run: any case can be made again alone. */
export const seedOf = (seed, i) => (Math.imul(seed, 2654435761) ^ Math.imul(i + 1, 1597334677)) >>> 0;
