// The layers of works (or of what exists): in: layers with what is said of each file; out: one WorksTable with every
// feature, cleaned geometry, and findings.
// Terms: overdig = working space added all round a kind; depth is unsigned, the kind carries the direction.

import {
  type Finding,
  GeometryColumns,
  type Layer,
  type LayerRole,
  WORKS_KINDS,
  type WorksInput,
  type WorksKind,
  type WorksTable,
} from '../model/index.js';
import { someOf } from '../text/index.js';
import { LengthColumn, textOf, WordColumn } from './columns.js';
import { WORKS_FIELDS, type WorksField } from './field-table.js';
import { resolveFields, type Sources } from './fields.js';
import { Keys } from './keys.js';
import { labelSources } from './labels.js';
import { Reporter, type UnknownWord } from './reporter.js';
import { ShapeCleaner } from './rings.js';
import { askForLayer } from './several.js';
import { fieldWords, type ValueOptions } from './words/index.js';

/** Kinds for which the depth decides whether they count or cut. */
const DEPTH_MATTERS: readonly WorksKind[] = ['paving', 'excavation', 'trench', 'fill', 'bore'];

export interface WorksOptions {
  /** Layers whose coordinates are longitudes and latitudes. */
  readonly degrees?: ReadonlySet<Layer>;
  readonly fields?: Readonly<Record<string, string>>;
  readonly overdigM?: Readonly<Partial<Record<WorksKind, number>>>;
  /** What words of these files mean: `works.kind.Sanitary lateral` -> `trench`. */
  readonly values?: ValueOptions;
}

interface Columns {
  readonly layerOf: Uint16Array;
  readonly rowInLayer: Uint32Array;
  readonly kind: Uint8Array;
  readonly depthM: Float64Array;
  readonly widthM: Float64Array;
  readonly overdigM: Float64Array;
  readonly heightM: Float64Array;
  readonly option: (string | undefined)[];
  readonly noDig: Uint8Array;
  readonly temporary: Uint8Array;
}

/**
 * Checks the works layers; several files become one table, in input order. Rows that can't be measured stay without
 * parts, with reasons in `rejected` (`no-geometry`, `geometry-broken`, `geometry-type`, `width-missing`,
 * `line-empty`, `ring-short`, `polygon-empty`, `ring-crossing`). `role` says whose field names `options.fields`
 * holds (`works.depth`, `existing.kind`).
 *
 * Throws InputError: `layer-several`, `unit-missing`, `field-missing`, `field-unknown` (usage).
 *
 * @example
 * const { table, findings } = checkWorks([{ layer, kind: 'paving' }], { overdigM: { building: 0.6 } });
 */
export function checkWorks(
  inputs: readonly WorksInput[],
  options: WorksOptions = {},
  role: LayerRole = 'works',
): { readonly table: WorksTable; readonly findings: readonly Finding[]; readonly words: readonly UnknownWord[] } {
  const findings: Finding[] = [];
  const layers = inputs.map((input) => input.layer);
  const sources = resolveFields(layers, role, WORKS_FIELDS, options, findings);
  const count = layers.reduce((sum, layer) => sum + layer.count, 0);
  const columns = emptyColumns(count);
  layers.forEach((layer, i) => {
    askForLayer(layer, role, findings, role === 'works' ? sources[i]?.kind?.[0]?.name : undefined);
  });
  const keys = new Keys();
  const writer = new GeometryColumns();
  const repaired = new Map<number, number>();
  const rejected = new Map<number, string[]>();
  const words: UnknownWord[] = [];
  let base = 0;
  inputs.forEach((input, i) => {
    const own = sources[i] ?? {};
    const out = new Reporter(input.layer, findings, base, rejected);
    keys.add(input.layer, own.id, labelSources(input.layer, 'name'), out);
    columns.layerOf.fill(i, base, base + input.layer.count);
    readRows(input, own, columns, role, out, options.values);
    writer.reserve(input.layer.geometry);
    cleanRows(columns, new ShapeCleaner(writer, out, repaired, options.degrees), out);
    words.push(...out.words);
    base += input.layer.count;
  });
  // Existing structures need no new pit.
  for (let row = 0; row < count && role === 'works'; row++) {
    columns.overdigM[row] = options.overdigM?.[WORKS_KINDS[columns.kind[row]!]!] ?? 0;
  }
  const table = { count, layers, key: keys.all.done(), ...columns, geometry: writer.take(), repaired, rejected };
  return { table, findings, words };
}

