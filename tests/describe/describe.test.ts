// What `check` says of five typical files, to the letter. In: files; out: the tables and the command line on stdout.
// The demo's survey as CSV and as shapefile with works and lots; girths under a vague name; survey points without a
// heading; works that do not say what they are.

import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { main } from '../../src/cli/main.js';
import { shellWord } from '../../src/describe/command.js';
import { describeLayer } from '../../src/describe/describe.js';
import type { Layer } from '../../src/model/index.js';
import { readLayer } from '../../src/read/index.js';

const DEMO = fileURLToPath(new URL('../../data/demo/', import.meta.url));
const FILES = {
  'girths.csv': `tree_no,easting,northing,DIA,RAD,SPP
1,7639984.09,680142.92,565,282.5,oak
2,7639990.5,680150.25,188,94,fir
3,7640001.25,680160,94,47,fir
4,7640010,680171.5,251,125.5,maple
5,7640020,680180,30,15,thorn
`,
  'bare.csv': `1,680142.92,7639984.09,312.1,OAK 24
2,680150.25,7639990.5,311,FIR 12
`,
  'drives.geojson': `{"type":"FeatureCollection","features":[{"type":"Feature","geometry":{"type":"Polygon","coordinates":[[[-122.692,45.511],[-122.6919,45.511],[-122.6919,45.5111],[-122.692,45.511]]]},"properties":{"type":"driveway","depth":1}}]}`,
};
let folder = '';
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'describe-'));
  for (const [name, text] of Object.entries(FILES)) await writeFile(join(folder, name), text);
});
afterAll(() => rm(folder, { recursive: true }));

/** What `check` prints, with paths as names. */
async function check(from: string, ...names: string[]): Promise<string> {
  let out = '';
  const io = {
    out: async (text: string) => {
      out += text;
    },
    err: () => undefined,
    colour: { out: false, err: false },
  };
  await main(['check', ...names.map((name) => join(from, name))], io);
  return out.replaceAll(join(from, '/'), '');
}

