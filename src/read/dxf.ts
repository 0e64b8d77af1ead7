// DXF -> Layer. In: bytes of a drawing (text DXF of any version); out: one feature per entity in model space.
// Terms: drawing layer = the CAD layer an entity lies on; mapped = a drawing layer that was given a kind of works, or picked.
// Coordinates are read as they stand; $INSUNITS is kept and compared with the coordinate system later.

import type { Layer, StatedUnit, WorksKind } from '../model/index.js';
import { type FindingCode, finding, InputError, LayerBuilder, METRES_PER } from '../model/index.js';
import { Arcs } from './arcs.js';
import { ALL, contentsOf } from './contents.js';
import { ShapeError } from './dxf-groups.js';
import { type RawEntity, scanDxf } from './dxf-scan.js';
import { SHAPES } from './dxf-shapes.js';
import { cadText, decodeDrawing, propertiesOf } from './dxf-text.js';
import { withExtras } from './extras.js';
import type { ReadOptions } from './options.js';

/**
 * Reads points, blocks, lines, polylines, arcs, circles and texts. With `layerKinds` or `layer`, features on other
 * drawing layers are kept and set aside (`layer-not-mapped`). Without them, or with the layer `*`, all of it is read.
 *
 * @throws InputError `dxf-binary`, `dxf-broken`, `dxf-truncated`, `dxf-empty`, `layer-missing` (none of the layers named
 *   is there)
 * @example
 * readDxf(bytes, { name: 'site.dxf', layerKinds: { 'A-BLDG': 'building', 'C-DRIV': 'paving' } });
 */
export function readDxf(bytes: Uint8Array, options: ReadOptions): Layer {
  const into = new LayerBuilder(options.name, 'dxf');
  const { text, findings } = decodeDrawing(bytes, options.name);
  into.findings.push(...findings);
  const drawing = scanDxf(text, options.name);
  const unit = unitOf(drawing.insUnits);
  const choice = choiceOf(drawing.entities, options, into);
  const arcs = new Arcs(into, unit?.metresPerUnit);
  const aside = new SetAside(into);
  for (const entity of drawing.entities) {
    if (entity.type === 'VIEWPORT') continue; // a window on a layout, not a drawn object
    for (const placed of copiesOf(entity)) addEntity(placed, choice, unit, arcs, aside, into);
  }
  arcs.report();
  aside.report(choice?.kinds);
  const layer = withExtras(into.finish({ crs: null, sha256: options.sha256 ?? null }), { unit, setAside: aside.rows });
  if (choice !== undefined || options.layer === ALL) return layer;
  const names = Array.from({ length: layer.count }, (_, row) => String(layer.value(row, 'layer') ?? '0'));
  return withExtras(layer, { contents: contentsOf(layer, names) });
}

function addEntity(
  entity: RawEntity,
  choice: Choice | undefined,
  unit: StatedUnit | undefined,
  arcs: Arcs,
  aside: SetAside,
  into: LayerBuilder,
): void {
  const { properties, paper, layer } = propertiesOf(entity, unit);
  const draw = Object.hasOwn(SHAPES, entity.type) ? SHAPES[entity.type] : undefined;
  if (paper) {
    into.begin('none');
    aside.add('paper-space', entity.type);
  } else if (draw === undefined) {
    into.begin('none');
    aside.add('entity-unread', entity.type);
  } else {
    into.begin('broken');
    try {
      draw(entity, arcs, into);
    } catch (error) {
      if (!(error instanceof ShapeError)) throw error;
      const where = `${entity.type} at line ${entity.line}, ${error.path}`;
      into.abandon(where, error.message, 'redraw it, or save the drawing again as DXF');
    }
  }
  if (choice !== undefined && !paper && draw !== undefined) {
    const kind = choice.kinds.get(layer.toUpperCase());
    if (kind === undefined) aside.add('layer-not-mapped', layer);
    else if (kind !== null) properties.kind = kind;
  }
  into.end(properties);
}

/** An INSERT of rows and columns stands for as many blocks. */
function* copiesOf(entity: RawEntity): Generator<RawEntity> {
  const value = (code: number): number => Number(entity.values[entity.codes.lastIndexOf(code)] ?? 0) || 0;
  const [columns, rows] = entity.type === 'INSERT' ? [Math.max(value(70), 1), Math.max(value(71), 1)] : [1, 1];
  if (columns * rows === 1 || columns * rows > 10_000) return void (yield entity);
  const angle = (value(50) * Math.PI) / 180;
  for (let r = 0; r < rows; r++) {
    for (let c = 0; c < columns; c++) {
      const [u, v] = [c * value(44), r * value(45)];
      const x = value(10) + u * Math.cos(angle) - v * Math.sin(angle);
      const y = value(20) + u * Math.sin(angle) + v * Math.cos(angle);
      yield { ...entity, codes: [...entity.codes, 10, 20], values: [...entity.values, String(x), String(y)] };
    }
  }
}

