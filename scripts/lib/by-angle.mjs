// What polygons take of a zone, by integration over angle: in: polygons, a zone about a trunk; out: covered, severed and
// per-kind areas and the nearest distance. It shares no code and no formula with the kernel, which it is there to check.
// Terms: event = an angle where the picture along the ray changes (corner, crossing, circle); panel = the angle between
// two events; active = an edge that the panel's rays meet inside the zone.
//
// Area = integral of 1/2 (outer^2 - inner^2) over the covered intervals of each ray, with 10-point Gauss-Legendre panels.
// Along an edge the distance is h / sin(angle to the edge's direction): analytic, with a pole at that direction. A panel
// longer than its distance to the nearest pole is halved; the error then is below 6^-20 of the panel's share (Trefethen,
// Approximation Theory and Approximation Practice, chapter 19: an integrand analytic in an ellipse of parameter e
// converges as e^-2n; pole one length away: e = 3 + sqrt 8).

const KINDS = 7;
const CUTTING = KINDS; // places in a column of depths
const BITS = KINDS + 1;
/**
 * Gauss rules by the distance to the nearest pole in panel lengths from which they serve, as positive node and weight,
 * the node in the middle (0) counted once (Abramowitz & Stegun, table 25.4; n = 3, 5, 10).
 */
const RULES = [
  { from: 80, gauss: pairs([0, 0.8888888888888888], [0.7745966692414834, 0.5555555555555556]) },
  {
    from: 8,
    gauss: pairs(
      [0, 0.5688888888888889],
      [0.5384693101056831, 0.47862867049936647],
      [0.906179845938664, 0.23692688505618908],
    ),
  },
  {
    from: 1,
    gauss: pairs(
      [0.14887433898163122, 0.29552422471475287],
      [0.4333953941292472, 0.26926671930999635],
      [0.6794095682990244, 0.21908636251598204],
      [0.8650633666889845, 0.1494513491505806],
      [0.9739065285171717, 0.06667134430868814],
    ),
  },
];

function pairs(...half) {
  return Float64Array.from(half.flatMap(([x, w]) => (x === 0 ? [x, w] : [-x, w, x, w])));
}

/** Works that stick out of hard ground that is spared by less than this (in radii) need not cut: outlines share edges. */
const THIN = 2e-8;

/** An edge that comes this close to the trunk (in radii) passes through it: what it bounds severs nothing there. */
const ON_EDGE = 1e-7;

/**
 * polygons: { rings: flat x, y, not closed, shell first; kind: 0..6; cuts }. zone: { x, y, r } or
 * { x, y, radii: [north, east, south, west], turn } (quarter ellipses along axes turned clockwise by `turn`).
 * Returns areas in square units. severedHigh counts polygons too that are nowhere wide (two edges on one another) as
 * cutting; severed does not. distance is 0 inside. byKinds is the area by set of kinds (bit k: kind k).
 *
 * roles = { works, spare, within } as sets of kinds: only `works` count as works, where no `spare` lies they sever, and only
 * bare ground inside `within` is counted as severed; on `hard` ground works cut nothing, and it is not bare. Default: all kinds are works.
 */
export function byAngle(polygons, zone, roles = { works: (1 << KINDS) - 1, spare: 0, hard: 0, within: 0 }) {
  const radius = radiusOf(zone);
  const edges = edgesOf(polygons, zone, radius.scale);
  const sum = { byKinds: f64(1 << KINDS), severed: 0, severedHigh: 0 };
  const events = eventsOf(edges, radius);
  const ray = new Ray(polygons, edges, radius, roles);
  for (let k = 0; k + 1 < events.length; k++) {
    if (events[k + 1] - events[k] > 1e-15) integrate(ray, events[k], events[k + 1], sum);
  }
  const { byKinds, severed, severedHigh } = sum;
  const shares = Array.from({ length: KINDS }, (_, kind) =>
    byKinds.reduce((s, a, m) => ((m >> kind) & 1 ? s + a : s), 0),
  );
  const covered = byKinds.reduce((s, a) => s + a, 0);
  return { covered, shares, byKinds, severed, severedHigh, distance: nearest(polygons, edges), zoneArea: radius.area };
}

