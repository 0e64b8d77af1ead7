// The drawing of a job in which no tree has a position. In: an assessment, options; out: SVG that says so.
// Terms: see plan.ts.

import type { Assessment } from '../../model/index.js';
import { mm } from '../drawing/svg.js';
import { NOT_A_VERDICT, type PlanOptions, titleOf, unitsOf } from '../options.js';
import { esc } from '../text.js';
import { type Sheet, sheetsNamed } from './sheet.js';

export function drawEmptyPlan(assessment: Assessment, options: PlanOptions): string {
  const why = assessment.shown === undefined ? 'no tree has a position' : 'no tree that is shown has a position';
  const units = unitsOf(options);
  const [sheet] = sheetsNamed(options.sheet ?? (units === 'us' ? 'tabloid' : 'A3')) as readonly [Sheet];
  const words = [titleOf(assessment, options), `There is nothing to draw: ${why}.`, NOT_A_VERDICT];
  const text = words.map((line, i) => `<text x="20" y="${30 + i * 8}" font-size="4.5">${esc(line)}</text>`).join('');
  return (
    `<svg xmlns="http://www.w3.org/2000/svg" width="${mm(sheet.widthMm)}mm" height="${mm(sheet.heightMm)}mm" ` +
    `viewBox="0 0 ${mm(sheet.widthMm)} ${mm(sheet.heightMm)}" font-family="Arial, Helvetica, sans-serif">` +
    `<title>${esc(words[1]!)}</title><rect width="100%" height="100%" fill="#ffffff"/>${text}</svg>\n`
  );
}
