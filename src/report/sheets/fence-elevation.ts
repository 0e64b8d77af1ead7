// A fence from outside, as lines on paper. In: sizes in metres, words, the scale; out: SVG in millimetres, y running down.
// Terms: stub = a short piece of the bays that follow; foot = where posts end below the ground. Cost: constant.

import { wrapped } from '../drawing/furniture.js';
import { type Hatch, hatchPath } from '../drawing/hatch.js';
import { mm } from '../drawing/svg.js';
import { esc, widthEm } from '../text.js';

export const LEFT = 18; // of the first stub: room for the heights
const SIZE = 2.7; // of letters
const POST_M = 0.06; // as drawn: common practice, no source
const GAP_M = 0.05; // below the gate's leaves

const MESH: Hatch = {
  width: 0.1,
  families: [
    { along: [1, -1], step: 1.5, first: 0 },
    { along: [1, 1], step: 1.5, first: 0 },
  ],
};
const EARTH: Hatch = { width: 0.18, families: [{ along: [1, -1], step: 1.6, first: 0 }] };

/** What is drawn, in metres, and how it is written. */
export interface Sizes {
  readonly heightM: number;
  readonly spacingM: number;
  readonly stubM: number;
  readonly depthM: number;
  readonly gateM: number;
  readonly signWidthM: number;
  readonly signHeightM: number;
  readonly middleM: number; // of the sign, above the ground
  readonly topM: number; // of fence or sign
}

export interface Labels {
  readonly height: string;
  readonly depth: string;
  readonly spacing: string;
  readonly gate: string;
  readonly material: string;
}

/** Posts, mesh, gate, ground and dimensions; `bottom` is where the drawing ends, mm. */
export function drawElevation(
  sizes: Sizes,
  words: Labels,
  perMetre: number,
): { readonly svg: string; readonly bottom: number } {
  const { heightM, spacingM, stubM, depthM, gateM, topM } = sizes;
  const ground = 10 + topM * perMetre;
  const x = (m: number): number => LEFT + (stubM + m) * perMetre;
  const y = (m: number): number => ground - m * perMetre;
  const ends = [0, spacingM, spacingM + gateM].map(x) as [number, number, number];
  const [first, last] = [x(-stubM), x(spacingM + gateM + stubM)];
  const top = y(heightM);
  const foot = y(-depthM);
  const half = Math.max(POST_M * perMetre, 0.5) / 2;
  const mesh = [
    [first, ends[0]],
    [ends[0], ends[1]],
    [ends[2], last],
  ].map(([a, b]) => [a!, top, b!, top, b!, ground, a!, ground]);
  const posts = ends.map((at) => {
    const rect = `x="${mm(at - half)}" width="${mm(2 * half)}"`;
    const below = depthM > 0 ? `<rect class="pf-buried" ${rect} y="${mm(ground)}" height="${mm(foot - ground)}"/>` : '';
    return `<rect class="pf-post" ${rect} y="${mm(top)}" height="${mm(ground - top)}"/>${below}`;
  });
  const strip = Math.min(2, Math.max(foot - ground, 1.2));
  const earth = [first, ground, last, ground, last, ground + strip, first, ground + strip];
  const { svg: dims, bottom } = dimensions(words, ends, top, ground, foot);
  return {
    svg: [
      `<path class="pf-mesh" d="${hatchPath(mesh, MESH)}"/><path class="pf-earth" d="${hatchPath([earth], EARTH)}"/>`,
      `<path class="pf-line" d="M${mm(first)},${mm(top)}H${mm(ends[1])}M${mm(ends[2])},${mm(top)}H${mm(last)}${breaks(first, top, ground)}${breaks(last, top, ground)}"/>`,
      `<path class="pf-ground" d="M${mm(first - 2)},${mm(ground)}H${mm(last + 2)}"/>`,
      posts.join(''),
      drawGate(ends[1] + half, ends[2] - half, top, y(Math.min(GAP_M, heightM / 4))),
      signInPlace(sizes, (ends[0] + ends[1]) / 2, y, perMetre),
      text((ends[0] + ends[1]) / 2, y(topM) - 1.6, fitted(words.material, ends[1] - ends[0] + 20), { middle: true }),
      dims,
    ].join(''),
    bottom,
  };
}

/** A long break line at the end of a stub. */
function breaks(at: number, top: number, ground: number): string {
  const middle = (top + ground) / 2;
  return `M${mm(at)},${mm(top - 1)}V${mm(middle - 1)}l1,.6-2,.8 1,.6V${mm(ground)}`;
}

/** Two leaves, braced. */
function drawGate(left: number, right: number, top: number, bottom: number): string {
  const middle = (left + right) / 2;
  const leaf = (a: number, b: number): string => `M${mm(a)},${mm(top)}H${mm(b)}V${mm(bottom)}H${mm(a)}z`;
  const gap = Math.min(0.3, (right - left) / 8);
  return [
    `<path class="pf-mesh" d="${hatchPath([[left, top, right, top, right, bottom, left, bottom]], MESH)}"/>`,
    `<path class="pf-line" d="${leaf(left + gap, middle - gap)}${leaf(middle + gap, right - gap)}M${mm(left + gap)},${mm(bottom)}L${mm(middle - gap)},${mm(top)}M${mm(right - gap)},${mm(bottom)}L${mm(middle + gap)},${mm(top)}"/>`,
  ].join('');
}