/** The zone's radius at an angle, the distance of its own poles and its area. */
function radiusOf(zone) {
  if (zone.radii === undefined) {
    return { scale: zone.r, area: Math.PI * zone.r ** 2, pole: Infinity, axes: [], at: () => zone.r, ellipse: null };
  }
  const [north, east, south, west] = zone.radii;
  // in axes turned back by `turn`: a point (e, n) has e = along east, n = along north
  const quarter = (angle) => {
    const a = angle + zone.turn;
    const e = Math.cos(a);
    const n = Math.sin(a);
    return [e >= 0 ? east : west, n >= 0 ? north : south, e, n];
  };
  const least = Math.min(...zone.radii);
  const most = Math.max(...zone.radii);
  return {
    scale: most,
    area: (Math.PI / 4) * (north * east + east * south + south * west + west * north),
    pole: (0.7 * least) / most, // the ellipse's poles lie about least / most off the real line
    axes: [0, 1, 2, 3].map((k) => wrapped((k * Math.PI) / 2 - zone.turn)),
    at(angle) {
      const [a, b, e, n] = quarter(angle);
      return 1 / Math.hypot(e / a, n / b);
    },
    ellipse: { radii: zone.radii, cos: Math.cos(zone.turn), sin: Math.sin(zone.turn) },
  };
}

function wrapped(angle) {
  const a = angle % (2 * Math.PI);
  return a > Math.PI ? a - 2 * Math.PI : a < -Math.PI ? a + 2 * Math.PI : a;
}

/** Edges about the trunk, as columns; c = cross(a, b), rounded once. */
function edgesOf(polygons, zone, scale) {
  let n = 0;
  for (const p of polygons) for (const ring of p.rings) n += ring.length / 2;
  const e = {
    n,
    ax: f64(n),
    ay: f64(n),
    bx: f64(n),
    by: f64(n),
    dx: f64(n),
    dy: f64(n),
    c: f64(n),
    pole: f64(n),
    of: new Int32Array(n),
    first: new Uint8Array(n),
    throughTrunk: new Array(n),
  };
  let k = 0;
  polygons.forEach((p, i) => {
    for (const ring of p.rings) {
      for (let v = 0; v < ring.length; v += 2) {
        const w = (v + 2) % ring.length;
        e.ax[k] = ring[v] - zone.x;
        e.ay[k] = ring[v + 1] - zone.y;
        e.bx[k] = ring[w] - zone.x;
        e.by[k] = ring[w + 1] - zone.y;
        e.dx[k] = e.bx[k] - e.ax[k];
        e.dy[k] = e.by[k] - e.ay[k];
        e.c[k] = exactCross(e.ax[k], e.ay[k], e.bx[k], e.by[k]);
        e.pole[k] = Math.atan2(e.dy[k], e.dx[k]);
        e.of[k] = i;
        e.first[k] = v === 0 ? 1 : 0; // of its ring
        e.throughTrunk[k] = edgeDistance(e, k) <= ON_EDGE * scale;
        k++;
      }
    }
  });
  return e;
}

function f64(n) {
  return new Float64Array(n);
}

/** ax by - ay bx with its sign right (products split as Dekker 1971, so that both are exact). */
function exactCross(ax, ay, bx, by) {
  const p = ax * by;
  const q = ay * bx;
  return p - q + (productError(ax, by, p) - productError(ay, bx, q));
}

function productError(a, b, p) {
  const sa = 134217729 * a;
  const sb = 134217729 * b;
  const a1 = sa - (sa - a);
  const b1 = sb - (sb - b);
  const a2 = a - a1;
  const b2 = b - b1;
  return a2 * b2 - (p - a1 * b1 - a2 * b1 - a1 * b2);
}

/** Distance from the trunk to edge k: to an end, or to the line where the foot lies on the edge. */
function edgeDistance(e, k) {
  const length = Math.hypot(e.dx[k], e.dy[k]);
  const t = length === 0 ? 0 : -((e.ax[k] / length) * (e.dx[k] / length) + (e.ay[k] / length) * (e.dy[k] / length));
  if (t <= 0) return Math.hypot(e.ax[k], e.ay[k]);
  return t >= 1 ? Math.hypot(e.bx[k], e.by[k]) : Math.abs(e.c[k]) / length;
}

/** Distance from the trunk to the nearest polygon; 0 inside one. */
function nearest(polygons, e) {
  const boundary = new Array(polygons.length).fill(Infinity);
  const inside = new Array(polygons.length).fill(false);
  for (let k = 0; k < e.n; k++) {
    const d = edgeDistance(e, k);
    boundary[e.of[k]] = Math.min(boundary[e.of[k]], d);
    // winding by quadrant-free rule: an upward edge to the right of the trunk flips
    if (e.ay[k] > 0 !== e.by[k] > 0 && (e.by[k] > e.ay[k] ? e.c[k] > 0 : e.c[k] < 0)) {
      inside[e.of[k]] = !inside[e.of[k]];
    }
  }
  let distance = Infinity;
  boundary.forEach((d, i) => {
    distance = Math.min(distance, inside[i] ? 0 : d);
  });
  return distance;
}

