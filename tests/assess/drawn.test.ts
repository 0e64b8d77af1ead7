// Drawn zones and crowns: in: polygons that name trees, well and badly; out: who is joined to whom, reasons, findings.
import { mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { assess } from '../../src/assess/index.js';
import { checkDrawn, checkTrees, trunksOutside } from '../../src/check/index.js';
import { assessCommand } from '../../src/describe/command.js';
import { describeLayer } from '../../src/describe/describe.js';
import { InputError } from '../../src/model/findings.js';
import type { Properties } from '../../src/model/index.js';
import { areaOf, polygonLayer, type Ring, treeLayer } from '../support/check-layers.js';
import { run } from '../support/cli.js';

/** A square about a place, `half` to each side. */
const about = (x: number, y: number, half = 4): Ring => [
  [x - half, y - half],
  [x + half, y - half],
  [x + half, y + half],
  [x - half, y + half],
  [x - half, y - half],
];

/** Trees at (0, 0), (10, 0), (20, 0) ... */
const treesOf = (rows: readonly Properties[], fields = {}) =>
  checkTrees(treeLayer(rows.map((row) => ({ dbh_in: 10, ...row }))), { fields }).table;

function drawn(
  rings: readonly Ring[],
  properties: readonly Properties[],
  trees = treesOf([{ id: 'T0' }, { id: 'T1' }]),
) {
  const layer = polygonLayer(
    rings.map((ring) => [ring]),
    properties,
    'zones.geojson',
  );
  const { table, findings } = checkDrawn(layer, 'zones', trees);
  return { table, findings, codes: findings.map((f) => f.code) };
}

describe('joining', () => {
  it('asks tree, tree_id, id, tag in that order, in any case', () => {
    const trees = treesOf([{ id: 'T0' }, { id: 'T1' }, { id: 'T2' }, { id: 'T3' }]);
    const { table } = drawn(
      [about(0, 0), about(10, 0), about(20, 0), about(30, 0)],
      [{ Tree: 'T0', id: 'T3' }, { Tree: ' ', tree_id: 'T1', id: 'T3' }, { ID: 'T2', tag: 'T3' }, { tag: 'T3' }],
      trees,
    );
    expect([...table.treeOf]).toEqual([0, 1, 2, 3]);
    expect(table.rowOfTree).toEqual(new Map([0, 1, 2, 3].map((row) => [row, [row]])));
  });

  it('holds numbers against text, ids before tags, and tags where no id tells', () => {
    const trees = treesOf([
      { id: 7, tag: 'A' },
      { id: 8, tag: '7' },
      { id: 9, tag: 'B' },
    ]);
    const { table, codes } = drawn([about(0, 0), about(20, 0)], [{ tree: '7' }, { tree: 'B' }], trees);
    expect([...table.treeOf]).toEqual([0, 2]);
    expect(codes).toEqual([]);
  });

  it('takes the tag for the name of trees that have no id', () => {
    const { table } = drawn([about(10, 0)], [{ tree: 'oak 2' }], treesOf([{ tag: 'oak 1' }, { tag: 'oak 2' }]));
    expect([...table.treeOf]).toEqual([1]);
  });

  it('joins no tree to a polygon that names none, an unknown one, or two', () => {
    const trees = treesOf([{ id: 'T0' }, { id: 'T1' }, { id: 'T1' }]);
    const { table, findings } = drawn(
      [about(0, 0), about(0, 0), about(10, 0), about(20, 0)],
      [{}, { tree: 'T9' }, { tree: 'T1' }, { tree: 'T1#2' }],
      trees,
    );
    expect([...table.treeOf]).toEqual([-1, -1, -1, 2]);
    expect([...table.rejected]).toEqual([0, 1, 2].map((row) => [row, ['tree-unknown']]));
    expect(findings.map((f) => [f.code, f.feature, f.id, f.message])).toEqual([
      ['drawn-tree-unknown', 0, null, 'the drawn zone does not name its tree'],
      ['drawn-tree-unknown', 1, 'T9', 'the drawn zone names "T9", but no tree of the survey has that id or tag'],
      [
        'drawn-tree-unknown',
        2,
        'T1',
        '"T1" is the name of 2 trees ("T1", "T1#2"), so the zone was given to none of them',
      ],
    ]);
    expect(findings[1]?.cure).toMatch(/--field zones\.tree=NAME/);
  });

  it('keeps several polygons of one tree, and says so', () => {
    const { table, findings } = drawn(
      [about(0, 0), about(10, 0), about(3, 0)],
      [{ tree: 'T0' }, { tree: 'T1' }, { tree: 'T0' }],
    );
    expect(table.rowOfTree.get(0)).toEqual([0, 2]);
    expect(findings.map((f) => [f.code, f.feature])).toEqual([['drawn-tree-twice', 2]]);
  });

  it('takes the field that is named, and refuses one that does not exist', () => {
    const layer = polygonLayer([[about(0, 0)]], [{ TREE_NO: 'T0' }], 'zones.geojson');
    const trees = treesOf([{ id: 'T0' }]);
    const { table } = checkDrawn(layer, 'zones', trees, { fields: { 'zones.tree': 'TREE_NO' } });
    expect([...table.treeOf]).toEqual([0]);
    expect(() => checkDrawn(layer, 'crowns', trees, { fields: { 'crowns.tree': 'TREE' } })).toThrow(InputError);
  });
});

describe('shapes', () => {
  it('are cleaned and refused like lots', () => {
    const bow: Ring = [
      [0, 0],
      [4, 4],
      [4, 0],
      [0, 4],
      [0, 0],
    ];
    const flat: Ring = [
      [0, 0],
      [4, 0],
      [0, 0],
    ];
    const { table, codes } = drawn([bow, flat, about(10, 0)], [{ tree: 'T0' }, { tree: 'T0' }, { tree: 'T1' }]);
    expect([...table.repaired.keys()]).toEqual([0]);
    expect([...table.rejected.keys()]).toEqual([1]);
    expect(codes).toEqual(['ring-crossing', 'ring-short']);
    expect(table.rowOfTree).toEqual(
      new Map([
        [0, [0]],
        [1, [2]],
      ]),
    );
    expect([areaOf(table.geometry, 0), areaOf(table.geometry, 2)]).toEqual([8, 64]);
  });

  it('a trunk outside all of them is named once a tree; a hole is outside, another part may hold it', () => {
    const trees = treesOf([{ id: 'T0' }, { id: 'T1' }, { id: 'T2' }, { id: 'T3' }]);
    const layer = polygonLayer(
      [[about(0, 0), about(0, 0, 1)], [about(0, 30)], [about(10, 0)], [about(15, 0, 1)], [about(50, 0)]],
      ['T0', 'T0', 'T1', 'T1', 'T2'].map((tree) => ({ tree })),
      'crowns.geojson',
    );
    const { table } = checkDrawn(layer, 'crowns', trees);
    const outside = trunksOutside(table, table.geometry.xy, trees.xy);
    expect(outside.map((f) => [f.code, f.feature, f.id])).toEqual([
      ['drawn-trunk-outside', 0, 'T0'],
      ['drawn-trunk-outside', 4, 'T2'],
    ]);
    expect(table.rejected.size).toBe(0);
  });

  it('looks across the antimeridian the short way', () => {
    const trees = checkTrees(treeLayer([{ id: 'T', dbh_in: 9 }], [[179.99999, -17]])).table;
    const ring: Ring = [
      [179.9999, -17.0001],
      [-179.9999, -17.0001],
      [-179.9999, -16.9999],
      [179.9999, -16.9999],
    ];
    const { table } = checkDrawn(polygonLayer([[ring]], [{ tree: 'T' }]), 'zones', trees);
    expect(trunksOutside(table, Float64Array.from(ring.flat()), trees.xy)).toEqual([]);
    expect(trunksOutside(table, Float64Array.from(ring.flat()), Float64Array.of(-179.8, -17))).toHaveLength(1);
  });
});

it('every feature is joined or rejected, once, whatever names what', () => {
  const name = fc.constantFrom('T0', 'T1', 'T1', 'x', '', null, 3);
  fc.assert(
    fc.property(fc.array(fc.tuple(name, fc.integer({ min: 0, max: 4 })), { maxLength: 12 }), (rows) => {
      const { table } = drawn(
        rows.map(([, half]) => about(0, 0, half)),
        rows.map(([tree]) => ({ tree })),
      );
      const joined = [...table.rowOfTree.values()].flat();
      expect(new Set(joined).size).toBe(joined.length);
      expect(joined.length + table.rejected.size).toBe(rows.length);
      for (const [tree, of] of table.rowOfTree) for (const row of of) expect(table.treeOf[row]).toBe(tree);
    }),
  );
});

describe('check', () => {
  it.each([
    ['zones', 'drawn-zones.geojson'],
    ['zones', 'RPZ.geojson'],
    ['crowns', 'canopy.geojson'],
    ['crowns', 'Crowns 2026.geojson'],
    ['lots', 'parcels.geojson'],
    ['works', 'plan.geojson'],
  ])('takes for %s: %s', (role, name) => {
    const description = describeLayer(polygonLayer([[about(0, 0)], [about(9, 0)]], [{ tree: 'T0' }, {}], name));
    expect([description.role, description.usable]).toEqual([role, 2]);
    expect(description.findings.map((f) => f.code)).not.toContain('drawn-tree-unknown');
    const { command } = assessCommand([{ path: name, description, error: null }], []);
    expect(command).toContain(`--${role} ${name.includes(' ') ? `'${name}'` : name}`);
  });

  it('says of which role a layer is', () => {
    const error = new InputError('zip-several', 'a.zip holds several layers', { cure: 'choose one' });
    const { command } = assessCommand([{ path: 'plan.zip', description: null, error }], []);
    expect(command).toContain('--works plan.zip --layer works=NAME');
  });
});

describe('in a run', () => {
  const collection = (features: readonly object[]): string => JSON.stringify({ type: 'FeatureCollection', features });
  const polygon = (ring: Ring, properties: Properties) => ({
    type: 'Feature',
    properties,
    geometry: { type: 'Polygon', coordinates: [ring] },
  });

  it('each layer has its own system, and the job holds tables and lon/lat', async () => {
    const dir = mkdtempSync(join(tmpdir(), 'rootberth-drawn-'));
    const file = (name: string, text: string): string => {
      writeFileSync(join(dir, name), text);
      return join(dir, name);
    };
    const trees = file('trees.csv', 'id,easting,northing,dbh_in\nT1,7650000,680000,12\nT2,7650100,680000,12\n');
    const works = file('works.geojson', collection([polygon(about(7650020, 680000), { kind: 'building' })]));
    const zones = file('zones.geojson', collection([polygon(about(7650000, 680000, 12), { tree: 'T1' })]));
    const crowns = file('crowns.geojson', collection([polygon(about(0, 0, 1), { tree: 'T3' })]));
    const findings = join(dir, 'findings.json');
    const { code, err } = await run(
      ...['assess', '--trees', trees, '--works', works, '--zones', zones, '--crowns', crowns],
      ...['--crs', 'EPSG:2913', '--crowns-crs', 'EPSG:4326', '--findings', findings, '--out', join(dir, 'out.geojson')],
    );
    expect(code, err).toBe(0);
    const { readFileSync } = await import('node:fs');
    const told = JSON.parse(readFileSync(findings, 'utf8'));
    expect(told.counts.zones).toEqual({ in: 1, joined: 1, rejected: 0 });
    expect(told.counts.crowns).toEqual({ in: 1, joined: 0, rejected: 1 });
    expect(told.inputs.map((one: { role: string }) => one.role)).toEqual(['trees', 'works', 'zones', 'crowns']);
    const codes = told.findings.map((one: { code: string }) => one.code);
    expect(codes).toContain('drawn-tree-unknown');
    expect(codes).not.toContain('drawn-not-used');
    expect(codes).not.toContain('drawn-trunk-outside');
  });

  it('the job is null where none were given', () => {
    const trees = treeLayer([{ id: 'T0', dbh_in: 10 }]);
    const works = [{ layer: polygonLayer([[about(0, 0)]], [{ kind: 'building' }]) }];
    const { job } = assess({ trees, works, options: { crs: 'local:ft' } });
    expect([job.zonePolygons, job.crownPolygons]).toEqual([null, null]);
    const zones = polygonLayer([[about(0, 0)]], [{ tree: 'T0' }], 'zones.geojson');
    const { job: with_, counts } = assess({ trees, works, zones, options: { crs: 'local:ft' } });
    expect(with_.zonePolygons?.table.rowOfTree.get(0)).toEqual([0]);
    expect(with_.zonePolygons?.lonLat).toHaveLength(8);
    expect(counts.zones).toEqual({ in: 1, joined: 1, rejected: 0 });
  });
});
