// Per-lot table and table of design options, where the assessment has them. In: an assessment; out: HTML or ''.
// Terms: as in types.ts.

import type { Assessment, Verdict } from '../types.js';
import { VERDICTS } from '../types.js';
import type { Figures } from './figures.js';
import { VERDICT_STYLES } from './palette.js';
import { esc } from './text.js';

/** Trees of each lot by verdict, counted by the lot the trunk stands on. */
export function lotsHtml(assessment: Assessment, figures: Figures): string {
  if (assessment.lots.length === 0) return '';
  const byLot = new Map<string, { verdicts: Map<Verdict, number>; removed: number; dbhM: number }>();
  for (const { lot, verdict, disposition, dbhM } of assessment.eachTree()) {
    const key = lot ?? '';
    let sum = byLot.get(key);
    if (sum === undefined) {
      sum = { verdicts: new Map(), removed: 0, dbhM: 0 };
      byLot.set(key, sum);
    }
    sum.verdicts.set(verdict, (sum.verdicts.get(verdict) ?? 0) + 1);
    if (disposition === 'remove') sum.removed++;
    sum.dbhM += dbhM ?? 0;
  }
  const names = [...new Set(assessment.lots.map(({ key }) => key)), ...(byLot.has('') ? [''] : [])];
  const rows = names.map((name) => {
    const sum = byLot.get(name);
    const cells = VERDICTS.map((verdict) => `<td class="n">${sum?.verdicts.get(verdict) ?? 0}</td>`);
    const all = [...(sum?.verdicts.values() ?? [])].reduce((a, b) => a + b, 0);
    const head = name === '' ? 'on no lot' : `<bdi>${esc(name)}</bdi>`;
    return `<tr><th scope="row">${head}</th><td class="n">${all}</td>${cells.join('')}<td class="n">${sum?.removed ?? 0}</td><td class="n">${figures.diameter(sum?.dbhM ?? 0, false)}</td></tr>`;
  });
  const heads = VERDICTS.map((verdict) => `<th scope="col" class="n">${VERDICT_STYLES[verdict].title}</th>`).join('');
  return `<div class="wide" tabindex="0" role="region" aria-label="Lots"><table><thead><tr><th scope="col">Lot</th><th scope="col" class="n">Trees</th>${heads}<th scope="col" class="n">To be removed</th><th scope="col" class="n">Sum of diameters ${figures.diameterUnit}</th></tr></thead><tbody>${rows.join('\n')}</tbody></table></div>`;
}

/** Not in this version of the assessment. */
export function optionsHtml(_assessment: Assessment, _figures: Figures): string {
  return '';
}