function eventsOf(e, radius) {
  const events = [-Math.PI, Math.PI, ...radius.axes];
  const reach = radius.scale * (1 + 1e-9);
  const inner = [];
  for (let k = 0; k < e.n; k++) {
    if (Math.hypot(e.ax[k], e.ay[k]) <= reach) events.push(Math.atan2(e.ay[k], e.ax[k]));
    const length = Math.hypot(e.dx[k], e.dy[k]);
    if (!(Math.abs(e.c[k]) <= reach * length)) continue;
    inner.push(k);
    if (radius.ellipse === null) circleEvents(e, k, radius.scale, events);
    else ellipseEvents(e, k, radius.ellipse, events);
  }
  for (let i = 0; i < inner.length; i++) {
    for (let j = i + 1; j < inner.length; j++) crossingEvent(e, inner[i], inner[j], events);
  }
  return Float64Array.from(events).sort();
}

/** Where the edge's line, seen from its foot, leaves the circle; an event too many does no harm. */
function circleEvents(e, k, r, events) {
  const length = Math.hypot(e.dx[k], e.dy[k]);
  const h = e.c[k] / length; // signed distance of the line
  const half2 = (r - Math.abs(h)) * (r + Math.abs(h));
  if (!(half2 >= 0)) return;
  const half = Math.sqrt(half2);
  const ux = e.dx[k] / length;
  const uy = e.dy[k] / length;
  for (const s of [-half, half]) events.push(Math.atan2(-ux * h + uy * s, uy * h + ux * s));
}

function ellipseEvents(e, k, { radii, cos, sin }, events) {
  const [north, east, south, west] = radii;
  for (const [a, b] of [
    [east, north],
    [west, north],
    [west, south],
    [east, south],
  ]) {
    const px = (cos * e.ax[k] - sin * e.ay[k]) / a;
    const py = (sin * e.ax[k] + cos * e.ay[k]) / b;
    const dx = (cos * e.dx[k] - sin * e.dy[k]) / a;
    const dy = (sin * e.dx[k] + cos * e.dy[k]) / b;
    const dd = dx * dx + dy * dy;
    const pd = px * dx + py * dy;
    const disc = pd * pd - dd * (px * px + py * py - 1);
    if (!(disc >= 0)) continue;
    for (const root of [-Math.sqrt(disc), Math.sqrt(disc)]) {
      const t = (-pd + root) / dd;
      if (t > -1e-6 && t < 1 + 1e-6) events.push(Math.atan2(e.ay[k] + t * e.dy[k], e.ax[k] + t * e.dx[k]));
    }
  }
}

function crossingEvent(e, i, j, events) {
  const det = e.dx[i] * e.dy[j] - e.dy[i] * e.dx[j];
  if (det === 0) return;
  const wx = e.ax[j] - e.ax[i];
  const wy = e.ay[j] - e.ay[i];
  const t = (wx * e.dy[j] - wy * e.dx[j]) / det;
  const s = (wx * e.dy[i] - wy * e.dx[i]) / det;
  if (!(t > -1e-6 && t < 1 + 1e-6 && s > -1e-6 && s < 1 + 1e-6)) return;
  events.push(Math.atan2(e.ay[i] + t * e.dy[i], e.ax[i] + t * e.dx[i]));
}

/** One panel: finds its active edges on the middle ray, halves it where a pole is close, and adds the Gauss sums. */
function integrate(ray, from, to, sum) {
  ray.enter((from + to) / 2);
  const stack = [from, to];
  while (stack.length > 0) {
    const b = stack.pop();
    const a = stack.pop();
    const length = b - a;
    const clear = Math.min(ray.poleDistance(a, b), ray.radius.pole) / length;
    const m = (a + b) / 2;
    if (clear < 1 && length > 1e-15 && m > a && m < b) {
      stack.push(m, b, a, m);
      continue;
    }
    const { gauss } = clear >= RULES[0].from ? RULES[0] : clear >= RULES[1].from ? RULES[1] : RULES[2];
    for (let i = 0; i < gauss.length; i += 2) ray.add(m + (gauss[i] * length) / 2, (gauss[i + 1] * length) / 2, sum);
  }
}

/** The picture along one ray: the edges met, from far to near, and what is covered between them. */
class Ray {
  constructor(polygons, edges, radius, roles) {
    this.roles = roles;
    this.edges = edges;
    this.radius = radius;
    this.kind = Uint8Array.from(polygons, (p) => p.kind);
    this.cuts = Uint8Array.from(polygons, (p) => (p.cuts ? 1 : 0));
    this.active = new Int32Array(edges.n);
    this.n = 0; // how many are active
    this.outside = new Uint8Array(polygons.length); // parity at the zone's edge
    this.parity = new Uint8Array(polygons.length);
    this.depth = new Int32Array(KINDS + 2); // at the zone's edge: of each kind, of works that cut; then a bit per kind
    this.here = new Int32Array(KINDS + 2);
    this.rho = f64(edges.n + 1);
    this.order = new Int32Array(edges.n + 1);
    this.state = new Uint8Array(edges.n + 1); // per interval, far to near: 0 bare, 1 covered, 2 covered by works that cut
    this.within = new Uint8Array(edges.n + 1); // per interval: whether bare ground counts
  }

