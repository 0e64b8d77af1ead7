// A sketch of field notes. In: FieldNotes; out: SVG with stakes, trees, outlines and every reading written on it, ellipses enlarged so
// that they are seen. Terms: see result.ts; paper is in millimetres, y down. Linear in points and readings.

import { METRES_PER } from '../model/index.js';
import { INK } from '../style/index.js';
import type { CheckedReading, FieldNotes } from './result.js';
import { drawn } from './shapes.js';
import { SketchLabels } from './sketch-labels.js';
import { isAngular, shownUnit } from './words.js';

const [WIDTH, HEIGHT, MARGIN, FOOT] = [277, 190, 16, 18]; // A4 across, within its margins
/** Lengths of a scale bar, in the notes' unit. */
const BARS = [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000];
/** Ellipses are drawn so many times their size: the largest that keeps the worst of them under this many millimetres. */
const ENLARGED = [1, 2, 5, 10, 20, 50, 100];
const LARGEST_MM = 10;

interface Paper {
  readonly mmPerM: number;
  x(xM: number): number;
  y(yM: number): number;
}

/** The sketch; north (or the local y axis) is up. */
export function notesSketch(notes: FieldNotes): string {
  const paper = paperFor(notes);
  const worst = Math.max(0, ...notes.points.map(({ spread }) => spread?.majorM ?? 0));
  const times = ENLARGED.filter((n) => worst * n * paper.mmPerM <= LARGEST_MM).at(-1) ?? 1;
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" width="${WIDTH}mm" height="${HEIGHT}mm" viewBox="0 0 ${WIDTH} ${HEIGHT}" font-family="sans-serif" font-size="2.6">`,
    `<title>${esc(`Sketch of ${notes.name}`)}</title>`,
    `<rect width="${WIDTH}" height="${HEIGHT}" fill="#fff"/>`,
    ...outlines(notes, paper),
    ...readings(notes, paper),
    ...points(notes, paper, times),
    ...foot(notes, paper, times),
    '</svg>\n',
  ].join('\n');
}

