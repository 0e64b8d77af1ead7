// The title block of a drawing. In: what is drawn, scale, sheet, packet; out: SVG of scale bar, north arrow, words, number of the
// sheet with the mark of the last revision, key plan. Terms: key plan = the cells of all sheets, the one in hand filled.

import type { Assessment, Packet, Revision } from '../../model/index.js';
import type { Units } from '../../write/index.js';
import { drawLines, drawNorth, drawScaleBar, northWords } from '../drawing/furniture.js';
import type { Box } from '../drawing/ground.js';
import { INK } from '../drawing/palette.js';
import type { Paper } from '../drawing/paper.js';
import { mm } from '../drawing/svg.js';
import { NOT_A_VERDICT } from '../options.js';
import { esc } from '../text.js';
import type { Scale, Sheet } from './sheet.js';

/** Which sheet of how many, and where it lies among those of its drawing. */
export interface SheetPlace {
  readonly number: number;
  readonly of: number;
  /** Cells of the drawing's sheets on the ground, metres, and which of them this is; one cell: no key plan. */
  readonly cells: readonly Box[];
  readonly cell: number;
  /** Number of the sheet of each cell; the sheets of other drawings come before. */
  readonly numbers: readonly number[];
}

export interface TitleBlock {
  readonly assessment: Assessment;
  readonly title: string;
  /** What the drawing shows: "Existing conditions"; '' for the plan of everything. */
  readonly subtitle: string;
  readonly stamp: string | undefined;
  readonly packet: Packet | undefined;
  readonly units: Units;
  readonly paper: Paper;
  readonly sheet: Sheet;
  readonly scale: Scale;
  readonly gridNorth: number | null;
  /** Notes of this drawing. */
  readonly notes: readonly string[];
  readonly place: SheetPlace | null;
}

/** Height of scale bar, north arrow and words, mm; a packet's fields take more. */
export function blockMm(packet: Packet | undefined): number {
  return packet === undefined ? 24 : 31;
}

const RIGHT_MM = 34;

export function drawBlock(block: TitleBlock, widthMm: number): string {
  const { assessment, paper, scale, units, gridNorth, packet, place } = block;
  const local = assessment.job.treeTransform?.crs.kind === 'local';
  const barMm = Math.min(70, widthMm * 0.34);
  const textX = barMm + 18;
  const right = place === null && packet === undefined ? 0 : RIGHT_MM;
  return (
    `<g transform="translate(1 1)">${drawScaleBar(paper.perMetre, units, barMm)}</g>` +
    `<text x="1" y="21.5" font-size="3" font-weight="bold">${esc(scale.label)}</text>` +
    `<g transform="translate(${mm(barMm + 8)} 3)">${drawNorth(gridNorth, !local)}</g>` +
    `<g transform="translate(${mm(textX)} 0)">${drawLines(linesOf(block), widthMm - textX - right, blockMm(packet))}</g>` +
    (right === 0 ? '' : `<g transform="translate(${mm(widthMm - RIGHT_MM)} 0)">${rightOf(block)}</g>`)
  );
}

function linesOf(block: TitleBlock): { readonly text: string; readonly size: number; readonly bold?: boolean }[] {
  const { assessment, title, subtitle, stamp, sheet, scale, gridNorth, packet, notes } = block;
  const transform = assessment.job.treeTransform;
  const local = transform?.crs.kind === 'local';
  const north = packet?.north ?? northWords(gridNorth, transform?.crs.code ?? 'the survey', local);
  const words = [
    `${scale.label} on ${sheet.name} (${mm(sheet.widthMm)} x ${mm(sheet.heightMm)} mm) when printed at 100 %.`,
    `${north}. Lengths are true on the ground of the map's plane.`,
    ...(packet?.datum === undefined ? [] : [`Datum: ${packet.datum}.`]),
    ...notes,
  ];
  const site = [packet?.project, packet?.address, packet?.parcel].filter((one) => one !== undefined).join('. ');
  const by = byWords(packet);
  return [
    { text: subtitle === '' ? title : `${title}: ${subtitle.toLowerCase()}`, size: 4.2, bold: true },
    ...(stamp === undefined ? [] : [{ text: stamp.toUpperCase(), size: 3, bold: true }]),
    ...(site === '' ? [] : [{ text: site, size: 2.6 }]),
    ...(by === '' ? [] : [{ text: by, size: 2.6 }]),
    { text: `Rule: ${assessment.rule.title}`, size: 2.6 },
    { text: words.join(' '), size: 2.2 },
    { text: `${NOT_A_VERDICT} rootberth ${assessment.version}`, size: 2.2 },
  ];
}

