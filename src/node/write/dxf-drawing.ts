// Entities -> DXF text. In: points, circles, polylines, signs and texts on named layers; out: the text of a drawing, of the
// version of 2007 (AC1021): the first whose text is UTF-8. Terms: $INSUNITS = the drawing's unit (2 feet, 6 metres, 21 US
// survey feet), which other programs scale by on insertion; $MEASUREMENT = 1 metric, 0 not; bulge as in geometry/curves/;
// sign = a block with attributes.

import type { Attdef, Attrib, Dxfier, TextOptions } from '@tarikjabiri/dxf';
import type { BulgedVertex } from '../../geometry/index.js';
import type { Crs, LengthUnit } from '../../model/index.js';
import { printable } from '../../text/index.js';

/** One attribute of a sign: how its block defines it. Lengths in radii of the sign. */
export interface SignText {
  readonly tag: string;
  readonly prompt: string;
  readonly hidden: boolean;
}

/** A block of radius 1 about 0, 0. */
export interface Sign {
  readonly name: string;
  readonly lines: readonly (readonly (readonly [x: number, y: number])[])[];
  readonly circles: readonly number[];
}

/** Where a sign stands: at a place, on a layer, of a radius. */
export interface SignPlace {
  readonly layer: string;
  readonly x: number;
  readonly y: number;
  readonly radius: number;
}

/** The values of its attributes in the order of the texts: on their own layer, a line each from (x, y) down. */
export interface SignLabels {
  readonly layer: string;
  readonly x: number;
  readonly y: number;
  readonly height: number;
  readonly values: readonly string[];
}

export interface Drawing {
  point(layer: string, x: number, y: number): void;
  circle(layer: string, x: number, y: number, radius: number): void;
  /** Without the closing vertex. */
  polyline(layer: string, vertices: readonly BulgedVertex[], closed: boolean): void;
  text(layer: string, x: number, y: number, height: number, text: string): void;
  /** Lines below the drawing, at its left. */
  notes(layer: string, height: number, lines: readonly string[]): void;
  sign(name: string, place: SignPlace, labels: SignLabels): void;
  pieces(): Generator<string, void, undefined>;
}

const INSUNITS: Readonly<Partial<Record<Crs['unit'] & (LengthUnit | 'other'), number>>> = { m: 6, ft: 2, ftUS: 21 };

/** Between the lines of a label, in heights of its letters. */
const LINE_STEP = 1.5;

/** A drawing with its layers and signs. */
export async function openDrawing(
  crs: Crs,
  layers: Iterable<readonly [name: string, colour: number]>,
  signs: readonly Sign[],
  texts: readonly SignText[],
): Promise<Drawing> {
  const lib = await import('@tarikjabiri/dxf');
  const { DxfWriter, LWPolylineFlags, point2d, point3d } = lib;
  const dxf = new DxfWriter();
  dxf.setUnits(crs.unit === 'degree' ? 0 : (INSUNITS[crs.unit] ?? 0));
  dxf.setVariable('$MEASUREMENT', { 70: crs.unit === 'm' ? 1 : 0 });
  dxf.setVariable('$LUNITS', { 70: 2 }); // decimal
  for (const [name, colour] of layers) dxf.addLayer(name, colour, 'Continuous');
  const attributes = attributesOf(lib);
  for (const sign of signs) addBlock(dxf, lib, attributes, sign, texts);
  const box = new Extent();
  return {
    point(layerName, x, y) {
      box.add(x, y, 0);
      dxf.addPoint(x, y, 0, { layerName });
    },
    circle(layerName, x, y, radius) {
      box.add(x, y, radius);
      dxf.addCircle(point3d(x, y, 0), rounded(radius), { layerName });
    },
    polyline(layerName, given, closed) {
      for (const [x, y] of given) box.add(x, y, 0);
      const vertices = given.map(([x, y, bulge]) => ({ point: point2d(x, y), ...(bulge === 0 ? {} : { bulge }) }));
      dxf.addLWPolyline(vertices, { layerName, flags: closed ? LWPolylineFlags.Closed : LWPolylineFlags.None });
    },
    text(layerName, x, y, height, value) {
      box.add(x, y, 0);
      dxf.addText(point3d(rounded(x), rounded(y), 0), rounded(height), oneLine(value), { layerName });
    },
    notes(layerName, height, lines) {
      const { left, bottom } = box;
      const at = point3d(rounded(left), rounded(bottom - 2 * height), 0);
      dxf.addMText(at, rounded(height), lines.map(escaped).join('\\P'), { layerName });
    },
    sign(name, { layer: layerName, x, y, radius }, labels) {
      box.add(x, y, radius);
      const r = rounded(radius);
      const insert = dxf.addInsert(name, point3d(x, y, 0), { layerName, scaleFactor: point3d(r, r, r) });
      insert.attributesFollowFlag = 1;
      // Attributes belong to the insert and end with one mark; the library would end each with one of its own.
      const { modelSpace } = dxf;
      texts.forEach((text, i) => {
        const at = point3d(rounded(labels.x), rounded(labels.y - i * LINE_STEP * labels.height), 0);
        const value = oneLine(labels.values[i] ?? '');
        const one = attributes.value(at, rounded(labels.height), value, text, { layerName: labels.layer });
        modelSpace.addEntity(one).ownerBlockRecord = insert.handle;
      });
      const end = new lib.SeqEnd();
      end.layerName = layerName;
      end.boundingBox = () => insert.boundingBox(); // it has no place: it would pull the view to 0, 0
      modelSpace.addEntity(end).ownerBlockRecord = insert.handle;
    },
    *pieces() {
      const { left, bottom, right, top } = box;
      dxf.setVariable('$EXTMIN', { 10: rounded(left), 20: rounded(bottom), 30: 0 });
      dxf.setVariable('$EXTMAX', { 10: rounded(right), 20: rounded(top), 30: 0 });
      yield dxf.stringify();
    },
  };
}

