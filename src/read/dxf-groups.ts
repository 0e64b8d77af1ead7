// Groups of a raw DXF entity -> numbers and texts. In: an entity and a group code; out: its value, or a ShapeError.
// Terms: group as in dxf-scan.ts; extrusion = the normal of the plane an entity is drawn in; (0, 0, -1) mirrors x.

import type { LayerBuilder } from '../model/index.js';
import type { RawEntity } from './dxf-scan.js';

/** Why an entity has no geometry that can be used, and where. */
export class ShapeError extends Error {
  readonly path: string;
  constructor(path: string, message: string) {
    super(message);
    this.path = path;
  }
}

/** A group's text; the last one where a code comes twice, as CAD programs take it. */
export function textOf(entity: RawEntity, code: number): string | undefined {
  const at = entity.codes.lastIndexOf(code);
  return at === -1 ? undefined : entity.values[at];
}

/** A group's number; NaN when it is absent or no number. */
export function numberOf(entity: RawEntity, code: number): number {
  const text = textOf(entity, code);
  return text === undefined ? Number.NaN : plainNumber(text);
}

/** Figures beyond this are not coordinates, and their products would not be numbers. */
const LARGEST = 1e100;

/** A decimal number; NaN for any other text. */
export function plainNumber(text: string): number {
  if (!/^\s*[+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?\s*$/i.test(text)) return Number.NaN;
  const value = Number(text);
  return Math.abs(value) <= LARGEST ? value : Number.NaN;
}

/** A group that must be present. */
export function needed(entity: RawEntity, code: number): number {
  const value = numberOf(entity, code);
  if (Number.isFinite(value)) return value;
  const held = textOf(entity, code);
  const what = held === undefined ? 'is missing' : `holds ${JSON.stringify(held)}, which is not a number`;
  throw new ShapeError(`group ${code}`, `group ${code} of the ${entity.type} ${what}`);
}

/** A height; NaN where there is none. */
export function height(entity: RawEntity, code: number): number {
  return numberOf(entity, code);
}

export function flag(entity: RawEntity, code: number, bit: number): boolean {
  return (Math.trunc(numberOf(entity, code) || 0) & bit) !== 0;
}

/** 1, or -1 for an entity drawn from behind; other planes are tilted and can't be laid on a map. */
export function mirror(entity: RawEntity): 1 | -1 {
  const [x, y, z] = [210, 220, 230].map((code) => numberOf(entity, code) || 0) as [number, number, number];
  if (z === 0 && x === 0 && y === 0) return 1;
  if (Math.hypot(x, y) <= 1e-9 * Math.abs(z)) return z > 0 ? 1 : -1;
  throw new ShapeError('group 210', `the ${entity.type} is drawn in a tilted plane`);
}

/** Begins a geometry of one ring. */
export function begin(kind: 'point' | 'line' | 'polygon', into: LayerBuilder): void {
  into.begin(kind);
  into.part();
  into.ring();
}
