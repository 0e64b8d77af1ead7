// In: what a text says about its datum; out: the matching rows of the table, or the parts of a new datum.
// Terms: see stated.ts and crs-table.ts. A datum is identified by its name and its ellipsoid together, never by one alone.

import type { Crs } from '../../model/index.js';
import { type DatumRow, datumCount, datumPart, datumRow, simplified } from '../crs-table.js';
import { projection } from '../projection.js';
import type { Earth } from '../stated.js';

const DEGREE = Math.PI / 180;

const ensembleless = (name: string): string => name.replace(/ensemble$/, '');

function sameDatum(row: DatumRow, e: Earth): boolean {
  const own = [simplified(row.name), ...row.otherNames.map(ensembleless)];
  return e.names.some((name) => own.includes(ensembleless(name))) && sameEllipsoid(row, e);
}

/** Half-axes within a centimetre: texts round them. The sphere of Web Mercator stands for its ellipsoid. */
function sameEllipsoid(row: DatumRow, e: Earth): boolean {
  const p = projection(`+proj=longlat ${datumPart(row)}`);
  const sphere = p.es < 1e-12;
  const b = e.rf === 0 ? e.a : e.a * (1 - 1 / e.rf);
  const pm = (p.from_greenwich ?? 0) / DEGREE;
  if (Math.abs(pm - e.pm) > 1e-5) return false;
  return Math.abs(p.a - e.a) < 0.01 && (sphere || Math.abs(p.a * Math.sqrt(1 - p.es) - b) < 0.01);
}

/** Rows of the table that are this datum: by a name of it, and its ellipsoid and prime meridian. */
export function datumsOf(e: Earth): ReadonlySet<number> {
  const found = new Set<number>();
  for (let i = 0; i < datumCount(); i++) if (sameDatum(datumRow(i), e)) found.add(i);
  return found;
}

/** The datum part for a system composed from a text, and a remark about it. */
export function ownDatum(e: Earth): { readonly part: string; readonly about: Crs['datum'] } {
  const known = [...datumsOf(e)].map(datumRow)[0];
  if (known !== undefined) {
    const { name, operation, accuracyM } = known;
    return { part: datumPart(known), about: { name, operation, accuracyM } };
  }
  const ellipsoid = `+a=${e.a} ${e.rf === 0 ? `+b=${e.a}` : `+rf=${e.rf}`}`;
  const stated = e.shift?.some((v) => v !== 0) ? e.shift.join(',') : '';
  const operation = stated === '' ? 'unknown: taken as WGS 84' : 'shift stated by the file (TOWGS84)';
  const pm = e.pm === 0 ? '' : String(e.pm);
  return {
    part: datumPart({ ellipsoid, pm, shift: stated }),
    about: { name: e.label || 'unnamed datum', operation, accuracyM: null },
  };
}
