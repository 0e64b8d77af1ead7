// Filters: what is shown is what an independent filter of the whole output leaves, in every format; figures are those of all
// trees. Terms: kept = keys of the trees that the test itself picks from the unfiltered GeoJSON, by its properties.
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parse } from 'csv-parse/sync';
import dxfParser from 'dxf-parser';
import Excel from 'exceljs';
import type { Feature } from 'geojson';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { type Assessment, assessFiles, readLayer, shownTrees, toGeoJSON, writeAssessment } from '../../src/node.js';
import { toPlan, toReport } from '../../src/report/index.js';
import {
  geojsonBytes,
  geojsonText,
  lotTablePieces,
  optionTablePieces,
  schedulePieces,
  stakesPieces,
  summaryTable,
  toSchedule,
} from '../../src/write/index.js';
import { run } from '../support/cli.js';
import { readFgb, readGpkg, readParquet } from '../support/read-back.js';

const demo = (name: string): string => fileURLToPath(new URL(`../../data/demo/${name}`, import.meta.url));
const FILES = ['--trees', demo('survey.csv'), '--works', demo('works.geojson'), '--crs', 'EPSG:2913'];

type Properties = Record<string, unknown>;
const props = ({ properties }: Feature): Properties => properties as Properties;

let dir = '';
let assessment: Assessment;
let whole: Feature[];
beforeAll(async () => {
  dir = await mkdtemp(join(tmpdir(), 'only-'));
  assessment = await assessFiles({
    trees: demo('survey.csv'),
    works: [demo('works.geojson')],
    lots: demo('lots.geojson'),
    crs: 'EPSG:2913',
    fences: {},
    margins: false,
  });
  whole = toGeoJSON(assessment).features;
}, 120_000);
afterAll(() => rm(dir, { recursive: true }));

/** The filter of the test: over properties of the written tree. */
const FILTERS: readonly (readonly [only: readonly string[], pick: (tree: Properties) => boolean])[] = [
  [['over-limit'], (t) => t.rb_verdict === 'over-limit'],
  [['over-limit', 'stem-in-works'], (t) => t.rb_verdict === 'over-limit' || t.rb_verdict === 'stem-in-works'],
  [['protected'], (t) => t.rb_protected === 'yes'],
  [
    ['protected', 'over-limit', 'within-limit'],
    (t) => t.rb_protected === 'yes' && (t.rb_verdict === 'over-limit' || t.rb_verdict === 'within-limit'),
  ],
  [['lot=Lot 1'], (t) => t.rb_lot === 'Lot 1'],
  [['species=quercus garryana', 'protected'], (t) => t.species === 'Quercus garryana' && t.rb_protected === 'yes'],
  [['tag=1205'], (t) => t.tag === 1205],
  [['rb_lot=lot 1', 'disposition=keep'], (t) => t.rb_lot === 'Lot 1' && t.disposition === 'keep'],
  [['lot=nowhere'], () => false],
];
const EXAMPLE = ['protected', 'over-limit', 'within-limit'];

/** Features that an independent filter leaves, but for ground to be protected, which names no tree. */
function left(pick: (tree: Properties) => boolean): Feature[] {
  const trees = whole.filter((one) => props(one).rb_role === 'tree' && pick(props(one)));
  const ids = new Set(trees.map((one) => props(one).rb_id));
  const keys = new Set(trees.map((one) => String(one.id).replace(/^tree:/, '')));
  const named = (names: unknown): boolean =>
    String(names ?? '')
      .split(';')
      .some((name) => keys.has(name));
  const fences = new Set(
    whole
      .filter(
        (one) =>
          props(one).rb_fence_kind === 'fence' && (named(props(one).rb_trees) || named(props(one).rb_zone_trees)),
      )
      .map((one) => props(one).rb_id),
  );
  return whole.filter((one) => {
    const p = props(one);
    if (p.rb_role === 'lot' || p.rb_role === 'works' || p.rb_role === 'existing') return true;
    if (p.rb_role === 'tree') return ids.has(p.rb_id);
    if (p.rb_role !== 'fence') return ids.has(p.rb_tree);
    if (p.rb_fence_kind === 'fence') return fences.has(p.rb_id);
    return (
      p.rb_fence_kind === 'gate' &&
      String(p.rb_fences)
        .split(';')
        .some((id) => fences.has(id))
    );
  });
}
const isGround = (one: Feature): boolean => props(one).rb_fence_kind === 'ground-protection';
const pickOf = (only: readonly string[]) => FILTERS.find(([words]) => words.join() === only.join())![1];

