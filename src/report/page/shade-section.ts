// Sun and shade in the report. In: a ShadeResult; out: HTML: a small picture, a table of facades with twelve bars each, a
// table of trees. Terms: see model/facade.ts. Facades with most low summer sun kept off come first.

import type { Assessment, Facade, ShadeResult, SunShade, SunSums } from '../../model/index.js';
import { counted } from '../../text/index.js';
import { compass, type Figures } from '../figures.js';
import { shadeDrawing } from '../sheets/shade-drawing.js';
import { cut, esc } from '../text.js';

const FACADES_AT_MOST = 30;
const TREES_AT_MOST = 20;

/** '' where there is no facade. */
export function shadeHtml(assessment: Assessment, result: ShadeResult | undefined, figures: Figures): string {
  if (result === undefined || result.facades.length === 0) return '';
  const first = [...result.facades].sort((a, b) => lowWest(b) - lowWest(a));
  const rows = first.slice(0, FACADES_AT_MOST).map((facade) => row(facade, figures));
  const more = first.length - rows.length;
  const heads = ['Facade', 'Faces', 'Length', 'Summer sun, h', 'kept off', 'low from the west, h', 'kept off']
    .concat(['Winter sun, h', 'kept off', 'Month by month'])
    .map((title, i) => `<th scope="col"${i > 1 && i < 9 ? ' class="n"' : ''}>${title}</th>`);
  return [
    `<p>Direct sun on each wall of the proposed buildings, averaged over its face, and the share of it that trees which stay keep off. Low sun (under ${result.settings.lowSunDeg}°) of summer afternoons is what a crown can stop and an eave cannot; shade in winter is a loss.</p>`,
    shadeDrawing(assessment, result),
    `<div class="wide" tabindex="0" role="region" aria-label="Sun and shade of facades"><table><thead><tr>${heads.join('')}</tr></thead><tbody>${rows.join('\n')}</tbody></table></div>`,
    more > 0 ? `<p class="fine">${counted(more, 'more facade')}: the shade table has them all.</p>` : '',
    treesHtml(result, figures),
    '<p class="fine">Direct sun on flat ground alone: no light from the sky, no terrain, no heat; not an energy model. The pale bar is sun, the dark one what is kept off, January to December.</p>',
  ].join('\n');
}

function lowWest({ standing, lengthM, heightM }: Facade): number {
  return standing.lowWest.summer.shadeH * lengthM * heightM;
}

function row({ key, bearing, lengthM, standing }: Facade, figures: Figures): string {
  const { all, lowWest: low } = standing;
  const cells = [
    figures.length(lengthM),
    hours(all.summer),
    percent(all.summer),
    hours(low.summer),
    percent(low.summer),
    hours(all.winter),
    percent(all.winter),
  ];
  const faces = `${compass(bearing)} ${Math.round(bearing) % 360}°`;
  return `<tr><th scope="row"><bdi>${esc(cut(key, 40))}</bdi></th><td>${faces}</td>${cells.map((text) => `<td class="n">${text}</td>`).join('')}<td>${bars(all)}</td></tr>`;
}

const hours = ({ sunH }: SunShade): string => sunH.toFixed(0);
const percent = ({ sunH, shadeH }: SunShade): string => (sunH > 0 ? `${((shadeH / sunH) * 100).toFixed(0)} %` : '–');

const MOST_H = 420; // hours a month: more sun than any wall sees
const HIGH = 24;

/** Twelve bars: sun behind, what is kept off before it. */
function bars({ months }: SunSums): string {
  const bar = (month: number, value: number, css: string): string => {
    const high = Math.min(HIGH, (value / MOST_H) * HIGH);
    return high > 0.05
      ? `<rect class="${css}" x="${month * 6}" y="${(HIGH - high).toFixed(2)}" width="5" height="${high.toFixed(2)}"/>`
      : '';
  };
  const drawn = months.map(({ sunH, shadeH }, month) => bar(month, sunH, 'sun') + bar(month, shadeH, 'off'));
  return `<svg class="bars" viewBox="0 0 72 ${HIGH}" width="90" height="26" preserveAspectRatio="none" aria-hidden="true"><path d="M0 ${HIGH}H72" class="floor"/>${drawn.join('')}</svg>`;
}

function treesHtml({ trees }: ShadeResult, figures: Figures): string {
  if (trees.length === 0) return '<p>No tree keeps direct sun off any of these walls.</p>';
  const rows = trees.slice(0, TREES_AT_MOST).map((tree) => {
    const cells = [tree.lowWestSummerM2h, tree.summerM2h, tree.winterM2h].map(
      (value) => `<td class="n">${figures.area(value, false).replace(/\.\d+$/, '')}</td>`,
    );
    const note = tree.standing ? '' : 'goes';
    return `<tr><th scope="row"><bdi>${esc(cut(tree.key, 40))}</bdi></th>${cells.join('')}<td>${note}</td></tr>`;
  });
  return `<div class="wide" tabindex="0" role="region" aria-label="Shade tree by tree"><table><thead><tr><th scope="col">Tree</th><th scope="col" class="n">Low west sun kept off in summer, h ${figures.areaUnit}</th><th scope="col" class="n">All sun in summer, h ${figures.areaUnit}</th><th scope="col" class="n">All sun in winter, h ${figures.areaUnit}</th><th scope="col">Plan</th></tr></thead><tbody>${rows.join('\n')}</tbody></table></div><p class="fine">Hours times area of wall, that this tree keeps off and no other that stays${trees.length > TREES_AT_MOST ? `; the first ${TREES_AT_MOST} of ${trees.length}` : ''}.</p>`;
}
