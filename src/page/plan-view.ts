// The plan on the screen. In: an assessment, a piece to be moved; out: SVG that follows pointer, wheel and fingers.
// Terms: frame = the true-to-size plane in metres about the site; view = the part of it that is shown; pixel = metres a
// screen pixel covers. Signs and tints are the report's; nothing is clipped here: the zones clip the works for the eye.

import type { Assessment, LonLatPolygons, MovedTree, Verdict } from '../core.js';
import type { Frame } from '../model/index.js';
import { hatchPath } from '../report/drawing/hatch.js';
import { EXISTING_STYLE, KIND_STYLES, markOf, TAKEN_STYLES } from '../report/drawing/palette.js';
import { symbol } from '../report/drawing/symbols.js';

const SVG = 'http://www.w3.org/2000/svg';
const MOST_LABELS = 400;
const MOST_DRAWN = 5000; // trees or works; more of either is left to the report

export interface PlanEvents {
  /** A piece was taken hold of. */
  take(row: number, more: boolean): void;
  /** It is so far from where it was, metres. */
  drag(eastM: number, northM: number): void;
  /** It is turned so far about its centre, degrees clockwise. */
  turn(degrees: number): void;
  /** Where the piece taken hold of turns about, lon/lat. */
  centre(): readonly [number, number] | null;
  drop(): void;
  /** A tree was pointed at. */
  tree(row: number): void;
  /** The plan was pointed at where nothing is. */
  nothing(): void;
}

/** x' = a x - b y + x0, y' = b x + a y + y0. */
interface Placed {
  readonly a: number;
  readonly b: number;
  readonly x0: number;
  readonly y0: number;
}

/** What draws: it gets places in metres of the frame. */
export interface DrawTool {
  tap(at: readonly [number, number]): void;
  hover(at: readonly [number, number]): void;
}

interface DrawnTree {
  readonly x: number; // metres from the origin, y downwards
  readonly y: number;
  readonly sign: SVGGElement;
  readonly label: SVGTextElement;
  readonly zone: Element | null;
  rank: number; // the worst are labelled first
}

const RANK: Readonly<Record<Verdict, number>> = {
  'stem-in-works': 0,
  'over-limit': 1,
  'within-limit': 2,
  untouched: 3,
  'not-assessed': 3,
};

interface View {
  x: number;
  y: number;
  width: number;
  height: number;
}

export function element<K extends keyof SVGElementTagNameMap>(
  name: K,
  attributes: Readonly<Record<string, string | number>> = {},
  inner = '',
): SVGElementTagNameMap[K] {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, String(value));
  made.innerHTML = inner;
  return made;
}

export class PlanView {
  readonly #host: HTMLElement;
  readonly #events: PlanEvents;
  #svg: SVGSVGElement | null = null;
  #frame: Frame | null = null;
  #origin: readonly [number, number] = [0, 0];
  #view: View = { x: 0, y: 0, width: 1, height: 1 };
  #whole: View = this.#view;
  #works = new Map<number, readonly SVGPathElement[]>();
  #trees = new Map<number, DrawnTree>();
  readonly #scale: HTMLElement;
  readonly #north: HTMLElement;
  #overlay: SVGGElement | null = null;
  #device: { readonly lonLat: readonly [number, number]; readonly accuracyM: number } | null = null;
  /** What takes taps and the pointer's way, in place of moving and pointing. */
  tool: DrawTool | null = null;

