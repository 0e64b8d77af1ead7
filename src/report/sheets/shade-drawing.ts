// The small picture of shade: buildings, walls as bands by how much of the summer's sun is kept off, crowns of the trees that
// shade. In: an assessment, a ShadeResult; out: SVG. Terms: north is up; band = a wall, the darker and the wider the more.

import type { Assessment, Facade, ShadeResult } from '../../model/index.js';
import { circlePath } from '../drawing/svg.js';
import { esc } from '../text.js';

const WIDE = 720;
const MARGIN = 24;
const TALLEST = 560;

/** Shares of summer sun kept off, from which a band is drawn so. */
const BANDS = [
  { from: 50, css: 'band3', words: '50 % and more' },
  { from: 25, css: 'band2', words: '25 to 50 %' },
  { from: 10, css: 'band1', words: '10 to 25 %' },
  { from: 0, css: 'band0', words: 'under 10 %' },
] as const;

type Point = readonly [number, number];

export function shadeDrawing(assessment: Assessment, { facades, trees, lonLat }: ShadeResult): string {
  if (lonLat === null) return '';
  const east = 111_320 * Math.cos((lonLat[1] * Math.PI) / 180);
  const metres = ([lon, lat]: Point): Point => [(lon - lonLat[0]) * east, (lat - lonLat[1]) * 111_132];
  const { treeLonLat, trees: table } = assessment.job;
  const walls = facades.map((facade) => ({ facade, ends: facade.ends.map(metres) as [Point, Point] }));
  const crowns = trees.map(({ row, key, standing }) => {
    const at = metres([treeLonLat[row * 2]!, treeLonLat[row * 2 + 1]!]);
    const four = [0, 1, 2, 3].map((q) => table.crownM[row * 4 + q]!);
    const radius = four.every((r) => r >= 0) ? Math.max(...four) : 2;
    return { at, radius, key, standing };
  });
  const points = [
    ...walls.flatMap(({ ends }) => ends),
    ...crowns.flatMap(({ at: [x, y], radius: r }): Point[] => [
      [x - r, y - r],
      [x + r, y + r],
    ]),
  ];
  const [west, south] = [Math.min(...points.map(([x]) => x)), Math.min(...points.map(([, y]) => y))];
  const [right, top] = [Math.max(...points.map(([x]) => x)), Math.max(...points.map(([, y]) => y))];
  const scale = Math.min(
    (WIDE - 2 * MARGIN) / Math.max(right - west, 1),
    (TALLEST - 2 * MARGIN) / Math.max(top - south, 1),
  );
  const high = Math.round((top - south) * scale + 2 * MARGIN) + 22;
  const at = ([x, y]: Point): string =>
    `${(MARGIN + (x - west) * scale).toFixed(1)} ${(MARGIN + (top - y) * scale).toFixed(1)}`;
  const labelled = crowns.length <= 60;
  const drawnCrowns = crowns.map(({ at: place, radius, key, standing }) => {
    const [cx, cy] = at(place).split(' ') as [string, string];
    const name = labelled ? `<text x="${cx}" y="${cy}" class="name">${esc(key.slice(0, 12))}</text>` : '';
    const d = circlePath(Number(cx), Number(cy), radius * scale);
    return `<path class="${standing ? 'crown' : 'crown gone'}" d="${d}"/>${name}`;
  });
  const drawnWalls = walls.map(
    ({ facade, ends }) => `<path class="${bandOf(facade).css}" d="M${at(ends[0])}L${at(ends[1])}"/>`,
  );
  const legend = BANDS.map(
    ({ css, words }, i) =>
      `<path class="${css}" d="M${MARGIN + i * 165} ${high - 10}h26"/><text x="${MARGIN + 32 + i * 165}" y="${high - 6}">${words}</text>`,
  );
  return `<figure class="shade"><svg viewBox="0 0 ${WIDE} ${high}" role="img" aria-label="Walls by the share of summer sun that trees keep off"><path class="north" d="M${WIDE - 20} 34V8m-4 8l4-8l4 8"/><text x="${WIDE - 24}" y="46">N</text>${drawnCrowns.join('')}${drawnWalls.join('')}${legend.join('')}</svg><figcaption class="fine">Share of the summer’s direct sun that trees which stay keep off each wall; dashed crowns are trees that go.</figcaption></figure>`;
}

function bandOf({ standing }: Facade): (typeof BANDS)[number] {
  const { sunH, shadeH } = standing.all.summer;
  const percent = sunH > 0 ? (shadeH / sunH) * 100 : 0;
  return BANDS.find(({ from }) => percent >= from) ?? BANDS[3];
}
