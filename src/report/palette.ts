// Colours, hatches and line styles of our drawings. In: nothing; out: tables per kind, verdict and role, SVG patterns, CSS.
// Terms: ink = the colour of lines and hatch, ground = the tint under them.
// The palette is our own: tints step in luminance, hues part along blue-yellow, hatches differ, so that it holds for eyes
// that do not part red from green and on grey paper. tests/report-palette.test.ts simulates both.

import type { Verdict, WorksKind } from '../types.js';

export const INK = '#1b1b1f';

interface Hatched {
  readonly title: string;
  readonly ground: string;
  readonly ink: string;
  readonly tile: readonly [widthMm: number, heightMm: number];
  readonly hatch: string; // SVG on one tile, drawn in the ink
}

const stroke = (d: string, width: number): string => `<path d="${d}" stroke-width="${width}"/>`;

/** Each kind of works: a tint and a hatch of its own. */
export const KIND_STYLES: Readonly<Record<WorksKind, Hatched>> = {
  building: {
    title: 'Building',
    ground: '#91a4b4',
    ink: '#2c3947',
    tile: [2, 2],
    hatch: stroke('M-.5,.5l1,-1M0,2L2,0M1.5,2.5l1,-1', 0.22),
  },
  paving: {
    title: 'Paving',
    ground: '#f9f6f0',
    ink: '#7d7666',
    tile: [2.4, 2.4],
    hatch: '<circle cx=".6" cy=".6" r=".2"/><circle cx="1.8" cy="1.8" r=".2"/>',
  },
  excavation: {
    title: 'Excavation',
    ground: '#c0a181',
    ink: '#6a3d12',
    tile: [2.2, 2.2],
    hatch: stroke('M0,0L2.2,2.2M0,2.2L2.2,0', 0.18),
  },
  trench: {
    title: 'Trench',
    ground: '#6caef5',
    ink: '#123a80',
    tile: [1.2, 1.2],
    hatch: stroke('M.6,0V1.2', 0.3),
  },
  fill: {
    title: 'Fill',
    ground: '#e3de6b',
    ink: '#6b6100',
    tile: [2.6, 2.6],
    hatch: stroke('M.4,1.2l.6,-.7l.6,.7M1.5,2.4l.6,-.7l.6,.7', 0.2),
  },
  compaction: {
    title: 'Compaction',
    ground: '#e9b8ee',
    ink: '#6d2f5f',
    tile: [2, 1.4],
    hatch: stroke('M0,.4H1.2M1,1.1H2', 0.28),
  },
  bore: {
    title: 'Bore',
    ground: '#a2cfc9',
    ink: '#0d5f5a',
    tile: [2.4, 2.4],
    hatch: '<circle cx="1.2" cy="1.2" r=".6" fill="none" stroke-width=".22"/>',
  },
};

/** Surface or structure that stands today. */
export const EXISTING_STYLE: Hatched = {
  title: 'Existing surface or structure',
  ground: '#e7e7e7',
  ink: '#9a9a9a',
  tile: [3, 3],
  hatch: stroke('M0,1.5H3', 0.15),
};

/** Ground between a fence and the works, to be covered. */
export const GROUND_STYLE: Hatched = {
  title: 'Ground to be protected outside the fence',
  ground: '#ffffff',
  ink: '#5a5a5a',
  tile: [2, 2],
  hatch: stroke('M1,.5v1M.5,1h1', 0.16),
};

/** What the works take, and what they cut off: laid over the works, so without a ground of full strength. */
export const TAKEN_STYLES: Readonly<Record<'overlap' | 'severed', Hatched>> = {
  overlap: {
    title: 'Overlap: zone taken by works',
    ground: '#f59804',
    ink: '#5c2e00',
    tile: [1.5, 1.5],
    hatch: stroke('M0,0L1.5,1.5M-.4,1.1l.8,.8M1.1,-.4l.8,.8', 0.2),
  },
  severed: {
    title: 'Severed: zone cut off behind works',
    ground: '#7772c4',
    ink: '#3b1a75',
    tile: [1.8, 1.8],
    hatch: '<circle cx=".9" cy=".9" r=".32"/>',
  },
};

/** Verdicts: from light to dark as they get worse, straw to violet to black; each has a symbol of its own (symbols.ts). */
export const VERDICT_STYLES: Readonly<Record<Verdict, { readonly title: string; readonly fill: string }>> = {
  untouched: { title: 'Untouched', fill: '#fdf3c4' },
  'within-limit': { title: 'Within the limit', fill: '#d8a93a' },
  'over-limit': { title: 'Over the limit', fill: '#8a4fb5' },
  'stem-in-works': { title: 'Stem in the works', fill: '#1d0b33' },
  'not-assessed': { title: 'Not assessed', fill: '#ffffff' },
};