  constructor(host: HTMLElement, events: PlanEvents) {
    this.#host = host;
    this.#events = events;
    this.#scale = Object.assign(document.createElement('div'), { className: 'v-scale' });
    this.#north = Object.assign(document.createElement('div'), { className: 'v-north', textContent: '↑ N' });
    this.#listen();
    new ResizeObserver(() => this.#show(this.#view)).observe(host);
  }

  clear(): void {
    this.#host.replaceChildren();
    this.#svg = null;
  }

  /** Draws an assessment; the view stays where it is when `keep` is given. `empty`: where an empty plan lies, lon/lat. */
  draw(assessment: Assessment, units: 'us' | 'metric', keep: boolean, empty: readonly [number, number] = [0, 0]): void {
    const at = firstPlace(assessment) ?? Float64Array.from(empty);
    const frame = assessment.job.frameAt(at[0] as number, at[1] as number);
    // A view that stays needs its origin: what comes first may have changed.
    if (!keep || this.#svg === null || this.#frame?.key !== frame.key) {
      frame.toFrame(at, at);
      this.#origin = [at[0] as number, at[1] as number];
    }
    this.#frame = frame;
    this.#host.dataset.units = units;
    const svg = element('svg', { 'aria-hidden': 'true', focusable: 'false' });
    const defs = element('defs', {}, takenPattern());
    const clip = element('clipPath', { id: 'zones' });
    defs.append(clip);
    svg.append(defs);
    const box = new Extent();
    svg.append(this.#lots(assessment, box), this.#existing(assessment));
    svg.append(...this.#worksLayers(assessment, box));
    svg.append(...this.#treeLayers(assessment, clip, box));
    this.#overlay = element('g', { class: 'v-drawing' });
    svg.append(this.#overlay);
    this.#svg = svg;
    this.device = this.#device;
    this.#host.replaceChildren(svg, this.#scale, this.#north);
    this.#whole = box.padded(units === 'us' ? 30 : 40);
    this.#show(keep ? this.#view : this.#whole);
  }

  /** Lays a picture under everything, or takes it away. */
  backdrop(picture: { data: string; width: number; height: number; placed: Placed } | null): void {
    this.#svg?.querySelector('.v-backdrop')?.remove();
    if (picture === null || this.#svg === null) return;
    const { a, b, x0, y0 } = picture.placed;
    const [ox, oy] = this.#origin;
    // Pixels count down from the upper edge, and so does the view; the plane counts up.
    const h = picture.height;
    const matrix = [a, -b, b, a, x0 - ox - b * h, oy - y0 - a * h].map((v) => v.toPrecision(12)).join(' ');
    const image = element('image', {
      class: 'v-backdrop',
      href: picture.data,
      width: picture.width,
      height: h,
      transform: `matrix(${matrix})`,
    });
    this.#svg.querySelector('defs')?.after(image);
  }

  /** Where the device says that it is, with its circle of accuracy; null takes the mark away. */
  get device(): { readonly lonLat: readonly [number, number]; readonly accuracyM: number } | null {
    return this.#device;
  }

  set device(device: { readonly lonLat: readonly [number, number]; readonly accuracyM: number } | null) {
    this.#device = device;
    this.#svg?.querySelector('.v-device')?.remove();
    if (device === null) return;
    const [x, y] = this.#at(device.lonLat);
    const mark = element('g', { class: 'v-device' });
    const spot = element('circle', { class: 'at', r: 6 });
    spot.style.transform = `translate(${x}px, ${y}px) scale(var(--pixel))`;
    mark.append(element('circle', { cx: x, cy: y, r: device.accuracyM }), spot);
    this.#svg?.append(mark);
  }

  /** Metres from the middle of what is shown to a place. */
  awayM(lonLat: readonly [number, number]): number {
    const [x, y] = this.#at(lonLat);
    const view = this.#view;
    return Math.hypot(x - view.x - view.width / 2, y - view.y - view.height / 2);
  }

  /** Metres that the view is wide. */
  get widthM(): number {
    return this.#view.width;
  }

  /** What is being drawn: SVG in metres of the view, y down; see `shown`. */
  draft(svg: string): void {
    if (this.#overlay !== null) this.#overlay.innerHTML = svg;
  }

  /** Metres of the frame as places of the view. */
  shown(xy: readonly number[]): [number, number][] {
    return Array.from({ length: xy.length / 2 }, (_, i) => [
      (xy[i * 2] as number) - this.#origin[0],
      this.#origin[1] - (xy[i * 2 + 1] as number),
    ]);
  }

  /** Metres that a pixel of the screen covers. */
  get pixelM(): number {
    return this.#view.width / Math.max(this.#host.clientWidth, 1);
  }

  /** The middle of what is shown, metres of the frame. */
  get middle(): readonly [number, number] {
    const { x, y, width, height } = this.#view;
    return [this.#origin[0] + x + width / 2, this.#origin[1] - y - height / 2];
  }

  /** Marks the pieces that are selected. */
  select(works: ReadonlySet<number>, trees: ReadonlySet<number>): void {
    for (const [row, paths] of this.#works) for (const path of paths) path.classList.toggle('chosen', works.has(row));
    for (const [row, { sign }] of this.#trees) sign.classList.toggle('chosen', trees.has(row));
  }

  /** Marks the piece that the keys move. */
  choose(row: number | null): void {
    for (const [at, paths] of this.#works) for (const path of paths) path.classList.toggle('chosen', at === row);
  }

  /** Shows a piece where it is being moved to, turned clockwise about a place. */
  shift(row: number, eastM: number, northM: number, turnDeg: number, centre: readonly [number, number]): void {
    const [x, y] = this.#at(centre);
    const transform = `translate(${eastM} ${-northM}) rotate(${turnDeg} ${x} ${y})`;
    for (const path of this.#works.get(row) ?? []) path.setAttribute('transform', transform);
  }

  /** Shows a tree's figures of this moment. */
  tree(
    figures: Pick<MovedTree, 'row' | 'verdict'>,
    disposition: 'keep' | 'remove' | 'transplant' | 'unknown',
    label: string,
  ): void {
    const drawn = this.#trees.get(figures.row);
    if (drawn === undefined) return;
    const { sign, zone } = drawn;
    const mark = markOf(figures.verdict);
    if (sign.dataset.verdict !== mark) {
      sign.innerHTML = symbol(mark, disposition, 0, 0, SIGN);
      sign.dataset.verdict = mark;
      const over = figures.verdict === 'over-limit' || figures.verdict === 'stem-in-works';
      zone?.classList.toggle('over', over);
    }
    if (drawn.label.textContent !== label) drawn.label.textContent = label;
    drawn.rank = RANK[figures.verdict ?? 'untouched'];
  }

  zoom(by: number | 'all'): void {
    const { x, y, width, height } = this.#view;
    if (by === 'all') this.#show(this.#whole);
    else this.#zoomAt(x + width / 2, y + height / 2, by);
  }

  /** Brings a tree into view. */
  lookAt(assessment: Assessment, row: number): void {
    const at = assessment.job.treeLonLat.slice(row * 2, row * 2 + 2);
    if (this.#frame === null || Number.isNaN(at[0])) return;
    this.#frame.toFrame(at, at);
    const { width, height } = this.#view;
    const x = (at[0] as number) - this.#origin[0];
    const y = this.#origin[1] - (at[1] as number);
    this.#show({ x: x - width / 2, y: y - height / 2, width, height });
  }

  #at(lonLat: readonly [number, number]): readonly [number, number] {
    const xy = Float64Array.from(lonLat);
    this.#frame?.toFrame(xy, xy);
    return [(xy[0] as number) - this.#origin[0], this.#origin[1] - (xy[1] as number)];
  }

  // ---------------------------------------------------------------- drawing

  #path(polygons: LonLatPolygons, box?: Extent): string {
    const frame = this.#frame as Frame;
    const [x0, y0] = this.#origin;
    let d = '';
    for (const rings of polygons)
      for (const ring of rings) {
        const xy = Float64Array.from(ring.flat());
        frame.toFrame(xy, xy);
        for (let i = 0; i < xy.length; i += 2) {
          const x = (xy[i] as number) - x0;
          const y = y0 - (xy[i + 1] as number);
          box?.add(x, y);
          d += `${i === 0 ? 'M' : 'L'}${x.toFixed(2)} ${y.toFixed(2)}`;
        }
        d += 'Z';
      }
    return d;
  }

  #tablePath(geometry: Assessment['job']['works']['geometry'], lonLat: Float64Array, box?: Extent): string[] {
    const { kind, partStart, ringStart, vertexStart } = geometry;
    return Array.from(kind, (_, row) => {
      const polygons: [number, number][][][] = [];
      for (let p = partStart[row] as number; p < (partStart[row + 1] as number); p++) {
        const rings: [number, number][][] = [];
        for (let r = ringStart[p] as number; r < (ringStart[p + 1] as number); r++) {
          const ring: [number, number][] = [];
          for (let v = vertexStart[r] as number; v < (vertexStart[r + 1] as number); v++)
            ring.push([lonLat[v * 2] as number, lonLat[v * 2 + 1] as number]);
          if (ring.length > 2) rings.push(ring);
        }
        polygons.push(rings);
      }
      return this.#path(polygons, box);
    });
  }

  #lots({ job }: Assessment, box: Extent): SVGGElement {
    const group = element('g');
    if (job.lots !== null)
      for (const d of this.#tablePath(job.lots.geometry, job.lotsLonLat, job.trees.count === 0 ? box : undefined))
        group.append(element('path', { class: 'v-lot', d }));
    return group;
  }

  #existing({ job }: Assessment): SVGGElement {
    const group = element('g');
    if (job.existing !== null)
      for (const d of this.#tablePath(job.existing.works.geometry, job.existing.lonLat))
        group.append(element('path', { class: 'v-existing', d }));
    return group;
  }

  #worksLayers(assessment: Assessment, box: Extent): readonly SVGGElement[] {
    const isEmpty = assessment.job.trees.count === 0; // the trees say what is shown, where there are any
    const works = element('g', { class: 'v-works' });
    const taken = element('g', { class: 'v-taken', 'clip-path': 'url(#zones)' });
    this.#works = new Map();
    for (const { row, kind, counted } of assessment.works.slice(0, MOST_DRAWN)) {
      const d = this.#path(assessment.measured(row), isEmpty ? box : undefined);
      if (d === '') continue;
      const { ground, ink } = KIND_STYLES[kind];
      const piece = element('path', { d, fill: ground, stroke: ink, 'data-works': row });
      if (counted === 'false') piece.classList.add('off');
      works.append(piece);
      const over = element('path', { d, fill: 'url(#taken)' });
      if (counted !== 'false') taken.append(over);
      this.#works.set(row, [piece, over]);
    }
    return [works, taken];
  }

  #treeLayers(assessment: Assessment, clip: SVGClipPathElement, box: Extent): readonly SVGGElement[] {
    const { job } = assessment;
    const zones = element('g');
    const signs = element('g', { class: 'v-trees' });
    const labels = element('g');
    this.#trees = new Map();
    for (let row = 0; row < Math.min(job.trees.count, MOST_DRAWN); row++) {
      const at = job.treeLonLat.slice(row * 2, row * 2 + 2);
      if (Number.isNaN(at[0])) continue;
      (this.#frame as Frame).toFrame(at, at);
      const x = (at[0] as number) - this.#origin[0];
      const y = this.#origin[1] - (at[1] as number);
      const radius = job.zones.radiusM[row] as number;
      let zone: Element | null = null;
      if (radius > 0) {
        const round = !job.zones.quarters.has(row) && !job.zoneShapes.has(row);
        const make = (): SVGElement =>
          round
            ? element('circle', { cx: x.toFixed(3), cy: y.toFixed(3), r: radius.toFixed(3) })
            : element('path', { d: this.#path(assessment.shapes(row).zone) });
        zone = make();
        zone.setAttribute('class', 'v-zone');
        zones.append(zone);
        clip.append(make());
      }
      const reach = radius > 0 ? radius : 1;
      box.add(x - reach, y - reach);
      box.add(x + reach, y + reach);
      const sign = element('g', { class: 'at', 'data-tree': row });
      const label = element('text', { class: 'at v-label', dx: 9, dy: 4 });
      for (const one of [sign, label]) one.style.transform = `translate(${x}px, ${y}px) scale(var(--pixel))`;
      signs.append(sign);
      labels.append(label);
      this.#trees.set(row, { x, y, sign, label, zone, rank: 3 });
    }
    return [zones, signs, labels];
  }

  // ---------------------------------------------------------------- view

  #show(view: View): void {
    if (this.#svg === null) return;
    const { clientWidth: w, clientHeight: h } = this.#host;
    if (w === 0 || h === 0) return;
    const pixel = Math.max(view.width / w, view.height / h);
    const [cx, cy] = [view.x + view.width / 2, view.y + view.height / 2];
    this.#view = { x: cx - (pixel * w) / 2, y: cy - (pixel * h) / 2, width: pixel * w, height: pixel * h };
    const { x, y, width, height } = this.#view;
    this.#svg.setAttribute('viewBox', `${x} ${y} ${width} ${height}`);
    this.#svg.style.setProperty('--pixel', String(pixel));
    this.#labels(pixel);
    this.#svg.querySelector('#taken')?.setAttribute('patternTransform', `scale(${pixel * 5})`);
    this.#scaleBar(pixel);
  }

  /** Labels where there is room for them, the worst trees first; a sign keeps its place free too. */
  #labels(pixel: number): void {
    const { x: left, y: top, width, height } = this.#view;
    const inView = [...this.#trees.values()].filter(
      ({ x, y }) => x >= left && y >= top && x <= left + width && y <= top + height,
    );
    inView.sort((a, b) => a.rank - b.rank);
    const taken: (readonly [number, number, number, number])[] = [];
    let shown = 0;
    for (const { x, y, label } of inView) {
      const [px, py] = [(x - left) / pixel, (y - top) / pixel];
      const box = [px + 7, py - 8, px + 13 + 6.6 * (label.textContent ?? '').length, py + 8] as const;
      const meets = (b: readonly [number, number, number, number]): boolean =>
        box[0] < b[2] && b[0] < box[2] && box[1] < b[3] && b[1] < box[3];
      const free = shown < MOST_LABELS && !taken.some(meets);
      label.classList.toggle('hidden', !free);
      if (!free) continue;
      taken.push(box);
      shown++;
    }
  }

  /** Lays the labels out again, after their words have changed. */
  label(): void {
    if (this.#svg !== null) this.#labels(this.#view.width / this.#host.clientWidth);
  }

  #scaleBar(pixel: number): void {
    const us = this.#host.dataset.units === 'us';
    const per = us ? 0.3048 : 1;
    const most = (120 * pixel) / per;
    const ten = 10 ** Math.floor(Math.log10(most));
    const length = [5, 2, 1].map((n) => n * ten).find((n) => n <= most) ?? ten;
    this.#scale.textContent = `${length} ${us ? 'ft' : 'm'}`;
    this.#scale.style.width = `${(length * per) / pixel}px`;
  }

  #zoomAt(x: number, y: number, by: number): void {
    const view = this.#view;
    const width = Math.min(Math.max(view.width / by, 2), this.#whole.width * 8);
    const k = width / view.width;
    this.#show({ x: x - (x - view.x) * k, y: y - (y - view.y) * k, width, height: view.height * k });
  }

  #listen(): void {
    const host = this.#host;
    const fingers = new Map<number, { x: number; y: number }>();
    let held: {
      readonly works: boolean;
      readonly x: number;
      readonly y: number;
      readonly view: View;
      /** Shift was down: the piece turns about this place. */
      readonly about: readonly [number, number] | null;
    } | null = null;
    let spread = 0;
    const metres = (event: { clientX: number; clientY: number }): [number, number] => {
      const box = host.getBoundingClientRect();
      const pixel = this.#view.width / host.clientWidth;
      return [this.#view.x + (event.clientX - box.left) * pixel, this.#view.y + (event.clientY - box.top) * pixel];
    };
    host.addEventListener('pointerdown', (event) => {
      if (this.#svg === null || event.button !== 0) return;
      fingers.set(event.pointerId, { x: event.clientX, y: event.clientY });
      host.setPointerCapture(event.pointerId);
      if (fingers.size > 1) return;
      const drawing = this.tool !== null;
      const row = drawing ? null : (event.target as Element).closest?.('[data-works]')?.getAttribute('data-works');
      if (row != null) this.#events.take(Number(row), event.shiftKey || event.ctrlKey || event.metaKey);
      const centre = row != null && event.shiftKey ? this.#events.centre() : null;
      const about = centre === null ? null : this.#at(centre);
      held = { works: row != null, x: event.clientX, y: event.clientY, view: { ...this.#view }, about };
    });
    host.addEventListener('pointermove', (event) => {
      if (this.tool !== null && fingers.size === 0) this.tool.hover(this.#plane(metres(event)));
      if (!fingers.has(event.pointerId) || held === null) return;
      fingers.set(event.pointerId, { x: event.clientX, y: event.clientY });
      if (fingers.size === 2) {
        const [a, b] = [...fingers.values()] as [{ x: number; y: number }, { x: number; y: number }];
        const now = Math.hypot(a.x - b.x, a.y - b.y);
        if (spread > 0) this.#zoomAt(...metres({ clientX: (a.x + b.x) / 2, clientY: (a.y + b.y) / 2 }), now / spread);
        spread = now;
        return;
      }
      const pixel = this.#view.width / host.clientWidth;
      const [dx, dy] = [(event.clientX - held.x) * pixel, (event.clientY - held.y) * pixel];
      if (held.about !== null) {
        const [x0, y0] = held.about;
        const angle = (at: { clientX: number; clientY: number }): number => {
          const [x, y] = metres(at);
          return Math.atan2(y - y0, x - x0);
        };
        const turned = ((angle(event) - angle({ clientX: held.x, clientY: held.y })) * 180) / Math.PI;
        this.#events.turn(turned - 360 * Math.round(turned / 360));
      } else if (held.works) this.#events.drag(dx, -dy);
      else this.#show({ ...held.view, x: held.view.x - dx, y: held.view.y - dy });
    });
    const end = (event: PointerEvent): void => {
      fingers.delete(event.pointerId);
      spread = 0;
      if (fingers.size === 0 && held !== null) {
        if (held.works) this.#events.drop();
        else if (Math.hypot(event.clientX - held.x, event.clientY - held.y) < 4) {
          if (this.tool !== null) this.tool.tap(this.#plane(metres(event)));
          else this.#point(metres(event));
        }
        held = null;
      }
    };
    host.addEventListener('pointerup', end);
    host.addEventListener('pointercancel', end);
    host.addEventListener(
      'wheel',
      (event) => {
        if (this.#svg === null || !(event.ctrlKey || event.metaKey)) return;
        event.preventDefault();
        this.#zoomAt(...metres(event), event.deltaY < 0 ? 1.2 : 1 / 1.2);
      },
      { passive: false },
    );
  }

  #plane([x, y]: readonly [number, number]): [number, number] {
    return [this.#origin[0] + x, this.#origin[1] - y];
  }

  /** The tree whose sign lies nearest to a place, within a finger's width. */
  #point([x, y]: readonly [number, number]): void {
    let best = -1;
    let least = ((20 * this.#view.width) / this.#host.clientWidth) ** 2;
    for (const [row, tree] of this.#trees) {
      const d = (tree.x - x) ** 2 + (tree.y - y) ** 2;
      if (d < least) [best, least] = [row, d];
    }
    if (best >= 0) this.#events.tree(best);
    else this.#events.nothing();
  }
}

/** Where the plan begins: a tree, else works, else a lot. */
function firstPlace({ job }: Assessment): Float64Array | null {
  for (const lonLat of [job.treeLonLat, job.worksLonLat, job.lotsLonLat])
    for (let i = 0; i < lonLat.length; i += 2) if (!Number.isNaN(lonLat[i] as number)) return lonLat.slice(i, i + 2);
  return null;
}

/** Radius of a tree's sign in screen pixels. */
const SIGN = 6;

class Extent {
  #x0 = Infinity;
  #y0 = Infinity;
  #x1 = -Infinity;
  #y1 = -Infinity;

  add(x: number, y: number): void {
    this.#x0 = Math.min(this.#x0, x);
    this.#x1 = Math.max(this.#x1, x);
    this.#y0 = Math.min(this.#y0, y);
    this.#y1 = Math.max(this.#y1, y);
  }

  /** With a rim; an empty plan shows a ground of `leastM` metres. */
  padded(leastM: number): View {
    if (this.#x1 < this.#x0) return { x: -leastM / 2, y: -leastM / 2, width: leastM, height: leastM };
    const width = Math.max(this.#x1 - this.#x0, 5);
    const height = Math.max(this.#y1 - this.#y0, 5);
    const pad = 0.04 * Math.max(width, height);
    return { x: this.#x0 - pad, y: this.#y0 - pad, width: width + 2 * pad, height: height + 2 * pad };
  }
}

/** The hatch over ground that is taken; its size follows the screen. */
function takenPattern(): string {
  const { ground, ink, hatch } = TAKEN_STYLES.overlap;
  const side = (hatch.families[0]?.step ?? 1) * Math.SQRT2;
  const tile = `width="${side}" height="${side}"`;
  const line = hatchPath([[0, 0, side, 0, side, side, 0, side]], hatch);
  return (
    `<pattern id="taken" ${tile} patternUnits="userSpaceOnUse"><rect ${tile} fill="${ground}" fill-opacity=".72"/>` +
    `<path d="${line}" fill="none" stroke="${ink}" stroke-width="${hatch.width}" stroke-linecap="square"/></pattern>`
  );
}

/** What the signs and tints mean. */
export function legendItems(assessment: Assessment): { readonly title: string; readonly svg: string }[] {
  const kinds = [...new Set(assessment.works.map(({ kind }) => kind))];
  const square = (fill: string, stroke: string): string =>
    `<rect x="-8" y="-8" width="16" height="16" fill="${fill}" stroke="${stroke}"/>`;
  const items = kinds.map((kind) => {
    const { title, ground, ink } = KIND_STYLES[kind];
    return { title, svg: square(ground, ink) };
  });
  const { title, ground, ink } = TAKEN_STYLES.overlap;
  items.push({ title, svg: square(ground, ink) });
  if (assessment.job.existing !== null)
    items.push({ title: EXISTING_STYLE.title, svg: square(EXISTING_STYLE.ground, EXISTING_STYLE.ink) });
  return items;
}
