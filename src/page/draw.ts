// Drawing on the plan. In: taps, the pointer's way, keys, lengths typed into fields; out: pieces in metres of the plane, and what is
// drawn so far as SVG. Terms: draft = what is not finished; corner = a place of it; crosshair = where the keys would tap.

import type { Units, WorksKind } from '../core.js';
import type { NewPiece } from './desk.js';
import { along, areaOf, bearingOf, byTies, type Place, rectangle, running, snapped } from './plan/geometry.js';
import { lengthOf, runsOf } from './plan/lengths.js';
import type { DrawTool, PlanView } from './plan-view.js';

export type ToolName = 'tree' | 'house' | 'outline' | 'line' | 'lot' | 'measure';

/** What the fields of the drawing bar say. */
export interface DrawSettings {
  readonly units: Units;
  readonly name: string;
  readonly kind: WorksKind;
  readonly species: string;
  readonly diameter: string;
  readonly width: string; // a house's front, a line's width
  readonly depth: string; // a house's other side
  readonly deep: string; // of fill or a cut, below or above the ground
}

interface Host {
  settings(): DrawSettings;
  finish(piece: NewPiece, what: string): void;
  say(text: string): void;
  /** Corners and sides to snap to. */
  lines(): Iterable<readonly number[]>;
  /** A name that no piece of the role has yet. */
  freshName(role: NewPiece['role'], kind: string): string;
  /** Properties of a new tree, in the survey's own columns. */
  treeProperties(name: string, settings: DrawSettings): Record<string, unknown>;
}

const SNAP_PX = 10;
const FEWEST: Readonly<Record<ToolName, number>> = { tree: 1, house: 3, outline: 3, line: 2, lot: 3, measure: 2 };

export class DrawBoard implements DrawTool {
  readonly #view: PlanView;
  readonly #host: Host;
  #tool: ToolName | null = null;
  #corners: Place[] = [];
  #pointer: Place | null = null;

  constructor(view: PlanView, host: Host) {
    this.#view = view;
    this.#host = host;
  }

  get tool(): ToolName | null {
    return this.#tool;
  }

  /** Begins with a tool; null puts the tools away. */
  begin(tool: ToolName | null): void {
    this.#tool = tool;
    this.#corners = [];
    this.#pointer = null;
    this.#view.tool = tool === null ? null : this;
    this.#show();
  }