/** Lines: width in mm, dashes in mm. */
export const LINE_STYLES = {
  lot: { title: 'Lot', ink: '#55555c', width: 0.25, dash: '3.6 .8 .5 .8' },
  zone: { title: 'Root protection zone', ink: '#0b4a4f', width: 0.35, dash: '' },
  ring: { title: 'Ring of the rule', ink: '#0b4a4f', width: 0.22, dash: '1.4 .8' },
  crown: { title: 'Crown', ink: '#6b7a2a', width: 0.22, dash: '.3 .9' },
  fence: { title: 'Protection fence', ink: '#000000', width: 0.4, dash: '2.2 .6 .4 .6' },
  gate: { title: 'Gate', ink: '#000000', width: 0.8, dash: '.25 .45' },
  nearest: { title: 'Nearest works', ink: '#1b1b1f', width: 0.3, dash: '' },
} as const;

/** Pattern elements, referred to as url(#rbh-building). One set serves every drawing of a page. */
export function patternDefs(only: ReadonlySet<string>): string {
  const styles: readonly (readonly [string, Hatched])[] = [
    ...Object.entries(KIND_STYLES),
    ['existing', EXISTING_STYLE],
    ['ground', GROUND_STYLE],
    ...Object.entries(TAKEN_STYLES),
  ];
  return styles
    .filter(([name]) => only.has(name))
    .map(([name, { ground, ink, tile, hatch }]) => {
      const [width, height] = tile;
      const opacity = Object.hasOwn(TAKEN_STYLES, name)
        ? ' fill-opacity=".72"'
        : name === 'ground'
          ? ' fill-opacity=".4"'
          : '';
      const drawn = hatch.startsWith('<circle')
        ? `fill="${ink}" stroke="${hatch.includes('fill="none"') ? ink : 'none'}"`
        : `fill="none" stroke="${ink}"`;
      return (
        `<pattern id="rbh-${name}" width="${width}" height="${height}" patternUnits="userSpaceOnUse">` +
        `<rect width="${width}" height="${height}" fill="${ground}"${opacity}/><g ${drawn}>${hatch}</g></pattern>`
      );
    })
    .join('');
}

/** Every name a pattern has. */
export const PATTERN_NAMES: ReadonlySet<string> = new Set([
  ...Object.keys(KIND_STYLES),
  'existing',
  'ground',
  ...Object.keys(TAKEN_STYLES),
]);

const lineRule = (name: keyof typeof LINE_STYLES): string => {
  const { ink, width, dash } = LINE_STYLES[name];
  const dashes = dash === '' ? '' : `;stroke-dasharray:${dash}`;
  return `.rb-${name}{fill:none;stroke:${ink};stroke-width:${width}${dashes}}`;
};

/** Style sheet of a drawing; its classes all begin with rb-. */
export const DRAWING_CSS: string = [
  '.rb-draw text{font-family:Arial,Helvetica,"Liberation Sans",sans-serif;fill:#1b1b1f}',
  ...(Object.keys(LINE_STYLES) as (keyof typeof LINE_STYLES)[]).map(lineRule),
  ...(Object.keys(KIND_STYLES) as WorksKind[]).map(
    (kind) => `.rb-${kind}{fill:url(#rbh-${kind});stroke:${KIND_STYLES[kind].ink};stroke-width:.25}`,
  ),
  `.rb-existing{fill:url(#rbh-existing);stroke:${EXISTING_STYLE.ink};stroke-width:.18}`,
  `.rb-ground{fill:url(#rbh-ground);stroke:none;fill-rule:evenodd}`,
  '.rb-off{fill:none;stroke-dasharray:1 .7}',
  ...(['overlap', 'severed'] as const).map(
    (name) => `.rb-${name}{fill:url(#rbh-${name});stroke:${TAKEN_STYLES[name].ink};stroke-width:.2;fill-rule:evenodd}`,
  ),
  '.rb-works path,.rb-works{fill-rule:evenodd}',
  `.rb-sym{stroke:${INK};stroke-width:.2}`,
  '.rb-lead{stroke:#1b1b1f;stroke-width:.12;fill:none}',
  '.rb-lab{paint-order:stroke;stroke:#fff;stroke-width:.5;stroke-linejoin:round}',
  '.rb-frame{fill:none;stroke:#1b1b1f;stroke-width:.35}',
].join('\n');