describe('GeoJSON', () => {
  test.each(FILTERS.map(([only, pick]) => [only.join(','), only, pick] as const))('--only %s', (_, only, pick) => {
    const written = toGeoJSON(assessment, { only });
    const expected = left(pick);
    expect(written.features.filter((one) => !isGround(one))).toEqual(expected); // bytes of each feature, figures and all
    const grounds = written.features.filter(isGround);
    for (const ground of grounds) expect(whole).toContainEqual(ground);
    const told = (written as unknown as { rootberth: { written: Properties; counts: Properties } }).rootberth;
    const count = expected.filter((one) => props(one).rb_role === 'tree').length;
    expect(told.written).toMatchObject({ only, trees_shown: count, trees_hidden: 120 - count });
    expect(told.counts).toEqual(assessment.counts);
    const bytes = Buffer.concat([...geojsonBytes(assessment, { only })]).toString();
    expect(bytes).toBe([...geojsonText(assessment, { only })].join(''));
  });

  test('ground to be protected is written where it lies in the zone of a shown tree', () => {
    // In metres on a plane through the site: an ellipsoid's radii (WGS 84), independent of the frame. Corners decide: the
    // pieces are cut out of the zones, so a zone that ground lies in holds a corner or an edge of it.
    const [, lat0] = (whole.find((one) => props(one).rb_role === 'tree')!.geometry as { coordinates: number[] })
      .coordinates;
    const east = 111_412.84 * Math.cos((lat0! * Math.PI) / 180) - 93.5 * Math.cos((3 * lat0! * Math.PI) / 180);
    const north = 111_132.92 - 559.82 * Math.cos((2 * lat0! * Math.PI) / 180);
    const pick = pickOf(EXAMPLE);
    const trees = whole.filter((one) => props(one).rb_role === 'tree' && pick(props(one)));
    const inZone = (ground: Feature): boolean => {
      const rings = (ground.geometry as { coordinates: number[][][] | number[][][][] }).coordinates;
      const corners = rings.flat(ground.geometry.type === 'MultiPolygon' ? 2 : 1) as unknown as number[][];
      return trees.some((tree) => {
        const [lon, lat] = (tree.geometry as { coordinates: number[] }).coordinates;
        const radius = Number(props(tree).rb_zone_radius_m);
        return corners.some(([x, y]) => Math.hypot((x! - lon!) * east, (y! - lat!) * north) < radius - 0.05);
      });
    };
    const grounds = whole.filter(isGround);
    const shown = toGeoJSON(assessment, { only: EXAMPLE }).features.filter(isGround);
    const ids = new Set(shown.map((one) => props(one).rb_id));
    for (const ground of grounds)
      if (inZone(ground)) expect(ids, String(props(ground).rb_id)).toContain(props(ground).rb_id);
    expect(shown.length).toBeGreaterThan(0);
    expect(shown.length).toBeLessThan(grounds.length);
  });
});

