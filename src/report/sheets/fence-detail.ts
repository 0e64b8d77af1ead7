// The fence drawn to scale, from outside: two posts with what hangs between them, a gate, the ground, and the sign by itself
// so that its words can be read. In: details of the fence, units; out: SVG in millimetres of paper.
// Terms: ratio = ground to paper (50 in 1:50); bay = from post to post; stub = a short piece of the bays that follow.
// Everything lies within what A4 and letter hold between margins of 10 mm, so that it prints at its scale. Cost: constant.

import { type FenceDetails, lengthInMetres } from '../../model/index.js';
import type { Units } from '../../write/index.js';
import { drawScaleBar } from '../drawing/furniture.js';
import { mm } from '../drawing/svg.js';
import type { Figures } from '../figures.js';
import { cut, esc, widthEm } from '../text.js';
import { drawElevation, type Labels, LEFT, type Sizes, text } from './fence-elevation.js';
import type { Scale } from './sheet.js';

/** Wide enough for three posts; A4 less margins of 10 mm is 190 mm wide. */
const WIDE = 186;
const RIGHT = 4;
const TALLEST = 62; // above and below the ground together
const SIGN_WIDE = 92;
const SIGN_TALL = 46;
const STUB_M = 0.5; // at least: a sign may be wider than its bay
const EYE_M = 1.4; // middle of the sign above the ground

const METRIC = [1, 2, 5, 10, 20, 25, 50, 75, 100, 125, 150, 200, 250, 300, 400, 500, 600, 750, 1000];
/** Inches of paper to a foot, as such details are drawn. */
const FOOT_SCALES: readonly (readonly [inches: string, ratio: number])[] = [
  ['12', 1],
  ['6', 2],
  ['3', 4],
  ['1 1/2', 8],
  ['1', 12],
  ['3/4', 16],
  ['1/2', 24],
  ['3/8', 32],
  ['1/4', 48],
  ['3/16', 64],
  ['1/8', 96],
  ['3/32', 128],
  ['1/16', 192],
  ['1/32', 384],
  ['1/64', 768],
];

export interface FenceDrawing {
  readonly svg: string;
  readonly scale: Scale;
  readonly signScale: Scale;
}

/** The largest scale at which so many metres fit. */
function scaleFor(units: Units, widthM: number, widthMm: number, heightM: number, heightMm: number): Scale {
  const least = Math.max((widthM * 1000) / widthMm, (heightM * 1000) / heightMm);
  if (units === 'metric') {
    const ratio = METRIC.find((one) => one >= least) ?? Math.ceil(least);
    return { ratio, label: `1:${ratio}` };
  }
  const [inches, ratio] = FOOT_SCALES.find(([, one]) => one >= least) ?? ['', Math.ceil(least)];
  return { ratio, label: inches === '' ? `1:${ratio}` : `${inches} in = 1 ft (1:${ratio})` };
}

/**
 * A length as its file writes it; where that is in the other units, in those of the report first.
 *
 * @example
 * asWritten('6 ft', 'metric', figuresIn('metric')); // '1.83 m (6 ft)'
 */
export function asWritten(value: string, units: Units, figures: Figures): string {
  const isMetric = /\d\s*(?:[cm]?m|(?:centi|milli)?met(?:re|er)s?)\s*$/i.test(value);
  if (isMetric === (units === 'metric')) return value.trim();
  return `${figures.length(lengthInMetres(value) ?? null)} (${value.trim()})`;
}

const metres = (value: string): number => lengthInMetres(value) ?? 0;

/** What there is to draw besides the details themselves. */
export interface FenceDrawingOptions {
  readonly units: Units;
  readonly figures: Figures;
  /** Most between two posts, as the job has it. */
  readonly spacingM: number;
  readonly spacingWords: string;
  /** Words of the sign. */
  readonly signLines: readonly string[];
}

