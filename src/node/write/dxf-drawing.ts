// Entities -> DXF text. In: points, circles, polylines and texts on named layers; out: the text of a drawing.
// Terms: $INSUNITS = the drawing's unit (2 feet, 6 metres, 21 US survey feet), which other programs scale by on insertion.

import type { Crs, LengthUnit } from '../../model/index.js';

export interface Drawing {
  point(layer: string, x: number, y: number): void;
  circle(layer: string, x: number, y: number, radius: number): void;
  /** Flat x, y pairs, without the closing vertex. */
  polyline(layer: string, flat: Float64Array, closed: boolean): void;
  text(layer: string, x: number, y: number, height: number, lines: readonly string[]): void;
  pieces(): Generator<string, void, undefined>;
}

const INSUNITS: Readonly<Partial<Record<Crs['unit'] & (LengthUnit | 'other'), number>>> = { m: 6, ft: 2, ftUS: 21 };

/** A drawing with its layers. */
export async function openDrawing(
  crs: Crs,
  layers: readonly (readonly [name: string, colour: number])[],
): Promise<Drawing> {
  const { DxfWriter, LWPolylineFlags, point2d, point3d } = await import('@tarikjabiri/dxf');
  const dxf = new DxfWriter();
  dxf.setUnits(crs.unit === 'degree' ? 0 : (INSUNITS[crs.unit] ?? 0));
  for (const [name, colour] of layers) dxf.addLayer(name, colour, 'Continuous');
  return {
    point: (layerName, x, y) => void dxf.addPoint(x, y, 0, { layerName }),
    circle: (layerName, x, y, radius) => void dxf.addCircle(point3d(x, y, 0), rounded(radius), { layerName }),
    polyline: (layerName, flat, closed) => {
      const vertices: { point: ReturnType<typeof point2d> }[] = [];
      for (let i = 0; i < flat.length; i += 2) vertices.push({ point: point2d(flat[i]!, flat[i + 1]!) });
      dxf.addLWPolyline(vertices, { layerName, flags: closed ? LWPolylineFlags.Closed : LWPolylineFlags.None });
    },
    text: (layerName, x, y, height, lines) => {
      dxf.addMText(point3d(x, y, 0), height, lines.map(escaped).join('\\P'), { layerName });
    },
    *pieces() {
      yield dxf.stringify();
    },
  };
}

/** In multi-line text a backslash and braces are commands. */
function escaped(text: string): string {
  return text.replace(/[\\{}]/g, (sign) => `\\${sign}`);
}

/** Six decimals, as coordinates have: 20, not 19.999999999999996. */
function rounded(value: number): number {
  return Math.round(value * 1e6) / 1e6;
}
