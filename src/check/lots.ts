// The lot layer: in: a Layer; out: a LotTable with every feature, cleaned geometry, and findings.
// Terms: lot = a parcel; only polygons are lots.

import type { Finding, Layer, LotTable } from '../model/index.js';
import { GeometryColumns } from '../model/index.js';
import { LOT_FIELDS } from './field-table.js';
import { resolveFields } from './fields.js';
import { Keys } from './keys.js';
import { labelSources } from './labels.js';
import { Reporter } from './reporter.js';
import { ShapeCleaner } from './rings.js';
import { askForLayer } from './several.js';

/**
 * Checks a lot layer. Rows that are not lots stay without parts, with reasons in `rejected` (`no-geometry`,
 * `geometry-broken`, `geometry-type`, `ring-short`, `polygon-empty`, `ring-crossing`).
 *
 * Throws InputError: `layer-several`, `field-missing`, `field-unknown` (usage).
 *
 * @example
 * const { table } = checkLots(layer, { fields: { 'lots.id': 'PARCEL' } });
 */
export function checkLots(
  layer: Layer,
  options: { readonly fields?: Readonly<Record<string, string>>; readonly degrees?: ReadonlySet<Layer> } = {},
): { readonly table: LotTable; readonly findings: readonly Finding[] } {
  const findings: Finding[] = [];
  askForLayer(layer, 'lots', findings);
  const sources = resolveFields([layer], 'lots', LOT_FIELDS, options, findings)[0] ?? {};
  const out = new Reporter(layer, findings);
  const keys = new Keys();
  keys.add(layer, sources.id, labelSources(layer, 'name'), out);
  const writer = new GeometryColumns();
  const repaired = new Map<number, number>();
  const cleaner = new ShapeCleaner(writer, out, repaired, options.degrees);
  for (let row = 0; row < layer.count; row++) {
    const kind = cleaner.kindOf(row);
    if (out.isSetAside(row)) cleaner.none();
    else if (kind === 'polygon' || kind === 'multipolygon') cleaner.polygon(row);
    else cleaner.refuse(row, 'a lot is a polygon; this is a point or a line', 'draw the lot as a closed polygon');
  }
  const geometry = writer.take();
  return {
    table: { layer, count: layer.count, key: keys.all.done(), geometry, repaired, rejected: out.rejected },
    findings,
  };
}