// ---------------------------------------------------------------- which drawing layers

interface Choice {
  /** Drawing layer in capitals -> its kind; null: picked without one. */
  readonly kinds: ReadonlyMap<string, WorksKind | null>;
}

function choiceOf(entities: readonly RawEntity[], options: ReadOptions, into: LayerBuilder): Choice | undefined {
  if (options.layerKinds === undefined && (options.layer === undefined || options.layer === ALL)) return undefined;
  const kinds = new Map<string, WorksKind | null>();
  if (options.layer !== undefined) kinds.set(options.layer.toUpperCase(), null);
  for (const [name, kind] of Object.entries(options.layerKinds ?? {})) kinds.set(name.toUpperCase(), kind);
  const there = new Map<string, string>();
  for (const entity of entities) {
    const name = layerOf(entity);
    if (!there.has(name.toUpperCase())) there.set(name.toUpperCase(), name);
  }
  const missing = [...kinds.keys()].filter((name) => !there.has(name));
  const message = `${options.name} has nothing on the drawing layer ${missing.map((name) => `"${name}"`).join(', ')}`;
  const cure = `its drawing layers are ${[...there.values()].join(', ')}`;
  if (missing.length === kinds.size) throw new InputError('layer-missing', message, { layer: options.name, cure });
  if (missing.length > 0) into.findings.push(finding('layer-not-mapped', { layer: into.name }, message, cure));
  return { kinds };
}

function layerOf(entity: RawEntity): string {
  return cadText(entity.values[entity.codes.lastIndexOf(8)] ?? '0').trim();
}

/** Features that are kept but not used: reasons, and one finding for each reason and kind (or one for all layers). */
class SetAside {
  readonly rows: Map<number, string> = new Map();
  readonly #groups = new Map<string, { code: FindingCode; what: string; count: number; first: number }>();
  readonly #into: LayerBuilder;

  constructor(into: LayerBuilder) {
    this.#into = into;
  }

  add(code: 'paper-space' | 'entity-unread' | 'layer-not-mapped', what: string): void {
    const row = this.#into.count;
    this.rows.set(row, code);
    const key = code === 'paper-space' ? code : `${code} ${what}`;
    const group = this.#groups.get(key);
    if (group === undefined) this.#groups.set(key, { code, what, count: 1, first: row });
    else group.count++;
  }

  report(kinds: ReadonlyMap<string, WorksKind | null> | undefined): void {
    const groups = [...this.#groups.values()];
    const say = (code: FindingCode, feature: number, message: string, cure: string): void => {
      this.#into.findings.push(finding(code, { layer: this.#into.name, feature }, message, cure));
    };
    for (const { code, what, count, first } of groups) {
      const many = count === 1 ? '1 entity' : `${count} entities`;
      if (code === 'paper-space') {
        say(
          code,
          first,
          `${many} on layouts (paper) were kept without geometry`,
          'draw the objects that should count in model space',
        );
      } else if (code === 'entity-unread') {
        const cure = 'turn the objects that should count into points, lines or polylines (explode them)';
        say(code, first, `${many} of the kind ${what} cannot be read and were kept without geometry`, cure);
      }
    }
    const unmapped = groups.filter((group) => group.code === 'layer-not-mapped');
    const [first] = unmapped;
    if (first === undefined) return;
    const list = unmapped.map(({ what, count }) => `${what} (${count})`).join(', ');
    const chosen = [...(kinds?.keys() ?? [])].join(', ');
    const message = `drawing layers other than the chosen ones (${chosen}) were set aside: ${list}`;
    say('layer-not-mapped', first.first, message, 'choose any others that count: --layer NAME=kind');
  }
}

// ---------------------------------------------------------------- unit

/** $INSUNITS codes that are lengths on a site; 0 and unknown ones state nothing. */
const INS_UNITS: Readonly<Record<number, Omit<StatedUnit, 'from'>>> = {
  1: { unit: 'in', metresPerUnit: METRES_PER.in },
  2: { unit: 'foot', metresPerUnit: METRES_PER.ft },
  3: { unit: 'other', metresPerUnit: 1609.344 },
  4: { unit: 'mm', metresPerUnit: METRES_PER.mm },
  5: { unit: 'cm', metresPerUnit: METRES_PER.cm },
  6: { unit: 'm', metresPerUnit: 1 },
  7: { unit: 'other', metresPerUnit: 1000 },
  10: { unit: 'other', metresPerUnit: 0.9144 },
  14: { unit: 'other', metresPerUnit: 0.1 },
  21: { unit: 'ftUS', metresPerUnit: METRES_PER.ftUS },
};

function unitOf(insUnits: number | undefined): StatedUnit | undefined {
  const unit = insUnits === undefined ? undefined : INS_UNITS[insUnits];
  return unit === undefined ? undefined : { ...unit, from: `$INSUNITS ${insUnits}` };
}