describe('check, to the letter', () => {
  it('the demo survey as CSV: the coordinate system must be given', async () => {
    expect(await check(DEMO, 'survey.csv')).toBe(`survey.csv
┌────────────────────────┬────────────────────────────────────────────────────────────────────────────────────────────┐
│ looks like             │ trees                                                                                      │
│ format                 │ csv                                                                                        │
│ features               │ 120 (120 point)                                                                            │
│ usable                 │ 119 of 120                                                                                 │
│ coordinate system      │ not known                                                                                  │
│ extent (own figures)   │ 7639984.090, 679917.119 to 7640581.417, 680495.969                                         │
│ size dbh_in            │ 6 to 54 in, half up to 17.1 (110 given)                                                    │
│ size girth_in          │ 62.8 to 94.2 in, half up to 78.5 (3 given)                                                 │
│ size base_dia_in       │ 7.2 to 66 in, half up to 19.2 (40 given)                                                   │
│ fields                 │ id, easting, northing, tag, species, common_name, dbh_in, stems_in, girth_in, base_dia_in, │
│                        │ crown_radius_ft, crown_n_ft, crown_e_ft, crown_s_ft, crown_w_ft, height_ft, crown_base_ft, │
│                        │ form, age, tolerance, condition, disposition, off_site, protected, veteran, accuracy_ft,   │
│                        │ surveyed, surveyor, remarks, source, remaining_years, vigour, crown_density_pct,           │
│                        │ dieback_pct, sounding, cavities, decay, fungi, root_flare, root_disease, codominant,       │
│                        │ included_bark, lean_deg, dead_wood, pests, irremediable, strikes, soil                     │
│ SHA-256                │ fb5c53e39301ef32fea842f2e84c6746b263bceb5c718395b275ee13b42ab362                           │
└────────────────────────┴────────────────────────────────────────────────────────────────────────────────────────────┘
To assess:
  rootberth assess --trees survey.csv --crs EPSG:NNNN --out assessed.geojson
Before that:
  - --crs EPSG:NNNN: survey.csv does not say its coordinate system: put its code in place of EPSG:NNNN (the survey's sheet names it)
  - zones only, without a verdict: add the proposed works with --works F when there is a design
`);
  });

  it('the demo survey as shapefile, works and lots: runs as it is printed', async () => {
    expect(await check(DEMO, 'survey.zip', 'works.geojson', 'lots.geojson')).toBe(`survey.zip
┌────────────────────────┬────────────────────────────────────────────────────────────────────────────────────────────┐
│ looks like             │ trees                                                                                      │
│ format                 │ shapefile                                                                                  │
│ features               │ 120 (120 point)                                                                            │
│ usable                 │ 119 of 120                                                                                 │
│ coordinate system      │ EPSG:2913 NAD83(HARN) / Oregon North (ft) (stated by its .prj)                             │
│ unit                   │ ft                                                                                         │
│ datum                  │ NAD83(HARN): taken as WGS 84 (EPSG:1580)                                                   │
│ extent (own figures)   │ 7639984.090, 679917.119 to 7640581.417, 680495.969                                         │
│ extent (lon, lat)      │ -122.693071, 45.510698 to -122.690680, 45.512330                                           │
│ inside its area of use │ yes                                                                                        │
│ size dbh_in            │ 6 to 54 in, half up to 17.1 (110 given)                                                    │
│ size girth_in          │ 62.8 to 94.2 in, half up to 78.5 (3 given)                                                 │
│ fields                 │ id, tag, species, common_nam, dbh_in, stems_in, girth_in, base_d_in, crown_r_ft,           │
│                        │ crown_n_ft, crown_e_ft, crown_s_ft, crown_w_ft, height_ft, crown_b_ft, form, age,          │
│                        │ tolerance, condition, dispositio, off_site, protected, veteran, accur_ft, surveyed,        │
│                        │ surveyor, remarks, source                                                                  │
│ likely fields          │ common_name=common_nam, base_dia=base_d_in, crown_radius=crown_r_ft,                       │
│                        │ crown_base=crown_b_ft, disposition=dispositio                                              │
│ SHA-256                │ f439a14d568d3c90be99b4715f9bda8066555f4d43ee580472ab436539f9e268                           │
└────────────────────────┴────────────────────────────────────────────────────────────────────────────────────────────┘
works.geojson
┌────────────────────────┬────────────────────────────────────────────────────────────────────────────────────────────┐
│ looks like             │ works                                                                                      │
│ format                 │ geojson                                                                                    │
│ features               │ 55 (36 polygon, 19 line)                                                                   │
│ usable                 │ 55 of 55                                                                                   │
│ coordinate system      │ OGC:CRS84 WGS 84 longitude, latitude (because it states none and every coordinate fits     │
│                        │ degrees (RFC 7946))                                                                        │
│ unit                   │ degree                                                                                     │
│ datum                  │ WGS 84: none needed                                                                        │
│ extent (lon, lat)      │ -122.693181, 45.510791 to -122.690838, 45.512105                                           │
│ inside its area of use │ yes                                                                                        │
│ fields                 │ id, kind, remarks, depth_ft, source, height_ft, width_ft, option, temporary                │
│ SHA-256                │ 3f3a7f5dd27a8e58a0f6e455507c1122413b34dbcc9496edc5943bfe24805c09                           │
└────────────────────────┴────────────────────────────────────────────────────────────────────────────────────────────┘
lots.geojson
┌────────────────────────┬────────────────────────────────────────────────────────────────────────────────────────────┐
│ looks like             │ lots                                                                                       │
│ format                 │ geojson                                                                                    │
│ features               │ 15 (15 polygon)                                                                            │
│ usable                 │ 15 of 15                                                                                   │
│ coordinate system      │ OGC:CRS84 WGS 84 longitude, latitude (because it states none and every coordinate fits     │
│                        │ degrees (RFC 7946))                                                                        │
│ unit                   │ degree                                                                                     │
│ datum                  │ WGS 84: none needed                                                                        │
│ extent (lon, lat)      │ -122.693138, 45.510630 to -122.690644, 45.512337                                           │
│ inside its area of use │ yes                                                                                        │
│ fields                 │ id, plat, source                                                                           │
│ SHA-256                │ 50aea5c6d488eb972447e96ef7916f3a6393bfe17887cfacc7dceb3002e81ce2                           │
└────────────────────────┴────────────────────────────────────────────────────────────────────────────────────────────┘
To assess:
  rootberth assess --trees survey.zip --works works.geojson --lots lots.geojson --field common_name=common_nam --field base_dia=base_d_in --field crown_radius=crown_r_ft --field crown_base=crown_b_ft --field disposition=dispositio --out assessed.geojson
Before that:
  - --field: chosen by the names of the fields: remove any that are wrong
`);
  });

  it('girths under a vague name, a column that is half of another', async () => {
    expect(await check(folder, 'girths.csv')).toBe(`girths.csv
┌────────────────────────┬────────────────────────────────────────────────────────────────────────────────────────────┐
│ looks like             │ trees                                                                                      │
│ format                 │ csv                                                                                        │
│ features               │ 5 (5 point)                                                                                │
│ usable                 │ not as it is                                                                               │
│ coordinate system      │ not known                                                                                  │
│ extent (own figures)   │ 7639984.090, 680142.920 to 7640020.000, 680180.000                                         │
│ size DIA               │ 30 to 565, half up to 188 (5 given); largest 565: by size mm, or girth in cm; the unit     │
│                        │ must be given                                                                              │
│ size RAD               │ 15 to 282.5, half up to 94 (5 given); DIA is twice RAD: diameter and radius?               │
│ fields                 │ tree_no, easting, northing, DIA, RAD, SPP                                                  │
│ likely fields          │ dbh=DIA, species=SPP                                                                       │
│ SHA-256                │ 4041dcc7799d97300603c0387298128d1c08eed92c0f94203a52d7c8dca61402                           │
└────────────────────────┴────────────────────────────────────────────────────────────────────────────────────────────┘
To assess:
  rootberth assess --trees girths.csv --crs EPSG:NNNN --field dbh=DIA --field species=SPP --dbh-unit UNIT --out assessed.geojson
Before that:
  - --field: chosen by the names of the fields: remove any that are wrong
  - --crs EPSG:NNNN: girths.csv does not say its coordinate system: put its code in place of EPSG:NNNN (the survey's sheet names it)
  - --dbh-unit UNIT: DIA does not say its unit: put mm in place of UNIT; if it is girth in cm, write --field girth=DIA:cm in place of dbh
  - zones only, without a verdict: add the proposed works with --works F when there is a design
`);
  });

  it('survey points without a heading', async () => {
    expect(await check(folder, 'bare.csv')).toBe(`To assess:
  rootberth assess --trees bare.csv --columns P,N,E,Z,D --code CODE=SPECIES --out assessed.geojson
Before that:
  - --columns P,N,E,Z,D: bare.csv has no heading row; point, northing, easting, elevation, description is the usual order: check
  - --code CODE=SPECIES: give the word for a tree in its descriptions, and the species; other points are set aside
  - zones only, without a verdict: add the proposed works with --works F when there is a design
`);
  });

  it('works under another field name, a depth without a unit', async () => {
    expect(await check(folder, 'drives.geojson')).toBe(`drives.geojson
┌────────────────────────┬────────────────────────────────────────────────────────────────────────────────────────────┐
│ looks like             │ works                                                                                      │
│ format                 │ geojson                                                                                    │
│ features               │ 1 (1 polygon)                                                                              │
│ usable                 │ not as it is                                                                               │
│ coordinate system      │ OGC:CRS84 WGS 84 longitude, latitude (because it states none and every coordinate fits     │
│                        │ degrees (RFC 7946))                                                                        │
│ unit                   │ degree                                                                                     │
│ datum                  │ WGS 84: none needed                                                                        │
│ extent (lon, lat)      │ -122.692000, 45.511000 to -122.691900, 45.511100                                           │
│ inside its area of use │ yes                                                                                        │
│ fields                 │ type, depth                                                                                │
│ likely fields          │ works.kind=type                                                                            │
│ SHA-256                │ dd4715ac4f3cfa8fdc4d9feedcf8f7144cd44bcfdfa9bb71731e9b5b25d89de0                           │
└────────────────────────┴────────────────────────────────────────────────────────────────────────────────────────────┘
To assess:
  rootberth assess --trees TREES.csv --works drives.geojson --field works.kind=type --field works.depth=- --out assessed.geojson
Before that:
  - --field: chosen by the names of the fields: remove any that are wrong
  - --field works.depth=-: depth does not say its unit and is left out; to use it write works.depth=depth:ft (or :m, :in, :cm)
  - TREES.csv: the tree survey
`);
  });
});

