// What stands round the drawn ground. In: what was drawn, scale, units, words; out: SVG of legend, scale bar, north arrow,
// title block. Terms: swatch = a small sample beside its name; bar = the scale bar, in both units, the asked one on top.

import type { WorksKind } from '../../model/index.js';
import { METRES_PER } from '../../model/index.js';
import type { Units } from '../../write/index.js';
import { cut, esc, widthEm } from '../text.js';
import type { Key } from './layers.js';
import {
  type AreaName,
  CATEGORY_COLOURS,
  EXISTING_STYLE,
  GRADE_STYLES,
  GROUND_STYLE,
  type GradeArea,
  hatchOf,
  INK,
  KIND_STYLES,
  LINE_STYLES,
  type Mark,
  TAKEN_STYLES,
  VERDICT_STYLES,
} from './palette.js';
import { mm } from './svg.js';
import type { Signs } from './symbol-layer.js';
import { symbol } from './symbols.js';

export interface LegendEntry {
  readonly title: string;
  swatch(): string; // on 7 x 3.6 mm
}

/** Broken lines across a swatch: PATTERNS. */
const SWATCH_LINES: Readonly<Record<string, string>> = {
  fence: 'h2.2m.6,0h.4m.6,0h2.2m.6,0h.4',
  crown: `h.3${'m.9,0h.3'.repeat(5)}`,
};
const SWATCH = { width: 7, height: 3.6 };
const ROW_MM = 4.6;
const COLUMN_MM = 56;
const SIZE = 2.5; // of letters, mm

const DISPOSITION_TITLES = {
  remove: 'To be removed',
  transplant: 'To be transplanted',
  unknown: 'Fate not known: protected as if kept',
} as const;

/** Legend entries of what was drawn, in the order of the layers; `plain`: every tree bears the same sign. */
export function legendOf(
  keys: ReadonlySet<Key>,
  verdicts: readonly Mark[],
  dispositions: ReadonlySet<string>,
  signs: Signs,
  plain: boolean = false,
): LegendEntry[] {
  const entries: LegendEntry[] = (plain ? (['untouched'] as const) : verdicts).map((verdict) => ({
    title: plain ? 'Tree' : VERDICT_STYLES[verdict].title,
    swatch: () => symbol(verdict, 'keep', SWATCH.width / 2, SWATCH.height / 2, 1.3),
  }));
  for (const disposition of ['remove', 'transplant', 'unknown'] as const) {
    if (!dispositions.has(disposition)) continue;
    entries.push({
      title: DISPOSITION_TITLES[disposition],
      swatch: () =>
        symbol(
          verdicts.includes('none') ? 'none' : 'untouched',
          disposition,
          SWATCH.width / 2,
          SWATCH.height / 2 + 0.4,
          1,
        ),
    });
  }
  const ring = (title: string, stroke: string, width: number): LegendEntry => ({
    title,
    swatch: () =>
      `<circle cx="${SWATCH.width / 2}" cy="${SWATCH.height / 2}" r="1.4" fill="none" stroke="${stroke}" stroke-width="${width}"/>`,
  });
  if (signs.protected) entries.push(ring('Protected tree', INK, 0.25));
  for (const category of signs.categories)
    entries.push(ring(`Category ${category} (colour of BS 5837 from memory)`, CATEGORY_COLOURS[category], 0.7));
  if (signs.spread)
    entries.push({
      title: 'May stand in here: verdict open',
      swatch: () =>
        `<ellipse cx="${SWATCH.width / 2}" cy="${SWATCH.height / 2}" rx="2.2" ry="1.3" fill="none" stroke="${INK}" stroke-width="0.3" stroke-dasharray="0.9 0.5"/>`,
    });
  const area = (title: string, css: AreaName): LegendEntry => ({
    title,
    swatch: () => {
      const [x1, y1] = [SWATCH.width - 0.2, SWATCH.height - 0.2];
      const hatch = hatchOf(css, [[[0.2, 0.2, x1, 0.2, x1, y1, 0.2, y1]]]);
      return `<path class="rb-${css}" d="M.2,.2H${x1}V${y1}H.2z"/>${hatch}`;
    },
  });
  const line = (name: keyof typeof LINE_STYLES): LegendEntry => ({
    title: LINE_STYLES[name].title,
    swatch: () => {
      const d = SWATCH_LINES[name] ?? `h${SWATCH.width}`;
      return `<path class="rb-${name}" d="M0,${SWATCH.height / 2}${d}"/>`;
    },
  });
  for (const name of ['zone', 'ring', 'crown', 'fence', 'gate', 'lot', 'nearest'] as const)
    if (keys.has(name)) entries.push(line(name));
  for (const name of ['overlap', 'severed'] as const)
    if (keys.has(name)) entries.push(area(TAKEN_STYLES[name].title, name));
  for (const [kind, { title }] of Object.entries(KIND_STYLES))
    if (keys.has(`works:${kind}`)) entries.push(area(`Works: ${title.toLowerCase()}`, kind as WorksKind));
  for (const [name, { title }] of Object.entries(GRADE_STYLES))
    if (keys.has(`works:${name}`)) entries.push(area(title, name as GradeArea));
  if ([...keys].some((key) => key.endsWith(':off'))) {
    entries.push({
      title: 'Works that do not count',
      swatch: () => `<path class="rb-off" stroke="${INK}" stroke-width=".25" d="M.2,.2h6.6v3.2h-6.6z"/>`,
    });
  }
  if (keys.has('ground')) entries.push(area(GROUND_STYLE.title, 'ground'));
  if (keys.has('existing')) entries.push(area(EXISTING_STYLE.title, 'existing'));
  return entries;
}