describe('every other output', () => {
  const expected = (role: string): string[] =>
    left(pickOf(EXAMPLE))
      .filter((one) => props(one).rb_role === role)
      .map((one) => String(props(one).rb_id));
  const ROLES = ['lot', 'works', 'zone', 'ring', 'crown', 'overlap', 'severed', 'tree'];
  const write = async (name: string, options: object = {}): Promise<string> => {
    const path = join(dir, name);
    await writeAssessment(path, assessment, { only: EXAMPLE, ...options });
    return path;
  };

  test('GeoPackage, FlatGeobuf, GeoParquet, NDJSON: the same features of each role', async () => {
    const gpkg = readGpkg(await write('a.gpkg'));
    for (const role of ROLES) {
      expect(
        (gpkg.rows.get(role) ?? []).map(({ properties }) => String(properties.rb_id)),
        role,
      ).toEqual(expected(role));
    }
    const stored = JSON.parse(String(gpkg.sql('SELECT json FROM rootberth')[0]!.json));
    expect(stored.written).toMatchObject({ only: EXAMPLE, trees_shown: expected('tree').length });
    gpkg.close();
    const rows = {
      fgb: await readFgb(await write('a.fgb')),
      parquet: (await readParquet(await write('a.parquet'))).rows,
      ndjson: (await readFile(await write('a.ndjson'), 'utf8'))
        .trim()
        .split('\n')
        .map((line) => JSON.parse(line) as Feature),
    };
    for (const [format, list] of Object.entries(rows)) {
      for (const role of ROLES) {
        const ids = list
          .filter(({ properties: p }) => p!.rb_role === role)
          .map(({ properties: p }) => String(p!.rb_id));
        expect([format, role, ids.sort()]).toEqual([format, role, expected(role).sort()]);
      }
    }
  });

  test('shapefiles and CSV: the shown trees, each at its own place', async () => {
    const zip = await write('a.zip', { units: 'us' });
    const layer = await readLayer(zip, { layer: 'tree' });
    const at = layer.fields.find((name) => /^rb_id/.test(name))!;
    expect(Array.from({ length: layer.count }, (_, row) => layer.value(row, at))).toEqual(expected('tree'));
    const csv = parse(await readFile(await write('a.csv'), 'utf8'), { columns: true }) as Record<string, string>[];
    expect(csv.map((row) => row.rb_id)).toEqual(expected('tree'));
    for (const row of csv) {
      // The surveyor's own columns stand beside ours: a row of another tree would not agree.
      expect(Number(row.rb_easting_ft)).toBeCloseTo(Number(row.easting), 2);
      expect(Number(row.rb_northing_ft)).toBeCloseTo(Number(row.northing), 2);
    }
  });

  test('drawing and workbook', async () => {
    const path = await write('a.dxf', { outCrs: 'EPSG:2913' });
    const parsed = new dxfParser().parseSync(await readFile(path, 'utf8'));
    const on = (name: string) => (parsed?.entities ?? []).filter((one) => one.layer.startsWith(name));
    expect(on('ROOT-ZONES')).toHaveLength(expected('zone').length);
    const book = new Excel.Workbook();
    await book.xlsx.readFile(await write('a.xlsx'));
    expect(book.getWorksheet('Schedule')!.rowCount).toBe(1 + expected('tree').length);
    const about = book.getWorksheet('About')!.getColumn(2).values.map(String);
    expect(about.some((text) => text.startsWith(`Shown: ${expected('tree').length} of 120 trees`))).toBe(true);
  });

  test('schedule, option table, stakes, lot table, summary', () => {
    const shown = shownTrees(assessment, { only: EXAMPLE });
    const keys = left(pickOf(EXAMPLE))
      .filter((one) => props(one).rb_role === 'tree')
      .map((one) => String(one.id).slice(5));
    const schedule = parse([...schedulePieces(shown)].join(''), { columns: true }) as Record<string, string>[];
    expect(schedule.map((row) => row.Tree)).toEqual(keys);
    expect(toSchedule(assessment, { only: EXAMPLE })).toBe([...schedulePieces(shown)].join(''));
    const all = parse([...schedulePieces(assessment)].join(''), { columns: true }) as Record<string, string>[];
    expect(schedule).toEqual(all.filter((row) => keys.includes(row.Tree!))); // no figure has changed
    const [whole1, some] = [assessment, shown].map((of) => [...optionTablePieces(of)].join('').split('\r\n'));
    expect(some!.slice(-7)).toEqual(whole1!.slice(-7)); // counts and sums are of all trees
    expect(some!.length).toBe(whole1!.length - (120 - keys.length));
    const stakes = [...stakesPieces(shown)].join('');
    const fences = left(pickOf(EXAMPLE))
      .filter((one) => props(one).rb_fence_kind === 'fence')
      .map((one) => `F${String(props(one).rb_id).slice(6)}`);
    expect(new Set([...stakes.matchAll(/,(F\d+),corner/g)].map((match) => match[1]))).toEqual(new Set(fences));
    expect(stakes).toContain(`# Shown: ${keys.length} of 120 trees`);
    const lots = [...lotTablePieces(shown)].join('');
    expect(lots.startsWith([...lotTablePieces(assessment)].join(''))).toBe(true);
    expect(lots).toContain('counts and totals are of all trees');
    expect(summaryTable(shown)).toContain(`Shown: ${keys.length} of 120 trees (only ${EXAMPLE.join(', ')})`);
    expect(summaryTable(shown)).toContain('Trees: 120 read');
    const over = (text: string) => text.split('\n').find((line) => line.startsWith('Over their limit'));
    expect(over(summaryTable(shown))).toBe(over(summaryTable(assessment))); // of all trees
    expect(summaryTable(shownTrees(assessment, { only: ['untouched'] }))).toContain('none of them is shown');
  });

  test('plan and report', () => {
    const keys = new Set(
      left(pickOf(EXAMPLE))
        .filter((one) => props(one).rb_role === 'tree')
        .map((one) => String(one.id).slice(5)),
    );
    const html = toReport(assessment, { only: EXAMPLE });
    const schedule = html.slice(html.indexOf('id="schedule"'), html.indexOf('</table>', html.indexOf('id="schedule"')));
    const listed = [...schedule.matchAll(/<tr><td>(?:<a [^>]*>)?<bdi>([^<]*)<\/bdi>/g)].map((match) => match[1]!);
    expect(new Set(listed)).toEqual(keys);
    expect(html).toContain(`<b>${keys.size} of 120 trees`);
    const plan = toPlan(assessment, { only: EXAMPLE });
    expect(plan).toContain(`${keys.size} trees`);
    expect(plan).toContain(`Shown: ${keys.size} of 120 trees`);
    expect(toPlan(assessment, { only: ['lot=nowhere'] })).toContain('no tree that is shown has a position');
  });
});