  enter(middle) {
    const { edges: e, outside, depth } = this;
    const ux = Math.cos(middle);
    const uy = Math.sin(middle);
    const r = this.radius.at(middle);
    this.n = 0;
    outside.fill(0);
    depth.fill(0);
    let before = ux * e.ay[0] - uy * e.ax[0] < 0;
    for (let k = 0; k < e.n; k++) {
      if (e.first[k] === 1) before = ux * e.ay[k] - uy * e.ax[k] < 0;
      const after = ux * e.by[k] - uy * e.bx[k] < 0;
      if (before === after) continue;
      before = after;
      const rho = e.c[k] / (ux * e.dy[k] - uy * e.dx[k]);
      if (!(rho > 0)) continue;
      if (rho >= r) this.#flip(outside, depth, e.of[k]);
      else this.active[this.n++] = k;
    }
  }

  #flip(parity, depth, polygon) {
    const step = parity[polygon] === 0 ? 1 : -1;
    const kind = this.kind[polygon];
    parity[polygon] ^= 1;
    depth[kind] += step;
    depth[CUTTING] += step * this.cuts[polygon];
    depth[BITS] = depth[kind] > 0 ? depth[BITS] | (1 << kind) : depth[BITS] & ~(1 << kind);
  }

  /** From a..b to the nearest direction of an active edge, where the distance along it has its pole. */
  poleDistance(a, b) {
    let least = Infinity;
    for (let i = 0; i < this.n; i++) {
      const pole = this.edges.pole[this.active[i]];
      // the pole's copy (mod pi) at or after b, and the one before it
      const after = pole + Math.ceil((b - pole) / Math.PI) * Math.PI;
      least = Math.min(least, after - b, Math.max(a - (after - Math.PI), 0));
    }
    return least;
  }

  add(angle, weight, sum) {
    const { edges: e, active, rho, order, state, within, parity, here, n, roles } = this;
    const ux = Math.cos(angle);
    const uy = Math.sin(angle);
    const r = this.radius.at(angle);
    for (let i = 0; i < n; i++) {
      const k = active[i];
      const d = e.c[k] / (ux * e.dy[k] - uy * e.dx[k]);
      const held = d > 0 ? Math.min(d, r) : 0;
      let j = i;
      for (; j > 0 && rho[j - 1] < held; j--) {
        rho[j] = rho[j - 1];
        order[j] = order[j - 1];
      }
      rho[j] = held;
      order[j] = k;
    }
    rho[n] = 0;
    parity.set(this.outside);
    here.set(this.depth);
    let outer = r;
    for (let i = 0; i <= n; i++) {
      const inner = rho[i];
      const bits = here[BITS];
      if ((bits & roles.hard) !== 0) state[i] = 3;
      else state[i] = (bits & roles.works) === 0 || (bits & roles.spare) !== 0 ? 0 : here[CUTTING] === 0 ? 1 : 2;
      within[i] = (bits & roles.within) === roles.within ? 1 : 0;
      if (bits !== 0) sum.byKinds[bits] += (weight * (outer - inner) * (outer + inner)) / 2;
      if (i < n) this.#flip(parity, here, e.of[order[i]]);
      outer = inner;
    }
    this.#sever(r, weight, sum);
  }

  /** From the trunk outwards: bare ground beyond the first interval of works that cut. */
  #sever(r, weight, sum) {
    const { edges: e, rho, order, state, within, n } = this;
    const thin = this.roles.hard === 0 ? 0 : THIN * r;
    let reached = false;
    let reachedLoosely = false;
    for (let i = n; i >= 0; i--) {
      const outer = i === 0 ? r : rho[i - 1];
      const inner = rho[i];
      if (state[i] === 2) {
        reachedLoosely ||= i === 0 || !e.throughTrunk[order[i - 1]];
        reached ||= outer - inner > thin && (i === 0 || !e.throughTrunk[order[i - 1]]);
      } else if (state[i] === 0 && within[i] === 1 && reachedLoosely) {
        const area = (weight * (outer - inner) * (outer + inner)) / 2;
        sum.severedHigh += area;
        if (reached) sum.severed += area;
      }
    }
  }
}
