// Outlines while a notebook is read. In: what rows say of corners; out: outlines, and the readings that running dimensions and
// houses drawn from one stake come to. Terms: see types.ts; leg = from one corner to the next. Linear in the corners.

import { METRES_PER } from '../model/index.js';
import { tapeSigma, USUAL } from './accuracy.js';
import type { Length } from './cells.js';
import type { Corner, Leg, Outline, Reading } from './types.js';

interface Written extends Length {
  readonly text: string;
}

/** What one row says of an outline. */
export interface OutlineRow {
  readonly row: number;
  readonly number: number | null; // of its corner
  readonly point: number; // -1: none
  readonly line: readonly [number, number] | null;
  readonly arc: Corner['arc'];
  readonly chord: Written | null;
  readonly run: (Written & { readonly share: number }) | null;
  readonly turn: number | null;
  readonly turnText: string;
  readonly front: Written | null;
  readonly deep: Written | null;
  readonly left: boolean | null;
  sigma(usual: number): number;
  angleSigma(usualDeg: number): number;
}

export interface OpenOutline {
  readonly name: string;
  readonly row: number;
  readonly properties: Record<string, unknown>;
  readonly corners: Map<number, Corner>;
  readonly rows: OutlineRow[];
}

const RIGHT = Math.PI / 2;
const NO_POINT = { q: -1, a: -1, b: -1, perUnit: 1, eitherSide: false, unit: 'deg' as const };

export class OutlineBook {
  readonly #all = new Map<string, OpenOutline>();
  readonly #point: (name: string) => number;
  readonly #say: (message: string, cure: string) => void;

  constructor(point: (name: string) => number, say: (message: string, cure: string) => void) {
    this.#point = point;
    this.#say = say;
  }

  named(name: string, row: number): OpenOutline {
    let found = this.#all.get(name);
    if (found === undefined) {
      found = { name, row, properties: {}, corners: new Map(), rows: [] };
      this.#all.set(name, found);
    }
    return found;
  }

  add(outline: OpenOutline, row: OutlineRow): void {
    const { number, point, arc } = row;
    if (number !== null && point >= 0) {
      const there = outline.corners.get(number);
      if (there !== undefined && there.point !== point) {
        this.#say(`corner ${number} of ${outline.name} is two points`, 'number the corners 1, 2, 3, ... in order');
        return;
      }
      outline.corners.set(number, { number, point, arc: arc ?? there?.arc ?? null });
    }
    outline.rows.push(row);
    if (row.front !== null) this.#rectangle(outline, row);
  }

  /** Corners 2 to 4 of a house that is drawn from its first. */
  #rectangle(outline: OpenOutline, { line, left, deep, point }: OutlineRow) {
    if (line === null || left === null || deep === null || point < 0) {
      const cure = 'fill in point (its first corner), base (the line its front follows), side, front and deep';
      return this.#say(`${outline.name} is given by its front, and something is missing`, cure);
    }
    for (const number of [2, 3, 4]) {
      const corner = this.#point(`${outline.name}:${number}`);
      outline.corners.set(number, { number, point: corner, arc: null });
    }
  }

  /** The outlines; their readings are added to the others. With the compass rule, running dimensions are none. */
  finish(byCompass: boolean, readings: Reading[]): readonly Outline[] {
    return [...this.#all.values()].map((outline) => {
      const corners = [...outline.corners.values()].sort((a, b) => a.number - b.number);
      for (const row of outline.rows) readings.push(...rectangleReadings(outline, row), ...chordReadings(outline, row));
      const legs = outline.rows.flatMap((row) => legOf(outline, row));
      const closes = corners.length >= 3 && legs.length === corners.length;
      if (!(byCompass && closes)) {
        for (const row of outline.rows) readings.push(...runReadings(outline, row));
      }
      const { name, row, properties } = outline;
      const keys = Object.keys(properties);
      const kind = String(properties[keys.find((key) => key.toLowerCase() === 'kind') ?? ''] ?? '').toLowerCase();
      return { name, row, corners, legs, properties, kind, isLine: keys.some((key) => /^width(?:_|$)/i.test(key)) };
    });
  }
}

function rectangleReadings({ corners }: OpenOutline, row: OutlineRow): Reading[] {
  const { line, left, front, deep } = row;
  if (front === null || deep === null || line === null || left === null) return [];
  const at = [1, 2, 3, 4].map((number) => corners.get(number)!.point);
  const side = left ? -RIGHT : RIGHT;
  const edge = (from: number, to: number, { metres, unit, text }: Written, turn: number): Reading[] => {
    const sigma = row.sigma(USUAL.drawnM);
    const base = { ...NO_POINT, row: row.row, p: at[to]!, q: at[from]! };
    return [
      { ...base, kind: 'distance', value: metres, sigma, text, unit, perUnit: METRES_PER[unit] },
      { ...base, kind: 'angle', a: line[0], b: line[1], value: turn, sigma: sigma / metres, text: 'square' },
    ];
  };
  return [...edge(0, 1, front, 0), ...edge(1, 2, deep, side), ...edge(0, 3, deep, side)];
}

/** The corner before another, round the outline. */
function before({ corners }: OpenOutline, number: number): Corner | undefined {
  return corners.get(number === 1 ? Math.max(...corners.keys()) : number - 1);
}

function chordReadings(outline: OpenOutline, { row, number, point, chord, sigma }: OutlineRow): Reading[] {
  const from = number === null || chord === null ? undefined : before(outline, number);
  if (from === undefined || chord === null) return [];
  const { metres: value, unit, text } = chord;
  const base = { ...NO_POINT, row, p: point, q: from.point };
  return [{ ...base, kind: 'distance', value, sigma: sigma(tapeSigma(value)), text, unit, perUnit: METRES_PER[unit] }];
}

function legOf(outline: OpenOutline, { row, number, run, turn, line }: OutlineRow): Leg[] {
  const from = number === null || run === null ? undefined : before(outline, number);
  if (from === undefined || run === null || number === null) return [];
  if (turn === null && line === null) return [];
  return [{ row, from: from.number, to: number, length: run.metres, turn: turn ?? 0, line }];
}

/** A run as a distance; its turn as an angle from the leg before, or from the line that is named. */
function runReadings(outline: OpenOutline, row: OutlineRow): Reading[] {
  const { number, point, run, turn, line, turnText } = row;
  const from = number === null || run === null ? undefined : before(outline, number);
  if (from === undefined || run === null) return [];
  const base = { ...NO_POINT, row: row.row, p: point, q: from.point };
  const { metres: value, unit, text, share } = run;
  const perUnit = METRES_PER[unit] * share;
  const distance: Reading = {
    ...base,
    kind: 'distance',
    value,
    sigma: row.sigma(tapeSigma(value)),
    text,
    unit,
    perUnit,
  };
  const last = before(outline, from.number);
  const [a, b] = line ?? (last === undefined ? [-1, -1] : [last.point, from.point]);
  if ((turn === null && line === null) || a < 0 || last?.point === point) return [distance];
  const sigma = row.angleSigma(USUAL.turnDeg);
  return [distance, { ...base, kind: 'angle', a, b, value: turn ?? 0, sigma, text: turnText || '0' }];
}
