// Puts the shapes of a layer right: in: rings and lines as read; out: rings without their closing vertex, shells
// anticlockwise, holes clockwise, none crossing, all with an area above 0; lines without repeated vertices.
// Terms: shell = first ring of a part; corner = a vertex that differs from the one before it.

import { CrossingFinder, type Defect, evenOddRepair, type RepairedRings, signedArea } from '../geometry/index.js';
import type { GeometryColumns } from '../model/index.js';
import { GEOMETRY_KINDS, type GeometryKind, type GeometryTable, type Layer } from '../model/index.js';
import type { Reporter } from './reporter.js';
import { extent2, RingBuffer } from './ring-buffer.js';
import { figure } from './suggest.js';

/** Share of its extent squared below which a ring has no area: the rounding of the sum, 1e-16, with some room. */
const EMPTY_SHARE = 1e-12;

const DEFECT_WORDS: Readonly<Record<Exclude<Defect, 'none'>, string>> = {
  crossing: 'crosses itself or another ring',
  retrace: 'runs back along itself or another ring',
  'hole-misplaced': 'is a hole outside its shell or inside another hole',
};

/** Reads features of one layer and writes them clean. One instance serves a whole layer. */
export class ShapeCleaner {
  /** Rows whose rings were repaired, and the share of their area that changed. */
  readonly repaired: Map<number, number>;
  readonly #g: GeometryTable;
  readonly #to: GeometryColumns;
  readonly #out: Reporter;
  readonly #finder = new CrossingFinder();
  readonly #b: RingBuffer;
  readonly inDegrees: boolean;
  #before = 0;
  #after = 0;
  #changed = 0;
  #wasRepaired = false;

  /** `degrees`: layers whose coordinates are longitudes and latitudes; if left out, layers whose file says so. */
  constructor(to: GeometryColumns, out: Reporter, repaired: Map<number, number>, degrees?: ReadonlySet<Layer>) {
    this.#g = out.layer.geometry;
    this.inDegrees = degrees?.has(out.layer) ?? out.layer.crs?.from === 'rfc7946';
    this.#b = new RingBuffer(this.#g, this.inDegrees);
    this.#to = to;
    this.#out = out;
    this.repaired = repaired;
  }