describe('--figures', () => {
  test('trees and their zones carry the figures asked for, and all else is as it was', () => {
    const { features } = toGeoJSON(assessment, { figures: ['overlap_pct', 'verdict', 'zone_radius'] });
    expect(features.length).toBe(whole.length);
    const asked = new Set([
      'rb_role',
      'rb_id',
      'rb_tree',
      'rb_tree_key',
      'rb_ring',
      'rb_overlap_pct',
      'rb_verdict',
      'rb_zone_radius_m',
    ]);
    features.forEach((one, i) => {
      const before = props(whole[i]!);
      const isOfTree = before.rb_role === 'tree' || before.rb_tree !== undefined;
      const kept = Object.entries(before).filter(([name]) => !isOfTree || !name.startsWith('rb_') || asked.has(name));
      expect(one).toEqual({ ...whole[i], properties: Object.fromEntries(kept) });
    });
  });

  test('columns of a table are those alone', async () => {
    const path = join(dir, 'figures.csv');
    await writeAssessment(path, assessment, { figures: ['overlap_pct', 'verdict'] });
    const [head] = (await readFile(path, 'utf8')).split('\r\n');
    expect(head!.split(',').filter((name) => /^rb_(?!lon|lat|easting|northing|native)/.test(name))).toEqual([
      'rb_role',
      'rb_id',
      'rb_overlap_pct',
      'rb_verdict',
    ]);
  });
});

describe('words that are not known', () => {
  test.each([
    [['over-limt'], 'only-unknown', 'did you mean over-limit?'],
    [['protectd'], 'only-unknown', 'did you mean protected?'],
    [['speceis=oak'], 'only-field', 'did you mean species?'],
    [['overlap_pc=3'], 'only-field', 'did you mean overlap_pct?'],
  ])('%s', (only, code, words) => {
    const error = expect.objectContaining({ code, usage: true, message: expect.stringContaining(words) });
    expect(() => toGeoJSON(assessment, { only })).toThrow(error);
  });

  test('a figure', () => {
    const error = expect.objectContaining({
      code: 'figure-unknown',
      message: expect.stringContaining('did you mean overlap_pct?'),
    });
    expect(() => toGeoJSON(assessment, { figures: ['overlap_pc'] })).toThrow(error);
  });
});

describe('on the command line', () => {
  test('filters every output of a run, says so, and is kept in a job file', async () => {
    const at = (name: string): string => join(dir, name);
    const words = ['--only', 'over-limit,stem-in-works', '--only', 'disposition=keep'];
    const outputs = ['--out', at('c.geojson'), '--schedule', at('c.csv'), '--report', at('c.html')];
    const { code, out } = await run('assess', ...FILES, ...words, ...outputs, '--save-config', at('job.json'));
    expect(code).toBe(0);
    const { features, rootberth } = JSON.parse(await readFile(at('c.geojson'), 'utf8'));
    const trees = features.filter(({ properties: p }: Feature) => p!.rb_role === 'tree');
    expect(rootberth.written.trees_shown).toBe(trees.length);
    expect(
      trees.every(({ properties: p }: Feature) => /over|stem/.test(p!.rb_verdict) && p!.disposition === 'keep'),
    ).toBe(true);
    expect((await readFile(at('c.csv'), 'utf8')).trim().split('\r\n')).toHaveLength(1 + trees.length);
    expect(out).toContain(`Shown: ${trees.length} of 120 trees (only over-limit, stem-in-works, disposition=keep)`);
    const again = await run('assess', '--config', at('job.json'), '--out', at('again.geojson'), '--quiet');
    expect(again.code).toBe(0);
    expect(await readFile(at('again.geojson'), 'utf8')).toBe(await readFile(at('c.geojson'), 'utf8'));
    const compared = await run('compare', at('c.geojson'), at('c.geojson'));
    expect([compared.code, compared.err]).toEqual([1, expect.stringContaining('compare-filtered')]);
  }, 120_000);

  test('refuses unknown words before a file is read, unknown fields and figures after', async () => {
    const missing = ['--trees', 'missing.csv', '--works', 'missing.geojson', '--out', join(dir, 'x.geojson')];
    const early = await run('assess', ...missing, '--only', 'over-limt');
    expect([early.code, early.err]).toEqual([2, expect.stringContaining('did you mean over-limit?')]);
    expect((await run('assess', ...missing, '--only', 'a,,b')).err).toContain('list-empty');
    for (const words of [
      ['--only', 'speceis=x'],
      ['--figures', 'verdit'],
    ]) {
      const late = await run('assess', ...FILES, '--quiet', ...words, '--out', join(dir, 'x.geojson'));
      expect([late.code, late.err]).toEqual([2, expect.stringContaining('did you mean')]);
    }
  }, 120_000);
});