function emptyColumns(n: number): Columns {
  const lengths = (): Float64Array => new Float64Array(n).fill(Number.NaN);
  return {
    layerOf: new Uint16Array(n),
    rowInLayer: new Uint32Array(n),
    kind: new Uint8Array(n),
    depthM: lengths(),
    widthM: lengths(),
    overdigM: new Float64Array(n),
    heightM: lengths(),
    option: new Array<string | undefined>(n).fill(undefined),
    noDig: new Uint8Array(n),
    temporary: new Uint8Array(n),
  };
}

function readRows(
  input: WorksInput,
  sources: Sources<WorksField>,
  to: Columns,
  role: LayerRole,
  out: Reporter,
  values: ValueOptions | undefined,
): void {
  const { layer } = input;
  const length = (field: WorksField): LengthColumn =>
    new LengthColumn(field, WORKS_FIELDS[field], sources[field], role, out);
  const depth = length('depth');
  const width = length('width');
  const height = length('height');
  const words = (field: WorksField): WordColumn => new WordColumn(sources[field], fieldWords(role, field, values), out);
  const [kinds, noDig, temporary] = [words('kind'), words('no_dig'), words('temporary')];
  const fallback = input.kind ?? 'building';
  let assumed = 0;
  let withoutDepth = 0;
  for (let row = 0; row < layer.count; row++) {
    const at = out.base + row;
    to.rowInLayer[at] = row;
    const kind = kinds.read(layer, row, -1, -1);
    const used = !out.isSetAside(row);
    if (used && kind < 0 && input.kind === undefined) assumed++;
    const known = kind < 0 ? WORKS_KINDS.indexOf(fallback) : kind;
    to.kind[at] = known;
    to.depthM[at] = depth.read(layer, row);
    to.widthM[at] = width.read(layer, row);
    to.heightM[at] = height.read(layer, row);
    to.option[at] = textOf(sources.option, layer, row) ?? input.option;
    to.noDig[at] = noDig.read(layer, row, 0, 0);
    to.temporary[at] = temporary.read(layer, row, 0, 0);
    const unknownDepth = Number.isNaN(to.depthM[at]);
    if (used && unknownDepth && DEPTH_MATTERS.includes(WORKS_KINDS[known]!)) withoutDepth++;
  }
  kinds.report('value-unknown', fallback, 'feature');
  noDig.report('value-unknown', 'no', 'feature');
  temporary.report('value-unknown', 'no', 'feature');
  if (assumed > 0) {
    const one = 'does not say what it is and was taken as building';
    const several = 'do not say what they are and were taken as building';
    const message = someOf(assumed, layer.count, 'feature', one, several);
    out.sayOnce('kind-assumed', null, message, `fill in kind, or set it for the file (paving=${layer.name})`);
  }
  if (withoutDepth > 0 && role === 'works') {
    const one = 'has no depth and counts in full';
    const message = someOf(withoutDepth, layer.count, 'feature', one, 'have no depth and count in full');
    out.sayOnce('depth-unknown', null, message, 'fill in depth_m or depth_ft where it is known');
  }
}

function cleanRows(columns: Columns, cleaner: ShapeCleaner, out: Reporter): void {
  for (let row = 0; row < out.layer.count; row++) {
    const kind = cleaner.kindOf(row);
    if (out.isSetAside(row)) cleaner.none();
    else if (kind === 'polygon' || kind === 'multipolygon') cleaner.polygon(row);
    else if (kind === 'line' || kind === 'multiline') {
      if (columns.widthM[out.base + row]! > 0) cleaner.line(row);
      else {
        const message = 'a line of works needs its full width';
        out.refuse(
          'width-missing',
          'width-missing',
          row,
          null,
          message,
          'fill in width_m or width_ft, or draw a polygon',
        );
        cleaner.none();
      }
    } else {
      cleaner.refuse(
        row,
        'works are polygons, or lines with a width; this is a point',
        'draw it as a polygon or a line',
      );
    }
  }
}