it('prints a command line that runs', async () => {
  const [, line = ''] =
    /\n {2}rootberth (.*)\n/.exec(await check(DEMO, 'survey.zip', 'works.geojson', 'lots.geojson')) ?? [];
  const files = new Set(['survey.zip', 'works.geojson', 'lots.geojson']);
  const words = line.split(' ').map((word) => (files.has(word) ? join(DEMO, word) : word));
  const argv = words.map((word) => (word === 'assessed.geojson' ? join(folder, word) : word));
  const io = { out: async () => undefined, err: () => undefined, colour: { out: false, err: false } };
  expect(await main(argv, io)).toBe(0);
});

describe('sizes that look wrong', () => {
  const sizes = (rows: readonly object[], options = {}): string[] => {
    const features = rows.map((properties, i) => ({
      type: 'Feature',
      geometry: { type: 'Point', coordinates: [i / 1e4, 0] },
      properties,
    }));
    const bytes = new TextEncoder().encode(JSON.stringify({ type: 'FeatureCollection', features }));
    return describeLayer(readLayer(bytes, { name: 'a.geojson' }), options).sizes.flatMap((size) => size.notes);
  };
  const of = (name: string, ...values: number[]): object[] => values.map((v) => ({ [name]: v }));
  it.each<[string, object[], string[]]>([
    [
      'girth under dbh_cm',
      of('dbh_cm', 180, 250, 565),
      ['largest 565 cm is a trunk 5.65 m through: looks like girth in cm'],
    ],
    [
      'metres under dbh_in',
      of('dbh_in', 0.3, 0.6, 1.2),
      ['largest 1.2 in is a trunk 0.0305 m through: looks like metres or feet'],
    ],
    ['no unit', of('dbh', 8, 20, 54), ['largest 54: by size inches or cm; the unit must be given']],
    [
      'round figures',
      of('dbh_cm', 10, 20, 30, 40, 50, 60, 70, 80, 90, 100, 110),
      ['every figure is a multiple of 10: estimated, not taped?'],
    ],
    ['sound figures', of('dbh_in', 8, 21.5, 54), []],
  ])('%s', (_what, rows, notes) => {
    expect(sizes(rows)).toEqual(notes);
  });

  it('a column that is another in other words', () => {
    const rows = [8, 21, 30].map((d) => ({
      dbh_in: d,
      trunk_cm: Number((d * 2.54).toFixed(1)),
      girth_in: Number((d * Math.PI).toFixed(1)),
    }));
    expect(sizes(rows)).toEqual([
      'trunk_cm is 2.54 times dbh_in: cm and inches?',
      'girth_in is 3.14 times dbh_in: girth and diameter?',
    ]);
  });
});