export function drawFenceDetail(fence: FenceDetails, options: FenceDrawingOptions): FenceDrawing {
  const { units, figures, spacingM } = options;
  const [heightM, signHeightM] = [metres(fence.height.value), metres(fence.signSize.height)];
  const middleM = Math.max(signHeightM / 2, Math.min(EYE_M, heightM * 0.62));
  const signWidthM = metres(fence.signSize.width);
  const sizes: Sizes = {
    heightM,
    spacingM,
    stubM: Math.max(STUB_M, (signWidthM - spacingM) / 2),
    depthM: metres(fence.postDepth.value),
    gateM: metres(fence.gate.width),
    signWidthM,
    signHeightM,
    middleM,
    topM: Math.max(heightM, middleM + signHeightM / 2),
  };
  const { stubM, depthM, gateM, topM } = sizes;
  const lengthM = 2 * stubM + spacingM + gateM;
  const scale = scaleFor(units, lengthM, WIDE - LEFT - RIGHT, topM + depthM, TALLEST);
  const signScale = scaleFor(units, signWidthM, SIGN_WIDE, signHeightM, SIGN_TALL);
  const words: Labels = {
    height: asWritten(fence.height.value, units, figures),
    depth: asWritten(fence.postDepth.value, units, figures),
    spacing: `at most ${options.spacingWords}`,
    gate: `gate ${asWritten(fence.gate.width, units, figures)}`,
    material: fence.material.value,
  };
  const elevation = drawElevation(sizes, words, 1000 / scale.ratio);
  const signTop = elevation.bottom + 8;
  const [signWide, signTall] = [signWidthM, signHeightM].map((one) => (one * 1000) / signScale.ratio) as [
    number,
    number,
  ];
  const bottom = signTop + Math.max(signTall, 25) + 1;
  const aside = Math.max(signWide + 10, 60);
  const about = [
    `Fence ${scale.label}, sign ${signScale.label}:`,
    'true when printed at 100 %; on a screen',
    'go by the bar, which is for the fence.',
  ];
  const svg = [
    `<svg class="rb-draw rb-detail" xmlns="http://www.w3.org/2000/svg" width="${WIDE}mm" height="${mm(bottom)}mm" viewBox="0 0 ${WIDE} ${mm(bottom)}" role="img" aria-label="${esc(labelOf(words, scale, signScale))}">`,
    text(0, 3.2, `Fence from outside, ${scale.label}`, { bold: true, size: 3 }),
    elevation.svg,
    text(0, signTop - 2, `Sign A, ${signScale.label}`, { bold: true, size: 3 }),
    `<g class="pf-sign-detail" data-ratio="${signScale.ratio}" transform="translate(.5 ${mm(signTop)})">${drawSign(options.signLines, signWide, signTall)}</g>`,
    `<g transform="translate(${mm(aside)} ${mm(signTop)})">${drawScaleBar(1000 / scale.ratio, units, WIDE - aside - 8)}`,
    about.map((line, i) => text(0, 17.4 + i * 3.4, line, { size: 2.5 })).join(''),
    '</g></svg>',
  ].join('');
  return { svg, scale, signScale };
}

function labelOf({ height, spacing, gate }: Labels, scale: Scale, signScale: Scale): string {
  return cut(
    `Fence detail at ${scale.label}: ${height} high, posts ${spacing} apart, ${gate}; its sign at ${signScale.label}`,
    300,
  );
}

/** A sign with its words as large as they fit, the first line largest. */
function drawSign(lines: readonly string[], wide: number, tall: number): string {
  const pad = Math.min(2.5, wide * 0.06, tall * 0.06);
  const shares = lines.map((_, i) => (i === 0 ? 1.5 : i === 1 ? 1.25 : 1));
  const unit = (tall - 2 * pad) / shares.reduce((sum, one) => sum + one, 0);
  let y = pad;
  const words = lines.map((line, i) => {
    const high = shares[i]! * unit;
    const bold = i < 2;
    const size = Math.min(high * 0.72, (wide - 2 * pad) / (widthEm(line) * (bold ? 1.1 : 1.02)));
    y += high;
    // Whatever the font is: no wider than it is here.
    const most = widthEm(line) * size * (bold ? 1.08 : 1);
    return text(wide / 2, y - high / 2 + size * 0.36, line, { middle: true, bold, size, widthMm: most });
  });
  return `<rect class="pf-board" width="${mm(wide)}" height="${mm(tall)}"/>${words.join('')}`;
}
