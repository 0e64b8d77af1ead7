// How far our way to WGS 84 is from PROJ's. In: systems with their datum, shift and area of use; out: per system the metres
// between both in the middle of its area, and PROJ's operation there. Terms: see proj-ways.mjs.
// Costs a question to PROJ for each datum and middle that differ, and one process for each operation of PROJ's.

import { availableParallelism } from 'node:os';
import { compiled, inParallel } from './crs-compiled.mjs';
import { apart, middleOf, projPlaces, WaysOfProj } from './proj-ways.mjs';

/**
 * @param systems `{ code, geo, name, ellipsoid, pm, shift, area, known }`: known = PROJ knows the geographic system
 * @returns code -> `{ residualM, middle, best }`; none where PROJ has no operation without a grid
 */
export async function residuals(systems, projVersion) {
  const { transformFor } = await compiled()('transform');
  const proj = new WaysOfProj(projVersion);
  const asked = [];
  for (const system of systems) {
    if (system.area === null || system.area === undefined || !system.known) continue;
    const middle = middleOf(system.area);
    const { ellipsoid, pm, shift, name } = system;
    const text = `+proj=longlat ${ellipsoid}${pm === '' ? '' : ` +pm=${pm}`}${shift === '' ? '' : ` +towgs84=${shift}`} +no_defs`;
    const own = Float64Array.from(middle);
    transformFor({ kind: 'geographic', proj: text, datum: { name } }).fromLonLat(own);
    asked.push({ system, middle, own: [...own], best: null });
  }
  const questions = new Map(); // one for each datum and middle
  for (const one of asked) {
    const key = `${one.system.geo} ${one.middle.join(' ')}`;
    questions.set(key, [...(questions.get(key) ?? []), one]);
  }
  await inParallel([...questions.values()], availableParallelism() + 1, async (list) => {
    const [{ system, middle }] = list;
    const best = await proj.best(system.geo, middle);
    for (const one of list) one.best = best;
  });
  proj.save();
  const byPipeline = new Map();
  for (const one of asked) {
    if (one.best === null) continue;
    byPipeline.set(one.best.pipeline, [...(byPipeline.get(one.best.pipeline) ?? []), one]);
  }
  const found = new Map();
  await inParallel([...byPipeline], availableParallelism() + 1, async ([pipeline, list]) => {
    const places = await projPlaces(
      pipeline,
      list.map(({ own }) => own),
    );
    list.forEach(({ system, middle, best }, i) => {
      const residualM = apart(places[i], middle);
      if (!Number.isFinite(residualM)) throw new Error(`no place for EPSG:${system.code} by ${pipeline}`);
      found.set(system.code, { residualM, middle, best });
    });
  });
  return found;
}