it('has something to say of an empty layer and of one without anything usable', () => {
  const empty = readLayer(new TextEncoder().encode('{"type":"FeatureCollection","features":[]}'), {
    name: 'e.geojson',
  });
  expect(describeLayer(empty)).toMatchObject({ role: 'trees', usable: 0, sizes: [], needs: [], problems: [] });
  const odd: Layer = {
    ...empty,
    count: 1,
    geometry: { ...empty.geometry, kind: Uint8Array.of(7), partStart: Uint32Array.of(0, 0) },
  };
  expect(describeLayer(odd).problems.map((p) => p.code)).toEqual(['dbh-field-missing']);
});

it('quotes words for a shell only where it has to', () => {
  expect(["survey's.csv", 'a b.csv', 'dbh=DIAM', '', '$HOME'].map(shellWord)).toEqual([
    "'survey'\\''s.csv'",
    "'a b.csv'",
    'dbh=DIAM',
    "''",
    "'$HOME'",
  ]);
});

describe('units are judged by the many', () => {
  const described = (rows: readonly object[]) => {
    const features = rows.map((properties, i) => ({
      type: 'Feature',
      properties,
      geometry: { type: 'Point', coordinates: [-122.5 + i * 1e-5, 45.5] },
    }));
    const bytes = new TextEncoder().encode(JSON.stringify({ type: 'FeatureCollection', features }));
    return describeLayer(readLayer(bytes, { name: 'city.geojson' }));
  };
  // A city: figures of 1.3 to 90, half of them up to 8, and one tree of 140 that in inches would be 3.56 m thick.
  const city = Array.from({ length: 2000 }, (_, i) => ({ DBH: i % 100 === 99 ? 89.3 : 1.3 + ((i * 7) % 140) / 10 }));

  it('one figure among thousands decides nothing, and is named', () => {
    const { sizes, needs } = described([...city.slice(0, 700), { DBH: 140 }, ...city.slice(700)]);
    expect(sizes[0]?.fits).toEqual(['in', 'cm']);
    expect(sizes[0]?.notes.join('; ')).toContain('far from the rest: 140 (feature 700): check it');
    expect(needs.find(({ option }) => option === '--dbh-unit')).toMatchObject({ value: 'UNIT' });
  });

  it('few figures are all looked at', () => {
    expect(described([{ DBH: 20 }, { DBH: 30 }, { DBH: 300 }]).sizes[0]?.fits).toEqual(['cm']);
  });

  it('counts, numbers and columns that are all 0 are no sizes', () => {
    const rows = [1, 2, 3].map((n) => ({ trunks: n, trunk_count: n, neighbourhood_dia: n, DIAM: 0 }));
    expect(described(rows).sizes).toEqual([]);
  });
});