  tap(at: Place): void {
    if (this.#tool === null) return;
    const place = this.#snap(at);
    const first = this.#corners[0];
    const isRing = this.#tool === 'outline' || this.#tool === 'lot';
    const closes = isRing && first !== undefined && this.#corners.length >= 3 && this.#isNear(place, first);
    if (closes) {
      this.finish();
      return;
    }
    const last = this.#corners.at(-1);
    if (last !== undefined && this.#isNear(place, last) && this.#corners.length >= FEWEST[this.#tool]) {
      this.finish(); // a second tap on the last corner ends a line
      return;
    }
    this.#corners.push(place);
    const isWhole = this.#tool === 'tree' || (this.#tool === 'house' && this.#corners.length === this.#houseTaps());
    if (isWhole) this.finish();
    else {
      this.#host.say(this.#words());
      this.#show();
    }
  }

  hover(at: Place): void {
    if (this.#tool === null) return;
    this.#pointer = this.#snap(at);
    this.#show();
  }

  /** Moves the crosshair by keys; true where the key was one of drawing's. */
  key(key: string, many: boolean): boolean {
    if (this.#tool === null) return false;
    const step = (this.#host.settings().units === 'us' ? 0.3048 : 0.25) * (many ? 10 : 1);
    const ways: Readonly<Record<string, readonly [number, number]>> = {
      ArrowLeft: [-step, 0],
      ArrowRight: [step, 0],
      ArrowUp: [0, step],
      ArrowDown: [0, -step],
    };
    const way = ways[key];
    if (way !== undefined) {
      const [x, y] = this.#pointer ?? this.#corners.at(-1) ?? this.#view.middle;
      this.#pointer = [x + way[0], y + way[1]];
      this.#show();
      this.#host.say(this.#words());
      return true;
    }
    if (key === 'Enter' || key === ' ') this.tap(this.#pointer ?? this.#view.middle);
    else if (key === 'Backspace') this.#back();
    else if (key === 'Escape') this.begin(null);
    else if (key === 'f') this.finish();
    else return false;
    return true;
  }

  /** Ends what is drawn, where it has corners enough. */
  finish(): void {
    const tool = this.#tool;
    if (tool === null) return;
    if (tool === 'measure') {
      this.#host.say(this.#words());
      this.#corners = [];
      this.#show();
      return;
    }
    const piece = this.#piece(tool);
    if (typeof piece === 'string') {
      this.#host.say(piece);
      return;
    }
    this.#corners = [];
    this.#show();
    this.#host.finish(piece, `${piece.role === 'trees' ? 'tree' : tool} ${String(piece.properties.id)} drawn`);
  }

  /** A place typed as metres of the plane, as if it were tapped. */
  put(at: Place): void {
    this.#pointer = at;
    if (this.#tool === 'tree' || this.#corners.length === 0 || !this.#isNear(at, this.#corners.at(-1)!)) this.tap(at);
  }

  /** Running dimensions from the last corner, on the bearing that is said. */
  run(text: string, bearing: number): void {
    const { units } = this.#host.settings();
    const runs = runsOf(text, units);
    const corner = this.#corners[0] ?? this.#pointer ?? this.#view.middle;
    if (runs === undefined) {
      this.#host.say(
        'Write lengths with the turn after each: 36 R 24 R 36 R 24. R and L are right angles, L45 half of one.',
      );
      return;
    }
    const { ring, closingM } = running(corner, bearing, runs);
    this.#corners = places(ring);
    this.#show();
    this.#host.say(
      closingM < 0.005
        ? `The outline closes. ${this.#words()}`
        : `The outline misses its first corner by ${this.#length(closingM)}; that is spread over its corners.`,
    );
  }

  /** A place by two tape lines. */
  tie(first: Place, firstText: string, second: Place, secondText: string, side: 'left' | 'right'): void {
    const { units } = this.#host.settings();
    const [ra, rb] = [lengthOf(firstText, units), lengthOf(secondText, units)];
    const place =
      ra === undefined || rb === undefined
        ? null
        : byTies({ from: first, distanceM: ra }, { from: second, distanceM: rb }, side);
    if (place === null)
      this.#host.say('These two tape lines do not meet: look at both distances and both points again.');
    else this.put(place);
  }

  #back(): void {
    this.#corners.pop();
    this.#show();
    this.#host.say(this.#words());
  }

  #houseTaps(): number {
    const { width, depth, units } = this.#host.settings();
    const [w, d] = [lengthOf(width, units), lengthOf(depth, units)];
    return w !== undefined && d !== undefined ? 2 : 3;
  }

  #piece(tool: Exclude<ToolName, 'measure'>): NewPiece | string {
    const settings = this.#host.settings();
    const { units } = settings;
    const role = tool === 'tree' ? 'trees' : tool === 'lot' ? 'lots' : 'works';
    const xy = this.#corners.flat();
    if (tool === 'tree') {
      const id = settings.name.trim() === '' ? this.#host.freshName(role, 'T') : settings.name.trim();
      return { role, type: 'Point', xy, properties: this.#host.treeProperties(id, settings) };
    }
    const kind: string = tool === 'house' ? 'building' : tool === 'lot' ? 'lot' : settings.kind;
    const id = settings.name.trim() === '' ? this.#host.freshName(role, kind) : settings.name.trim();
    const deepM = lengthOf(settings.deep, units);
    if (settings.deep.trim() !== '' && deepM === undefined)
      return `“${settings.deep}” is no depth: write 2 ft or 0.6 m.`;
    const deep = deepM === undefined || role === 'lots' ? {} : { depth_m: round(deepM) };
    const properties = role === 'lots' ? { id } : { id, kind, ...deep };
    if (tool === 'line') {
      const widthM = lengthOf(settings.width, units);
      if (widthM === undefined || !(widthM > 0)) return 'A line needs its width: write it in the field.';
      if (this.#corners.length < 2) return this.#words();
      return { role, type: 'LineString', xy, properties: { ...properties, width_m: round(widthM) } };
    }
    const ring = tool === 'house' ? this.#house(settings) : xy;
    if (ring === null || ring.length < 6) return this.#words();
    if (Math.abs(areaOf(ring)) < 0.01) return 'These corners lie on one line: they enclose nothing.';
    return { role, type: 'Polygon', xy: ring, properties };
  }

  /** A house by its front corner, the way of its front, and width and depth as typed or as tapped. */
  #house({ width, depth, units }: DrawSettings): number[] | null {
    const [first, second, third] = this.#corners;
    if (first === undefined || second === undefined) return null;
    const bearing = bearingOf(first, second);
    const widthM = lengthOf(width, units) ?? Math.hypot(second[0] - first[0], second[1] - first[1]);
    const typed = lengthOf(depth, units);
    if (typed !== undefined) return rectangle(first, bearing, widthM, typed);
    const aside = third ?? this.#pointer;
    if (aside === null) return null;
    const right = along([0, 0], bearing + 90, 1);
    const depthM = (aside[0] - first[0]) * right[0] + (aside[1] - first[1]) * right[1];
    return rectangle(first, bearing, widthM, depthM);
  }

  #snap(at: Place): Place {
    const reach = SNAP_PX * this.#view.pixelM;
    return snapped(at, this.#host.lines(), reach) ?? at;
  }

  #isNear(a: Place, b: Place): boolean {
    return Math.hypot(a[0] - b[0], a[1] - b[1]) < 0.8 * SNAP_PX * this.#view.pixelM;
  }

  #length(metres: number): string {
    return this.#host.settings().units === 'us' ? `${(metres / 0.3048).toFixed(1)} ft` : `${metres.toFixed(2)} m`;
  }