type Library = typeof import('@tarikjabiri/dxf');
type Place = ReturnType<Library['point3d']>;

interface Attributes {
  definition(at: Place, height: number, text: SignText): Attdef;
  value(at: Place, height: number, value: string, text: SignText, options: TextOptions): Attrib;
}

/** Attributes with their flags: the library writes none, so that what is to be hidden would show. */
function attributesOf({ Attdef, Attrib }: Library): Attributes {
  const HIDDEN = 1;
  const textOf = (dx: Dxfier, { position, height, value, textStyle }: Attrib | Attdef): void => {
    dx.point3d(position);
    dx.push(40, height);
    dx.primaryText(value);
    dx.textStyle(textStyle);
  };
  class Definition extends Attdef {
    readonly text: SignText;
    constructor(at: Place, height: number, text: SignText) {
      super(at, height, text.tag, '');
      this.text = text;
    }
    protected override dxfyChild(dx: Dxfier): void {
      textOf(dx, this);
      dx.subclassMarker('AcDbAttributeDefinition');
      dx.push(3, this.text.prompt);
      dx.push(2, this.tag);
      dx.push(70, this.text.hidden ? HIDDEN : 0);
    }
  }
  class Value extends Attrib {
    readonly text: SignText;
    constructor(at: Place, height: number, value: string, text: SignText, options: TextOptions) {
      super(at, height, text.tag, value, options);
      this.text = text;
    }
    protected override dxfyChild(dx: Dxfier): void {
      textOf(dx, this);
      dx.subclassMarker('AcDbAttribute');
      dx.push(2, this.tag);
      dx.push(70, this.text.hidden ? HIDDEN : 0);
    }
  }
  return {
    definition: (at, height, text) => new Definition(at, height, text),
    value: (at, height, value, text, options) => new Value(at, height, value, text, options),
  };
}

function addBlock(
  dxf: InstanceType<Library['DxfWriter']>,
  { BlockFlags, LWPolylineFlags, point2d, point3d }: Library,
  attributes: Attributes,
  sign: Sign,
  texts: readonly SignText[],
): void {
  const block = dxf.addBlock(sign.name);
  block.flags = BlockFlags.HasNonConstantAttribute;
  for (const radius of sign.circles) block.addCircle(point3d(0, 0, 0), radius);
  for (const line of sign.lines) {
    const vertices = line.map(([x, y]) => ({ point: point2d(x, y) }));
    block.addLWPolyline(vertices, { flags: LWPolylineFlags.None });
  }
  const height = 0.1;
  texts.forEach((text, i) => {
    block.addEntity(attributes.definition(point3d(0.2, 0.2 - i * LINE_STEP * height, 0), height, text));
  });
}

/** The box of what is drawn; a drawing of nothing has one of no size at 0, 0. */
class Extent {
  #box: readonly [number, number, number, number] | null = null;

  add(x: number, y: number, radius: number): void {
    const [left, bottom, right, top] = this.#box ?? [Infinity, Infinity, -Infinity, -Infinity];
    this.#box = [
      Math.min(left, x - radius),
      Math.min(bottom, y - radius),
      Math.max(right, x + radius),
      Math.max(top, y + radius),
    ];
  }

  get left(): number {
    return this.#box?.[0] ?? 0;
  }
  get bottom(): number {
    return this.#box?.[1] ?? 0;
  }
  get right(): number {
    return this.#box?.[2] ?? 0;
  }
  get top(): number {
    return this.#box?.[3] ?? 0;
  }
}

/** In multi-line text a backslash, braces and a caret are commands. */
function escaped(text: string): string {
  return printable(text)
    .replace(/[\\{}]/g, (sign) => `\\${sign}`)
    .replace(/\^/g, '^ ');
}

/** In a text of one line %% and a caret are commands. */
function oneLine(text: string): string {
  return printable(text)
    .replace(/%(?=%)/g, '% ')
    .replace(/\^/g, '^ ');
}

/** Six decimals, as coordinates have: 20, not 19.999999999999996. */
function rounded(value: number): number {
  return Math.round(value * 1e6) / 1e6;
}
