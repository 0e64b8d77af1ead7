// A layer whose features are changed on the page. In: a layer, its coordinate system; out: its features as GeoJSON in native
// coordinates, and the text of a GeoJSON file of them, which the command line reads as it is.
// Terms: native = as the layer has them; piece = a feature. Nothing is lost: properties and ids go through untouched.

import type { CrsTransform, Layer } from '../../core.js';
import { GEOMETRY_KINDS } from '../../model/index.js';
import { carried, type Place } from './geometry.js';
import type { Plane } from './plane.js';

type Position = readonly number[]; // x, y, and the height where there is one

export interface PieceGeometry {
  readonly type: 'Point' | 'MultiPoint' | 'LineString' | 'MultiLineString' | 'Polygon' | 'MultiPolygon';
  readonly coordinates: unknown;
}

export interface Piece {
  readonly type: 'Feature';
  readonly id?: string | number;
  readonly properties: Readonly<Record<string, unknown>>;
  readonly geometry: PieceGeometry | null;
}

/** The features of a layer, in their order, with heights or without; those that were set aside stay without a shape. */
export function piecesOf(layer: Layer, withHeights = true): Piece[] {
  return Array.from({ length: layer.count }, (_, feature) => {
    const id = layer.id(feature);
    return {
      type: 'Feature',
      ...(id === undefined ? {} : { id }),
      properties: { ...layer.properties(feature) },
      // What its layer set aside must not be measured once it is in a file of its own.
      geometry: layer.setAside?.has(feature) === true ? null : geometryOf(layer, feature, withHeights),
    };
  });
}

/** A file of them: native coordinates with the system's code, longitude and latitude where it has none. */
export function collectionText(pieces: readonly Piece[], transform: CrsTransform): string {
  const { code, kind } = transform.crs;
  // Only plane coordinates: the axes of a geographic EPSG system are in another order.
  const epsg = kind === 'projected' ? /^EPSG:(\d+)$/.exec(code)?.[1] : undefined;
  const isNative = kind === 'local' || epsg !== undefined || transform.isLonLat;
  const crs =
    epsg === undefined ? '' : `"crs":{"type":"name","properties":{"name":"urn:ogc:def:crs:EPSG::${epsg}"}},\n`;
  const written = isNative ? pieces : pieces.map((piece) => inDegrees(piece, transform));
  const lines = written.map((piece) => JSON.stringify(piece));
  return `{"type":"FeatureCollection",${crs}"features":[\n${lines.join(',\n')}\n]}\n`;
}

/** A piece moved, and turned about a place of the plane. */
export function movedPiece(
  piece: Piece,
  by: { readonly east: number; readonly north: number; readonly turnDeg: number; readonly about: Place },
  plane: Plane,
  transform: CrsTransform,
): Piece {
  const move = (xy: number[]): number[] => plane.toNative(carried(plane.toPlane(xy, transform), by), transform);
  return { ...piece, geometry: piece.geometry === null ? null : mapped(piece.geometry, move) };
}

/** Every run of positions, flat, changed by a function. */
export function mapped(geometry: PieceGeometry, change: (xy: number[]) => number[]): PieceGeometry {
  const walk = (node: unknown): unknown => {
    const list = node as unknown[];
    if (isPosition(list)) return changed([list], change)[0];
    if (list.length > 0 && list.every(isPosition)) return changed(list, change);
    return list.map(walk);
  };
  return { ...geometry, coordinates: walk(geometry.coordinates) };
}

/** Flat runs of positions of a geometry: points, lines and rings, for snapping and middles. */
export function runsOf(geometry: PieceGeometry | null): number[][] {
  const runs: number[][] = [];
  if (geometry !== null)
    mapped(geometry, (xy) => {
      runs.push(xy);
      return xy;
    });
  return runs;
}

function isPosition(node: unknown): node is Position {
  return Array.isArray(node) && typeof node[0] === 'number';
}

/** Positions moved in the plane; heights stay. */
function changed(list: readonly Position[], change: (xy: number[]) => number[]): Position[] {
  const flat = change(list.flatMap(([x, y]) => [x!, y!]));
  return list.map((position, i) => [flat[i * 2]!, flat[i * 2 + 1]!, ...position.slice(2)]);
}

function inDegrees(piece: Piece, transform: CrsTransform): Piece {
  const degrees = (flat: number[]): number[] => {
    const xy = Float64Array.from(flat);
    transform.toLonLat(xy);
    return Array.from(xy, (value) => Math.round(value * 1e9) / 1e9);
  };
  return { ...piece, geometry: piece.geometry === null ? null : mapped(piece.geometry, degrees) };
}

function geometryOf(layer: Layer, feature: number, withHeights: boolean): PieceGeometry | null {
  const { kind, partStart, ringStart, vertexStart, xy, z } = layer.geometry;
  const line = (ring: number): Position[] =>
    range(vertexStart[ring]!, vertexStart[ring + 1]!).map((v) => {
      const height = (withHeights ? z?.[v] : undefined) ?? Number.NaN;
      return Number.isNaN(height) ? [xy[v * 2]!, xy[v * 2 + 1]!] : [xy[v * 2]!, xy[v * 2 + 1]!, height];
    });
  const closed = (ring: number): Position[] => {
    const out = line(ring);
    const [first, last] = [out[0], out.at(-1)];
    if (first && last && (first[0] !== last[0] || first[1] !== last[1])) out.push([...first]);
    return out;
  };
  const parts = range(partStart[feature]!, partStart[feature + 1]!);
  const rings = (part: number): number[] => range(ringStart[part]!, ringStart[part + 1]!);
  if (parts.length === 0) return null;
  const lines = (): Position[][] => parts.flatMap((part) => rings(part).map(line));
  const polygons = (): Position[][][] => parts.map((part) => rings(part).map(closed));
  switch (GEOMETRY_KINDS[kind[feature]!]) {
    case 'point':
      return { type: 'Point', coordinates: lines()[0]?.[0] };
    case 'multipoint':
      return { type: 'MultiPoint', coordinates: lines().flat() };
    case 'line':
      return { type: 'LineString', coordinates: lines()[0] };
    case 'multiline':
      return { type: 'MultiLineString', coordinates: lines() };
    case 'polygon':
      return { type: 'Polygon', coordinates: polygons()[0] };
    case 'multipolygon':
      return { type: 'MultiPolygon', coordinates: polygons() };
    default:
      return null;
  }
}

function range(from: number, to: number): number[] {
  return Array.from({ length: Math.max(to - from, 0) }, (_, i) => from + i);
}