  /** What there is, and what comes next. */
  #words(): string {
    const tool = this.#tool;
    if (tool === null) return '';
    const n = this.#corners.length;
    const last = this.#corners.at(-1);
    const to = this.#pointer;
    const side =
      last === undefined || to === null
        ? ''
        : ` ${this.#length(Math.hypot(to[0] - last[0], to[1] - last[1]))} from the last corner.`;
    if (tool === 'measure') {
      let way = 0;
      for (let i = 1; i < n; i++)
        way += Math.hypot(
          this.#corners[i]![0] - this.#corners[i - 1]![0],
          this.#corners[i]![1] - this.#corners[i - 1]![1],
        );
      return n < 2 ? `Measuring: put the next point.${side}` : `Distance: ${this.#length(way)}.${side}`;
    }
    const missing = FEWEST[tool] - n;
    return `${n} ${n === 1 ? 'corner' : 'corners'}.${side} ${missing > 0 ? `At least ${missing} more.` : 'Finish, or go on.'}`;
  }

  #show(): void {
    if (this.#tool === null) {
      this.#view.draft('');
      return;
    }
    const px = this.#view.pixelM;
    const settings = this.#host.settings();
    const way = [...this.#corners, ...(this.#pointer === null ? [] : [this.#pointer])];
    const isRing = this.#tool === 'outline' || this.#tool === 'lot';
    const house = this.#tool === 'house' && way.length >= 2 ? this.#houseDraft(settings, way) : null;
    const line = this.#view.shown(house ?? way.flat());
    const d = line.map(([x, y], i) => `${i === 0 ? 'M' : 'L'}${x.toFixed(3)} ${y.toFixed(3)}`).join('');
    const widthM = this.#tool === 'line' ? lengthOf(settings.width, settings.units) : undefined;
    const close = house !== null || (isRing && way.length > 2) ? 'Z' : '';
    const band =
      widthM === undefined || d === '' ? '' : `<path class="band" d="${d}" stroke-width="${widthM}" fill="none"/>`;
    const dots = this.#view
      .shown(way.flat())
      .map(([x, y]) => `<circle cx="${x}" cy="${y}" r="${4 * px}"/>`)
      .join('');
    this.#view.draft(`${band}<path d="${d}${close}" stroke-width="${2 * px}"/>${dots}`);
  }

  #houseDraft(settings: DrawSettings, way: readonly Place[]): number[] | null {
    const corners = this.#corners;
    if (corners.length < 2) this.#corners = way.slice(0, 2);
    const ring = this.#house(settings);
    this.#corners = corners;
    return ring;
  }
}

function places(ring: readonly number[]): Place[] {
  return Array.from({ length: ring.length / 2 }, (_, i): Place => [ring[i * 2]!, ring[i * 2 + 1]!]);
}

/** A tenth of a millimetre. */
function round(metres: number): number {
  return Math.round(metres * 1e4) / 1e4;
}