/** How many columns of the legend a width holds, and how high it becomes. */
export function legendSize(entries: number, widthMm: number): { readonly columns: number; readonly heightMm: number } {
  const columns = Math.max(1, Math.min(Math.floor(widthMm / COLUMN_MM), Math.max(entries, 1)));
  return { columns, heightMm: Math.ceil(entries / columns) * ROW_MM };
}

/** The legend, filled column by column from the upper left corner (0, 0). */
export function drawLegend(entries: readonly LegendEntry[], widthMm: number): string {
  const { columns } = legendSize(entries.length, widthMm);
  const rows = Math.ceil(entries.length / columns);
  return entries
    .map(({ title, swatch }, i) => {
      const x = Math.floor(i / rows) * (widthMm / columns);
      const y = (i % rows) * ROW_MM;
      return (
        `<g transform="translate(${mm(x)} ${mm(y)})">${swatch()}` +
        `<text x="${SWATCH.width + 1.6}" y="2.7" font-size="${SIZE}">${esc(cut(title, 44))}</text></g>`
      );
    })
    .join('');
}

/** Steps that a bar may have, in its unit. */
const STEPS = [1, 2, 5, 10, 20, 25, 50, 100, 200, 250, 500];

/** A bar of four parts, at most `widthMm` long with its figures; metres and feet, the asked unit on top. */
export function drawScaleBar(perMetreMm: number, units: Units, widthMm: number): string {
  const order = units === 'us' ? (['ft', 'm'] as const) : (['m', 'ft'] as const);
  const bars = order.map((unit, i) => {
    const perUnit = perMetreMm * METRES_PER[unit];
    const step = [0.1, 0.2, 0.5, ...STEPS, ...STEPS.map((s) => s * 1000), ...STEPS.map((s) => s * 1e6)].reduce(
      (best, s) => (s * perUnit * 4 <= widthMm - 12 ? s : best),
      0.1,
    );
    const part = step * perUnit;
    const y = i * 8.5 + 3.5;
    let svg = '';
    for (let k = 0; k < 4; k++) {
      const fill = k % 2 === 0 ? INK : '#ffffff';
      svg += `<rect x="${mm(k * part)}" y="${mm(y)}" width="${mm(part)}" height="1.6" fill="${fill}" stroke="${INK}" stroke-width=".2"/>`;
    }
    const figures = [0, 2, 4].map((k) => {
      const text = `${Number((k * step).toFixed(2))}${k === 4 ? ` ${unit}` : ''}`;
      return `<text x="${mm(k * part)}" y="${mm(y - 0.9)}" font-size="2.3" text-anchor="${k === 0 ? 'start' : 'middle'}">${text}</text>`;
    });
    return svg + figures.join('');
  });
  return bars.join('');
}

/** Up is true north; grid north of the survey is the thin line, its angle in words beside. */
export function drawNorth(gridNorth: number | null, trueNorth: boolean): string {
  const angle = gridNorth === null || Math.abs(gridNorth) < 0.005 ? 0 : gridNorth;
  const grid =
    angle === 0
      ? ''
      : `<path d="M0,11.5L${mm(11 * Math.sin((angle * Math.PI) / 180))},${mm(11.5 - 11 * Math.cos((angle * Math.PI) / 180))}" stroke="${INK}" stroke-width=".15" stroke-dasharray=".9 .6" fill="none"/>`;
  const letter = trueNorth ? 'N' : 'GN';
  return (
    `<path d="M0,11.5V1.2" stroke="${INK}" stroke-width=".35" fill="none"/>` +
    `<path d="M0,.2L-2.1,5.6 0,4.6z" fill="${INK}" stroke="${INK}" stroke-width=".2"/>` +
    `<path d="M0,.2L2.1,5.6 0,4.6z" fill="#ffffff" stroke="${INK}" stroke-width=".2"/>${grid}` +
    `<circle cx="0" cy="11.5" r=".7" fill="${INK}"/>` +
    `<text x="0" y="15.2" font-size="3" font-weight="bold" text-anchor="middle">${letter}</text>`
  );
}

/** Where the drawing's up points, in words. */
export function northWords(gridNorth: number | null, code: string, local: boolean): string {
  if (local) return `Up is the north of ${code}; true north is not known`;
  if (gridNorth === null || Math.abs(gridNorth) < 0.005) return 'Up is true north';
  const side = gridNorth > 0 ? 'east' : 'west';
  return `Up is true north; grid north of ${code} is ${Math.abs(gridNorth).toFixed(2)}° ${side} of it`;
}

/** Lines of text from (0, 0) down; long ones are broken at spaces, and cut when they are too many. */
export function drawLines(
  lines: readonly { readonly text: string; readonly size: number; readonly bold?: boolean }[],
  widthMm: number,
  heightMm: number,
): string {
  let y = 0;
  let svg = '';
  for (const { text, size, bold } of lines) {
    const wide = bold === true ? 1.08 : 1;
    for (const line of wrapped(text, widthMm / size / wide)) {
      y += size * 1.28;
      if (y > heightMm) return svg;
      svg += `<text y="${mm(y - size * 0.25)}" font-size="${size}"${bold === true ? ' font-weight="bold"' : ''}>${esc(line)}</text>`;
    }
  }
  return svg;
}

/** Breaks a text at spaces so that no line is wider than so many em. */
export function wrapped(text: string, em: number): string[] {
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(' ')) {
    const longer = line === '' ? word : `${line} ${word}`;
    if (line === '' || widthEm(longer) <= em) line = longer;
    else {
      lines.push(line);
      line = word;
    }
  }
  lines.push(line);
  return lines.map((one) => {
    let fitting = one;
    while (fitting.length > 1 && widthEm(fitting) > em) fitting = `${fitting.slice(0, -2)}…`;
    return fitting;
  });
}