function paperFor({ points }: FieldNotes): Paper {
  const placed = points.filter(({ at }) => at !== null);
  const xs = placed.map(({ xM }) => xM);
  const ys = placed.map(({ yM }) => yM);
  const [west, east, south, north] =
    placed.length === 0 ? [0, 1, 0, 1] : [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  const room = [WIDTH - 2 * MARGIN, HEIGHT - 2 * MARGIN - FOOT] as const;
  const mmPerM = Math.min(room[0] / Math.max(east - west, 1), room[1] / Math.max(north - south, 1));
  const [midX, midY] = [(west + east) / 2, (south + north) / 2];
  return {
    mmPerM,
    x: (xM) => WIDTH / 2 + (xM - midX) * mmPerM,
    y: (yM) => MARGIN + room[1] / 2 - (yM - midY) * mmPerM,
  };
}

function outlines(notes: FieldNotes, paper: Paper): string[] {
  const xy = Float64Array.from(notes.points.flatMap(({ xM, yM }) => [xM, yM]));
  return notes.outlines.flatMap((outline) => {
    const shape = drawn(outline, xy, (p) => notes.points[p]!.name);
    if ('missing' in shape) return [];
    const path = pathOf(shape.xy, paper) + (shape.isLine ? '' : 'z');
    const fill = shape.isLine || outline.kind === 'lot' ? 'none' : '#ececec';
    const dash = outline.kind === 'lot' ? ' stroke-dasharray="4 1 1 1"' : '';
    const [tx, ty] = middleOf(shape.xy, paper);
    const label = outline.kind === '' ? outline.name : `${outline.name} (${outline.kind})`;
    return [
      `<path d="${path}" fill="${fill}" stroke="${INK}" stroke-width=".35"${dash}/>`,
      `<text x="${mm(tx)}" y="${mm(ty)}" text-anchor="middle" font-style="italic">${esc(label)}</text>`,
    ];
  });
}

function pathOf(xy: readonly number[], paper: Paper): string {
  let out = '';
  for (let i = 0; i < xy.length; i += 2)
    out += `${i === 0 ? 'M' : 'L'}${mm(paper.x(xy[i]!))},${mm(paper.y(xy[i + 1]!))}`;
  return out;
}

function middleOf(xy: readonly number[], paper: Paper): [number, number] {
  let [x, y] = [0, 0];
  for (let i = 0; i < xy.length; i += 2) [x, y] = [x + xy[i]!, y + xy[i + 1]!];
  const n = xy.length / 2;
  return [paper.x(x / n), paper.y(y / n)];
}

/** A line for each reading, with what was read on it; wrong ones are red and dashed. */
function readings(notes: FieldNotes, paper: Paper): string[] {
  const labels = new SketchLabels();
  const wrong = new Set(notes.blunders.flatMap(({ suspects }) => suspects.map(({ reading }) => reading)));
  return notes.readings.flatMap((one, i) => {
    const line = lineOf(notes, one);
    if (line === null) return [];
    const [x0, y0, x1, y1] = [paper.x(line.from[0]), paper.y(line.from[1]), paper.x(line.to[0]), paper.y(line.to[1])];
    const colour = wrong.has(i) ? '#c00000' : '#5a5a5a';
    const dash = wrong.has(i) ? ' stroke-dasharray="2 1"' : '';
    const out = [
      `<line x1="${mm(x0)}" y1="${mm(y0)}" x2="${mm(x1)}" y2="${mm(y1)}" stroke="${colour}" stroke-width=".18"${dash}/>`,
    ];
    if (Math.hypot(x1 - x0, y1 - y0) < 7) return out;
    const place = one.reading.kind === 'along' ? labels.across : labels.along;
    const { x, y, turnDeg } = place.call(labels, x0, y0, x1, y1, line.text);
    // Across a line, words stand in its middle; along it, above.
    const raise = one.reading.kind === 'along' ? '.7' : '-.5';
    out.push(
      `<text transform="translate(${mm(x)},${mm(y)}) rotate(${mm(turnDeg)})" dy="${raise}" text-anchor="middle" font-size="2.1" fill="${colour}" paint-order="stroke" stroke="#fff" stroke-width=".6">${esc(line.text)}</text>`,
    );
    return out;
  });
}

interface Line {
  readonly from: readonly [number, number];
  readonly to: readonly [number, number];
  readonly text: string;
}

/** From where to where a reading goes: a tie to its point, an offset from its foot, a distance along from the line's start. */
function lineOf({ points }: FieldNotes, { reading, residual, isOut }: CheckedReading): Line | null {
  const { kind, p, q, a, b, text, unit, value } = reading;
  if (Number.isNaN(residual) && !isOut) return null;
  const place = (at: number): readonly [number, number] => [points[at]!.xM, points[at]!.yM];
  const written = /^[\d.]+$/.test(text) && unit !== 'deg' ? `${text} ${unit}` : text;
  if (kind === 'distance') return { from: place(q), to: place(p), text: written };
  if (text === 'square') return null; // the side of the house is drawn, and its length stands on it
  if (isAngular(reading)) return { from: place(q), to: place(p), text: kind === 'angle' ? `∠ ${written}` : written };
  if (kind !== 'along' && kind !== 'offset') return null;
  const [from, to, at] = [place(a), place(b), place(p)];
  const l = Math.hypot(to[0] - from[0], to[1] - from[1]);
  const [ux, uy] = [(to[0] - from[0]) / l, (to[1] - from[1]) / l];
  const along = kind === 'along' ? value : (at[0] - from[0]) * ux + (at[1] - from[1]) * uy;
  const base = [from[0] + ux * along, from[1] + uy * along] as const;
  return kind === 'along' ? { from, to: base, text: written } : { from: base, to: at, text: written };
}

function points({ points: all, outlines }: FieldNotes, paper: Paper, times: number): string[] {
  const corners = new Set(outlines.flatMap((one) => one.corners.map(({ number }) => `${one.name}:${number}`)));
  return all.flatMap(({ at, xM, yM, name, isTree, known, spread }) => {
    if (at === null) return [];
    const [x, y] = [paper.x(xM), paper.y(yM)];
    const out: string[] = [];
    if (spread !== null && spread.majorM > 0) {
      const [rx, ry] = [spread.majorM, spread.minorM].map((r) => Math.max(r * times * paper.mmPerM, 0.1));
      // The azimuth is clockwise from up; an ellipse's first axis lies to the right.
      const turn = mm(spread.azimuthDeg - 90);
      out.push(
        `<ellipse cx="0" cy="0" rx="${mm(rx!)}" ry="${mm(ry!)}" transform="translate(${mm(x)},${mm(y)}) rotate(${turn})" fill="none" stroke="#1b5fa8" stroke-width=".2"/>`,
      );
    }
    if (isTree) out.push(`<circle cx="${mm(x)}" cy="${mm(y)}" r="1.3" fill="#2f6b34"/>`);
    else if (known !== null) out.push(`<path d="M${mm(x)},${mm(y - 1.5)}l1.4,2.4h-2.8z" fill="${INK}"/>`);
    else
      out.push(
        `<rect x="${mm(x - 0.8)}" y="${mm(y - 0.8)}" width="1.6" height="1.6" fill="#fff" stroke="${INK}" stroke-width=".3"/>`,
      );
    // The corners of an outline by their numbers: its name stands inside.
    const [label, size] = corners.has(name) ? [name.slice(name.lastIndexOf(':') + 1), 2.2] : [name, 3];
    out.push(`<text x="${mm(x + 1.6)}" y="${mm(y - 1.2)}" font-size="${size}" font-weight="bold">${esc(label)}</text>`);
    return out;
  });
}

function foot(notes: FieldNotes, paper: Paper, times: number): string[] {
  const unit = shownUnit(notes);
  const mmPer = METRES_PER[unit] * paper.mmPerM;
  const bar = BARS.filter((n) => n * mmPer <= 50).at(-1) ?? 1;
  const y = HEIGHT - MARGIN / 2;
  const north = notes.system === 'local' ? 'y axis of the notes is up' : 'north is up';
  const words = `${notes.name}: sketch of field notes; ${north}; ellipses (one standard error) ${times} times their size; red: probably wrong`;
  return [
    `<path d="M${MARGIN},${mm(y - 4)}v1.5h${mm(bar * mmPer)}v-1.5" fill="none" stroke="${INK}" stroke-width=".3"/>`,
    `<text x="${mm(MARGIN + bar * mmPer + 2)}" y="${mm(y - 2.6)}">${bar} ${unit}</text>`,
    `<text x="${MARGIN}" y="${mm(y + 2)}">${esc(words)}</text>`,
    `<text x="${MARGIN}" y="${mm(y + 5.4)}">A tape survey is no boundary survey: a licensed surveyor sets lot lines and what is built to them.</text>`,
  ];
}

function mm(value: number): string {
  return String(Math.round(value * 100) / 100 + 0);
}

function esc(text: string): string {
  return text.replace(/[&<>"]/g, (c) => ({ '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;' })[c]!);
}