function byWords(packet: Packet | undefined): string {
  const { preparer, client, date } = packet ?? {};
  const who = [preparer?.name, preparer?.firm, ...(preparer?.licences ?? []), ...(preparer?.certificates ?? [])];
  const parts = [
    client === undefined ? '' : `For ${client}.`,
    who.every((one) => one === undefined) ? '' : `By ${who.filter((one) => one !== undefined).join(', ')}.`,
    date === undefined ? '' : `${date}.`,
  ];
  return parts.filter((one) => one !== '').join(' ');
}

/** Sheet number, last revision, key plan. */
function rightOf({ place, packet }: TitleBlock): string {
  const number =
    place === null || place.of === 1
      ? ''
      : `<text x="${RIGHT_MM}" y="4" font-size="3.4" font-weight="bold" text-anchor="end">Sheet ${place.number} of ${place.of}</text>`;
  const last = packet?.revisions?.at(-1);
  return number + (last === undefined ? '' : revisionOf(last)) + (place === null ? '' : keyPlan(place));
}

/** A triangle with the mark, its date beside it. */
function revisionOf({ mark, date, text }: Revision): string {
  const sign =
    mark === undefined
      ? ''
      : `<path d="M0,10.4L2.6,5.8 5.2,10.4z" fill="none" stroke="${INK}" stroke-width=".3"/><text x="2.6" y="9.8" font-size="2.2" text-anchor="middle">${esc(mark)}</text>`;
  const words = [{ text: [date, text].filter((one) => one !== undefined).join(' '), size: 2 }];
  return `${sign}<g transform="translate(6 6.4)">${drawLines(words, RIGHT_MM - 6, 5.2)}</g>`;
}

/** The cells of the drawing's sheets, to scale, in a box of 34 by 17 mm. */
function keyPlan({ cells, cell, numbers }: SheetPlace): string {
  if (cells.length < 2) return '';
  const x0 = Math.min(...cells.map((box) => box.x0));
  const x1 = Math.max(...cells.map((box) => box.x1));
  const y0 = Math.min(...cells.map((box) => box.y0));
  const y1 = Math.max(...cells.map((box) => box.y1));
  const scale = Math.min(RIGHT_MM / (x1 - x0), 17 / (y1 - y0));
  const drawn = cells.map((box, i) => {
    const [x, y] = [(box.x0 - x0) * scale, (y1 - box.y1) * scale];
    const [w, h] = [(box.x1 - box.x0) * scale, (box.y1 - box.y0) * scale];
    const ink = i === cell ? '#ffffff' : INK;
    const size = Math.min(2.4, h * 0.7);
    return `<rect x="${mm(x)}" y="${mm(y)}" width="${mm(w)}" height="${mm(h)}" fill="${i === cell ? INK : '#ffffff'}" stroke="${INK}" stroke-width=".2"/><text x="${mm(x + w / 2)}" y="${mm(y + h / 2 + size * 0.36)}" font-size="${mm(size)}" text-anchor="middle" style="fill:${ink}">${numbers[i]}</text>`;
  });
  return `<g transform="translate(0 12.5)" role="img" aria-label="Key plan">${drawn.join('')}</g>`;
}