function signInPlace(
  { signWidthM, signHeightM, middleM }: Sizes,
  at: number,
  y: (m: number) => number,
  perMetre: number,
): string {
  const [wide, tall] = [signWidthM * perMetre, signHeightM * perMetre];
  const letter = Math.min(4, tall * 0.8, wide);
  return (
    `<rect class="pf-sign" x="${mm(at - wide / 2)}" y="${mm(y(middleM) - tall / 2)}" width="${mm(wide)}" height="${mm(tall)}"/>` +
    text(at, y(middleM) + letter * 0.36, 'A', { middle: true, bold: true, size: letter })
  );
}

/** Height and depth at the left; spacing and gate below, the gate's a row lower where its words need the room. */
function dimensions(
  words: Labels,
  [a, b, c]: readonly [number, number, number],
  top: number,
  ground: number,
  foot: number,
): { readonly svg: string; readonly bottom: number } {
  const row = Math.max(foot, ground + 2) + 6.5;
  const fits = widthEm(words.spacing) * SIZE < b - a && widthEm(words.gate) * SIZE < c - b;
  const lower = fits ? row : row + 6;
  return {
    svg: [
      upright(LEFT - 6, top, ground, words.height),
      foot > ground ? upright(LEFT - 6, ground, foot, words.depth) : '',
      level(a, b, row, words.spacing),
      level(b, c, lower, words.gate),
      `<path class="pf-thin" d="M${mm(LEFT - 8)},${mm(top)}H${mm(LEFT - 1)}M${mm(LEFT - 8)},${mm(ground)}H${mm(LEFT - 3)}${foot > ground ? `M${mm(LEFT - 8)},${mm(foot)}H${mm(LEFT - 1)}` : ''}"/>`,
      `<path class="pf-thin" d="${[a, b].map((at) => `M${mm(at)},${mm(foot + 1.5)}V${mm(row + 1.5)}`).join('')}M${mm(c)},${mm(foot + 1.5)}V${mm(lower + 1.5)}${fits ? '' : `M${mm(b)},${mm(row + 1.5)}V${mm(lower + 1.5)}`}"/>`,
    ].join(''),
    bottom: lower + 3,
  };
}

const TICK = 'm-.9,.9l1.8-1.8';

function level(from: number, to: number, at: number, words: string): string {
  return (
    `<path class="pf-dim" d="M${mm(from)},${mm(at)}H${mm(to)}M${mm(from)},${mm(at)}${TICK}M${mm(to)},${mm(at)}${TICK}"/>` +
    text((from + to) / 2, at - 1, words, { middle: true })
  );
}

/** Words beside it run up where they fit, else level to its left. */
function upright(at: number, from: number, to: number, words: string): string {
  const middle = (from + to) / 2;
  const line = `<path class="pf-dim" d="M${mm(at)},${mm(from)}V${mm(to)}M${mm(at)},${mm(from)}${TICK}M${mm(at)},${mm(to)}${TICK}"/>`;
  if (widthEm(words) * SIZE < to - from) {
    return `${line}<g transform="translate(${mm(at - 1)} ${mm(middle)}) rotate(-90)">${text(0, 0, words, { middle: true })}</g>`;
  }
  const lines = wrapped(words, (at - 1) / SIZE);
  const first = middle + SIZE * 0.35 - ((lines.length - 1) * SIZE * 1.2) / 2;
  return line + lines.map((one, i) => text(at - 1.4, first + i * SIZE * 1.2, one, { end: true })).join('');
}

function fitted(words: string, wide: number): string {
  const [first = '', ...rest] = wrapped(words, wide / SIZE - 1);
  return rest.length === 0 ? first : `${first} …`;
}

interface TextStyle {
  readonly size?: number;
  readonly bold?: boolean;
  readonly middle?: boolean;
  readonly end?: boolean;
  /** How wide it is drawn, whatever the font at hand. */
  readonly widthMm?: number;
}

/** A line of words at a place. */
export function text(
  x: number,
  y: number,
  words: string,
  { size = SIZE, bold, middle, end, widthMm }: TextStyle = {},
): string {
  const anchor = middle === true ? ' text-anchor="middle"' : end === true ? ' text-anchor="end"' : '';
  const held = widthMm === undefined ? '' : ` textLength="${mm(widthMm)}" lengthAdjust="spacingAndGlyphs"`;
  return `<text x="${mm(x)}" y="${mm(y)}" font-size="${mm(size)}"${bold === true ? ' font-weight="bold"' : ''}${anchor}${held}>${esc(words)}</text>`;
}
