// Documentation that runs: every command line of README and docs is run on the demo's files (those that leave words out with
// dots are held against the options there are), every piece of JSON is read, the examples of docs/embedding.md are executed.
import { copyFileSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest';
import { program } from '../../src/cli/main.js';
import { run } from '../support/cli.js';
import { runLine, shellLines } from '../support/shell-lines.js';

const ROOT = resolve(import.meta.dirname, '../..');
const DEMO = join(ROOT, 'data/demo');
const PAGES = [
  'README.md',
  ...readdirSync(join(ROOT, 'docs'))
    .filter((one) => one.endsWith('.md'))
    .map((one) => `docs/${one}`),
];
const TREES = ['T001', 'T002', 'T003', 'T004', 'T109']; // enough of the survey, and the tree that examples name

const blocks = (page: string, language: string): string[] =>
  [
    ...readFileSync(join(ROOT, page), 'utf8').matchAll(new RegExp(`^\`\`\`${language}\\n([\\s\\S]*?)^\`\`\`$`, 'gm')),
  ].map((match) => match[1]!);

const before = process.cwd();
let dir = '';
afterAll(() => process.chdir(before));

const feature = (geometry: object, properties: object): object => ({ type: 'Feature', geometry, properties });
const point = { type: 'Point', coordinates: [-122.7, 45.5] };
const square = [
  [-122.69995, 45.4999],
  [-122.6998, 45.4999],
  [-122.6998, 45.5001],
  [-122.69995, 45.5001],
  [-122.69995, 45.4999],
];

/** A level surface over the demo's site, and so much above. */
const surface = (above: number): string => {
  const corners = ['679800 7639900', '679800 7640700', '680600 7640700', '680600 7639900'];
  const points = corners.map((at, i) => `<P id="${i + 1}">${at} ${100 + above}</P>`).join('');
  const tin = `<Pnts>${points}</Pnts><Faces><F>1 2 3</F><F>1 3 4</F></Faces>`;
  const units = '<Units><Imperial linearUnit="foot"/></Units><CoordinateSystem epsgCode="2913"/>';
  return `<LandXML>${units}<Surfaces><Surface name="S"><Definition surfType="TIN">${tin}</Definition></Surface></Surfaces></LandXML>`;
};

/** A folder with a file for every name that the pages use. */
async function fill(): Promise<void> {
  for (const name of readdirSync(DEMO)) copyFileSync(join(DEMO, name), join(dir, name));
  const [heading = '', ...rows] = readFileSync(join(DEMO, 'survey.csv'), 'utf8').split('\n');
  const kept = rows.filter((row) => TREES.some((id) => row.startsWith(`${id},`)));
  writeFileSync(join(dir, 'survey.csv'), [heading, ...kept, ''].join('\n'));
  const oak = JSON.stringify(feature(point, { id: 'oak', dbh_in: 24 }));
  const house = JSON.stringify(feature({ type: 'Polygon', coordinates: [square] }, { id: 'house', kind: 'building' }));
  for (const name of ['oak.geojson', 'trees.geojson']) writeFileSync(join(dir, name), oak);
  for (const name of ['house.geojson', 'buildings.geojson']) writeFileSync(join(dir, name), house);
  for (const name of ['roads.geojson', 'drive.geojson']) copyFileSync(join(DEMO, 'works.geojson'), join(dir, name));
  writeFileSync(join(dir, 'existing.xml'), surface(0));
  writeFileSync(join(dir, 'proposed.xml'), surface(1));
  const rule = (await run('rules', 'foot-per-inch')).out.replace('"foot-per-inch"', '"our-code"');
  for (const name of ['our-code.json', 'town.json']) writeFileSync(join(dir, name), rule);
}

describe('command lines', () => {
  const io = { out: async () => undefined, err: () => undefined, colour: { out: false, err: false } };
  const commands = program(io, () => undefined).commands;

  test.each(PAGES.filter((page) => blocks(page, 'sh').some((block) => /^rootberth /m.test(block))))(
    'of %s',
    async (page) => {
      dir = mkdtempSync(join(tmpdir(), 'docs-'));
      process.chdir(dir);
      try {
        await fill();
        const job = blocks(page, 'json').find((text) => text.includes('"works":'));
        if (job !== undefined) writeFileSync(join(dir, 'rootberth.json'), job);
        const notes = blocks(page, 'json').find((text) => text.includes('"fence":'));
        if (notes !== undefined) writeFileSync(join(dir, 'protection.json'), notes);
        for (const line of blocks(page, 'sh').flatMap(shellLines)) {
          const [name, command, ...words] = line.words;
          if (name !== 'rootberth') continue;
          const known = commands.find((one) => one.name() === command);
          const options = known?.options.map(({ long }) => long) ?? [];
          if (command?.startsWith('--') !== true)
            expect(`${page}: ${known?.name() ?? 'no command'}`).toBe(`${page}: ${command}`);
          for (const word of words)
            if (word.startsWith('--')) expect([...options, '--help'], `${page}: ${word}`).toContain(word);
          if (words.includes('...')) continue;
          const to = line.to === null ? null : line.to.split('/').at(-1)!;
          const { code, err } = await runLine({ ...line, to });
          const fine = code === 0 || (code === 3 && words.includes('--fail-on'));
          expect(`${line.words.join(' ')}: ${fine ? 'ran' : err}`).toBe(`${line.words.join(' ')}: ran`);
        }
      } finally {
        process.chdir(before);
        rmSync(dir, { recursive: true });
      }
    },
  );
});

test('JSON is JSON, whole or the inside of an object', () => {
  let seen = 0;
  for (const page of PAGES) {
    for (const text of blocks(page, 'json')) {
      seen++;
      expect(() => JSON.parse(/^\s*[[{]/.test(text) ? text : `{${text}}`), `${page}:\n${text}`).not.toThrow();
    }
  }
  expect(seen).toBeGreaterThan(3);
});

describe('docs/embedding.md', () => {
  const folder = mkdtempSync(join(ROOT, 'tests', 'tmp-embedding-'));
  afterAll(() => rmSync(folder, { recursive: true }));
  const ours = (text: string): string => text.replaceAll("'rootberth'", "'../../src/index.js'");
  const [features = '', others = ''] = blocks('docs/embedding.md', 'ts');
  const [leaflet = '', maplibre = '', service = ''] = blocks('docs/embedding.md', 'js');
  let collection: { features: { properties: Record<string, unknown> }[] };
  /** Loads an example, which prints what its comment says. */
  const printing = async (file: string, text: string) => {
    const said: string[] = [];
    const log = vi.spyOn(console, 'log').mockImplementation((...words) => void said.push(words.join(' ')));
    const loaded = await import(join(folder, file));
    log.mockRestore();
    expect(said).toEqual([/console\.log\(.*\); \/\/ (.*)/.exec(text)?.[1]]);
    return loaded;
  };
  beforeAll(async () => {
    for (const [name, text] of Object.entries({
      'features.ts': features,
      'others.ts': others,
      'leaflet.js': leaflet,
      'maplibre.js': maplibre,
      'service.js': service,
    })) {
      writeFileSync(join(folder, name), ours(text));
    }
    const { featuresOf } = await printing('features.ts', features);
    const bytes = (value: object): Uint8Array => new TextEncoder().encode(JSON.stringify(value));
    collection = featuresOf(
      bytes(feature(point, { id: 'oak', dbh_in: 24 })),
      bytes(feature({ type: 'Polygon', coordinates: [square] }, { kind: 'building' })),
    );
  });

  test('a library for GeoJSON takes the collection as it is', async () => {
    await printing('others.ts', others);
  });

  test('Leaflet: a circle per tree, a popup that is text', async () => {
    const { addToLeaflet } = await import(join(folder, 'leaflet.js'));
    vi.stubGlobal('document', { createTextNode: (text: string) => ({ text }) });
    const popups: { text: string }[] = [];
    const layer = { bindPopup: (popup: { text: string }) => void popups.push(popup) };
    const markers: object[] = [];
    const map = {};
    const added = addToLeaflet(
      {
        circleMarker: (_at: unknown, options: object) => markers.push(options),
        geoJSON: (data: typeof collection, options: Record<string, (...args: unknown[]) => void>) => {
          for (const one of data.features) {
            options.style?.(one);
            if (one.properties.rb_role === 'tree') options.pointToLayer?.(one, [45.5, -122.7]);
            options.onEachFeature?.(one, layer);
          }
          return { addTo: (on: object) => on };
        },
      },
      map,
      collection,
    );
    vi.unstubAllGlobals();
    expect(added).toBe(map);
    expect(popups.map(({ text }) => text)).toEqual(['oak: within-limit, 17.7 %']);
    expect(markers).toEqual([{ radius: 4, color: '#b8860b' }]);
  });

  test('MapLibre: one source, layers whose filters each find something', async () => {
    const { addToMapLibre } = await import(join(folder, 'maplibre.js'));
    const sources: object[] = [];
    const layers: { source: string; filter: [string, [string, string], string] }[] = [];
    addToMapLibre(
      { addSource: (_: string, source: object) => sources.push(source), addLayer: (one: never) => layers.push(one) },
      collection,
    );
    expect(sources).toEqual([{ type: 'geojson', data: collection }]);
    for (const { filter } of layers) {
      const [, [, property], value] = filter;
      expect(collection.features.some(({ properties }) => properties[property] === value)).toBe(true);
    }
    expect(layers).toHaveLength(3);
  });

  test('the Node service answers, and tells a bad request from bad data', async () => {
    const { server } = await import(join(folder, 'service.js'));
    await new Promise<void>((done) => void server.listen(0, '127.0.0.1', done));
    const url = `http://127.0.0.1:${(server.address() as AddressInfo).port}/`;
    const post = async (body: string) => {
      const response = await fetch(url, { method: 'POST', body });
      return { status: response.status, body: (await response.json()) as Record<string, unknown> };
    };
    try {
      const trees = feature(point, { id: 'oak', dbh_in: 24 });
      const works = feature({ type: 'Polygon', coordinates: [square] }, { kind: 'building' });
      const fine = await post(JSON.stringify({ trees, works }));
      expect([fine.status, fine.body.type]).toEqual([200, 'FeatureCollection']);
      expect((await post('{')).status).toBe(400);
      const unusable = await post(JSON.stringify({ trees: feature(point, { id: 'oak' }), works }));
      expect([unusable.status, Object.keys(unusable.body)]).toEqual([422, ['code', 'message', 'cure']]);
    } finally {
      server.close();
    }
  });
});