  /** Kind of a feature's geometry as read. */
  kindOf(row: number): GeometryKind {
    return GEOMETRY_KINDS[this.#g.kind[row]!] ?? 'broken';
  }

  /** Cleans a polygon or multipolygon. A feature with nothing left is rejected and has no parts. */
  polygon(row: number): void {
    const first = this.#g.partStart[row]!;
    const end = this.#g.partStart[row + 1]!;
    this.#before = this.#after = this.#changed = 0;
    this.#wasRepaired = false;
    let reason: 'ring-short' | 'polygon-empty' = 'polygon-empty';
    for (let part = first; part < end; part++) {
      const prefix =
        end - first > 1 || this.kindOf(row) === 'multipolygon' ? `coordinates[${part - first}]` : 'coordinates';
      const loaded = this.#loadPart(row, part, prefix);
      if (loaded === 'broken') {
        this.#to.endEmpty();
        return;
      }
      if (loaded === 'no-rings')
        this.#out.say('polygon-empty', row, prefix, 'the polygon has no rings', 'draw it again');
      if (loaded === 'no-shell') reason = 'ring-short';
      if (loaded !== 'ok') continue;
      if (!this.#writePart(row, prefix)) {
        this.#to.endEmpty();
        return;
      }
    }
    if (this.#wasRepaired) {
      this.repaired.set(this.#out.base + row, this.#changed / Math.max(this.#before, this.#after, Number.MIN_VALUE));
    }
    const parts = this.#to.parts;
    if (parts > 0) {
      this.#to.endFeature(parts === 1 ? 'polygon' : 'multipolygon');
      return;
    }
    if (first === end) this.#out.say('polygon-empty', row, 'coordinates', 'the polygon has no rings', 'draw it again');
    this.#out.reject(reason, row);
    this.repaired.delete(this.#out.base + row);
    this.#to.endEmpty();
  }

  /** Cleans a line or multiline; one without length is rejected. */
  line(row: number): void {
    const g = this.#g;
    for (let part = g.partStart[row]!; part < g.partStart[row + 1]!; part++) {
      for (let ring = g.ringStart[part]!; ring < g.ringStart[part + 1]!; ring++) {
        this.#b.count = 0;
        if (!this.#b.load(ring)) {
          this.#refuseBroken(row, 'coordinates');
          this.#to.endEmpty();
          return;
        }
        if (this.#b.count < 2) continue;
        this.#writeRing(this.#b.xy, 0, this.#b.count, 1);
        this.#to.endPart();
      }
    }
    const parts = this.#to.parts;
    if (parts > 0) {
      this.#to.endFeature(parts === 1 ? 'line' : 'multiline');
      return;
    }
    this.#out.refuse('line-empty', 'line-empty', row, 'coordinates', 'the line has no length', 'draw it again');
    this.#to.endEmpty();
  }

  /** Ends a feature rejected elsewhere. */
  none(): void {
    this.#to.endEmpty();
  }

  /** Rejects a feature without a polygon (or a line, where lines are accepted): no geometry, broken, or of a wrong type. */
  refuse(row: number, wrongType: string, cure: string): void {
    const kind = this.kindOf(row);
    if (kind === 'none') {
      this.#out.refuse('geometry-null', 'no-geometry', row, 'geometry', 'the feature has no geometry', cure);
    } else if (kind === 'broken') {
      const message = 'the geometry could not be read';
      this.#out.refuse('geometry-broken', 'geometry-broken', row, 'geometry', message, cure);
    } else this.#out.refuse('geometry-type', 'geometry-type', row, 'geometry', wrongType, cure);
    this.#to.endEmpty();
  }

  #refuseBroken(row: number, path: string): void {
    const cure = 'correct or redraw it';
    const message = this.inDegrees ? 'a position is not a longitude, latitude' : 'a coordinate is not a usable number';
    this.#out.refuse('geometry-broken', 'geometry-broken', row, path, message, cure);
  }

  /** Copies a part's rings, without closing and repeated vertices; rings of fewer than three corners are left out. */
  #loadPart(row: number, part: number, prefix: string): 'ok' | 'no-shell' | 'broken' | 'no-rings' {
    const g = this.#g;
    const from = g.ringStart[part]!;
    const to = g.ringStart[part + 1]!;
    if (from === to) return 'no-rings';
    this.#b.clear();
    for (let ring = from; ring < to; ring++) {
      const start = this.#b.count;
      if (!this.#b.load(ring)) {
        this.#refuseBroken(row, `${prefix}[${ring - from}]`);
        return 'broken';
      }
      if (!this.#b.openRing(start) && this.#b.count - start > 2) {
        const path = `${prefix}[${ring - from}]`;
        this.#out.say('ring-open', row, path, 'the ring was not closed and has been closed', 'repeat its first vertex');
      }
      if (!this.#b.hasThreeCorners(start)) {
        const what = ring === from ? 'the polygon' : 'the hole';
        const message = `${what} has fewer than three distinct corners and was left out`;
        this.#out.say('ring-short', row, `${prefix}[${ring - from}]`, message, 'draw it again or remove it');
        this.#b.count = start;
        if (ring === from) return 'no-shell';
        continue;
      }
      this.#b.ringEnd.push(this.#b.count);
      this.#b.ringRead.push(ring - from);
    }
    return 'ok';
  }

  /** Writes the loaded part, repaired where necessary; false when the feature was rejected. */
  #writePart(row: number, prefix: string): boolean {
    const rings = this.#b.ringRead.length;
    const defect = this.#finder.find(this.#b.xy, this.#b.ringEnd, 0, rings);
    const area = this.#claimedArea();
    if (defect === 'none') {
      this.#before += area;
      this.#after += area;
      this.#writeSound(row, prefix);
      return true;
    }
    const at = this.#b.ringEnd[this.#finder.ring]! + this.#finder.vertex;
    const ring = this.#b.ringRead[this.#finder.ring]!;
    const path = `${prefix}[${ring}][${this.#b.source[at]}]`;
    const mended = evenOddRepair(this.#b.xy, this.#b.ringEnd, 0, rings);
    if (mended === null) {
      const message = `the ring ${DEFECT_WORDS[defect]} and could not be repaired; the feature was not used`;
      this.#out.refuse('ring-crossing', 'ring-crossing', row, path, message, 'draw it again without crossings');
      return false;
    }
    const after = this.#writeMended(mended);
    this.#before += area;
    this.#after += after;
    this.#changed += Math.abs(after - area);
    if (after === 0) {
      this.#out.say('polygon-empty', row, prefix, 'the polygon encloses no area', 'draw it again or remove it');
      return true;
    }
    this.#wasRepaired = true;
    const change = (Math.abs(after - area) / Math.max(after, area)) * 100;
    this.#out.say(
      'ring-crossing',
      row,
      path,
      `the ring ${DEFECT_WORDS[defect]}; repaired: area ${figure(area)} before, ${figure(after)} after, in square units of the layer (${change.toFixed(1)} % changed)`,
      'check the shape and redraw it without crossings',
    );
    return true;
  }

  /** The area by the rings as read: shell minus holes. */
  #claimedArea(): number {
    let area = 0;
    for (let r = 0; r < this.#b.ringRead.length; r++) {
      const ring = Math.abs(signedArea(this.#b.xy, this.#b.ringEnd[r]!, this.#b.ringEnd[r + 1]!));
      area += r === 0 ? ring : -ring;
    }
    return Math.max(area, 0);
  }

  #writeSound(row: number, prefix: string): void {
    for (let r = 0; r < this.#b.ringRead.length; r++) {
      const from = this.#b.ringEnd[r]!;
      const to = this.#b.ringEnd[r + 1]!;
      const area = signedArea(this.#b.xy, from, to);
      if (Math.abs(area) <= EMPTY_SHARE * extent2(this.#b.xy, from, to)) {
        const path = `${prefix}[${this.#b.ringRead[r]}]`;
        const what = r === 0 ? 'polygon' : 'hole';
        this.#out.say('polygon-empty', row, path, `the ${what} encloses no area`, 'draw it again or remove it');
        if (r === 0) return;
        continue;
      }
      this.#writeRing(this.#b.xy, from, to, (r === 0) === area > 0 ? 1 : -1);
    }
    this.#to.endPart();
  }

  /** Writes repaired polygons; returns their area. Slivers of no area are left out. */
  #writeMended(mended: RepairedRings): number {
    let sum = 0;
    for (let p = 0; p + 1 < mended.ringStart.length; p++) {
      const shell = mended.ringStart[p]!;
      let written = 0;
      for (let r = shell; r < mended.ringStart[p + 1]!; r++) {
        const from = mended.vertexStart[r]!;
        const to = mended.vertexStart[r + 1]!;
        const area = signedArea(mended.xy, from, to);
        const least = EMPTY_SHARE * extent2(mended.xy, from, to);
        if (r === shell ? area <= least : area >= -least) {
          if (r === shell) break;
          continue;
        }
        this.#writeRing(mended.xy, from, to, 1);
        written++;
        sum += area;
      }
      if (written > 0) this.#to.endPart();
    }
    return sum;
  }

  #writeRing(xy: Float64Array, from: number, to: number, step: 1 | -1): void {
    if (step === 1) this.#to.vertices(xy, from, to);
    else for (let v = to - 1; v >= from; v--) this.#to.vertex(xy[v * 2]!, xy[v * 2 + 1]!);
    this.#to.endRing();
  }
}
