// Styles of an output. In: the demo's assessment; out: SLD read by an XML parser, a MapLibre style judged by the
// specification's own validator, GeoPackage tables read back, simplestyle properties; each against the colours of style/ and
// the counts of the features that the rules pick.
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { createExpression, featureFilter, validateStyleMin } from '@maplibre/maplibre-gl-style-spec';
import Sqlite from 'better-sqlite3';
import { XMLParser, XMLValidator } from 'fast-xml-parser';
import type { Feature, FeatureCollection } from 'geojson';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import {
  type Assessment,
  assessFiles,
  ROLES,
  toGeoJSON,
  toMapLibre,
  toSld,
  VERDICTS,
  WORKS_KINDS,
  writeAssessment,
  writeStyles,
} from '../../src/node.js';
import {
  KIND_TONES,
  LINE_STYLES,
  SIMPLE_NAMES,
  type StyledRole,
  TAKEN_TONES,
  VERDICT_STYLES,
} from '../../src/style/index.js';
import { ROLE_STYLES } from '../../src/style/role-styles.js';

const demo = (name: string): string => fileURLToPath(new URL(`../../data/demo/${name}`, import.meta.url));

let dir = '';
let assessment: Assessment;
let collection: FeatureCollection;
beforeAll(async () => {
  dir = await mkdtemp(join(tmpdir(), 'styles-'));
  assessment = await assessFiles({
    trees: demo('survey.csv'),
    works: [demo('works.geojson'), { path: demo('option-b.geojson'), option: 'B' }],
    existing: [demo('existing.geojson')],
    lots: demo('lots.geojson'),
    crs: 'EPSG:2913',
  });
  collection = toGeoJSON(assessment);
});
afterAll(async () => {
  await rm(dir, { recursive: true });
});

const roleOf = (feature: Feature): string => String(feature.properties?.rb_role);

// ---------------------------------------------------------------- SLD, as an XML parser sees it

type Node = Readonly<Record<string, unknown>>;
const list = (of: unknown): Node[] => (of === undefined ? [] : ((Array.isArray(of) ? of : [of]) as Node[]));

function readSld(text: string): Node[] {
  expect(XMLValidator.validate(text)).toBe(true);
  const parser = new XMLParser({ ignoreAttributes: false, parseTagValue: false, parseAttributeValue: false });
  const root = (parser.parse(text) as Node).StyledLayerDescriptor as Node;
  expect(root['@_version']).toBe('1.1.0');
  // The namespaces of SLD 1.1, Symbology Encoding 1.1 and Filter Encoding 1.1 (OGC 05-078r4, 05-077r4, 04-095).
  expect(root['@_xmlns']).toBe('http://www.opengis.net/sld');
  expect(root['@_xmlns:se']).toBe('http://www.opengis.net/se');
  expect(root['@_xmlns:ogc']).toBe('http://www.opengis.net/ogc');
  return list(root.NamedLayer);
}

const rulesOf = (layer: Node): Node[] => list(((layer.UserStyle as Node)['se:FeatureTypeStyle'] as Node)['se:Rule']);

/** A filter of ours on the properties of a feature. */
function passes(filter: Node, properties: Node): boolean {
  return Object.entries(filter).every(([name, content]) =>
    list(content).every((one) => {
      if (name === 'ogc:And') return passes(one, properties);
      if (name === 'ogc:Not') return !passes(one, properties);
      const value = properties[String(one['ogc:PropertyName'])];
      if (name === 'ogc:PropertyIsNull') return value === null || value === undefined;
      expect(name).toBe('ogc:PropertyIsEqualTo');
      return value !== null && String(value) === one['ogc:Literal'];
    }),
  );
}

const colourOf = (symbolizer: unknown, part: 'se:Fill' | 'se:Stroke', name: string): unknown =>
  list(((symbolizer as Node)[part] as Node)['se:SvgParameter']).find((p) => p['@_name'] === name)?.['#text'];

describe('SLD', () => {
  test('a NamedLayer for each role, with the elements of Symbology Encoding in the order of its schema', () => {
    const layers = readSld(toSld(ROLES, 'rb_'));
    expect(layers.map((layer) => layer['se:Name'])).toEqual([...ROLES]);
    // RuleType of FeatureStyle.xsd: Name, Description, LegendGraphic, Filter | ElseFilter, scales, symbolizers.
    const order = [
      'se:Name',
      'se:Description',
      'ogc:Filter',
      'se:PolygonSymbolizer',
      'se:LineSymbolizer',
      'se:PointSymbolizer',
    ];
    for (const rule of layers.flatMap(rulesOf)) {
      const keys = Object.keys(rule);
      expect(keys).toEqual(order.filter((key) => keys.includes(key)));
      expect(keys.filter((key) => key.endsWith('Symbolizer')).length).toBeGreaterThan(0);
    }
  });

  test('every feature of the demo meets one rule of its role, and the sums by verdict and kind are the job’s own', () => {
    const layers = readSld(toSld(ROLES, 'rb_'));
    const met = new Map<string, number>();
    for (const feature of collection.features) {
      const layer = layers.find((one) => one['se:Name'] === roleOf(feature))!;
      // Rules laid over others (what is to become of a tree) are apart.
      const above = ROLE_STYLES[roleOf(feature) as StyledRole].above?.rules.map(({ title }) => title) ?? [];
      const rules = rulesOf(layer).filter(
        (rule) => !above.includes(String((rule['se:Description'] as Node)['se:Title'])),
      );
      const fit = rules.filter((rule) => passes(rule['ogc:Filter'] as Node, feature.properties as Node));
      expect(fit, JSON.stringify(feature.properties)).toHaveLength(1);
      const key = `${roleOf(feature)} ${fit[0]?.['se:Name']}`;
      met.set(key, (met.get(key) ?? 0) + 1);
      // No rule of another role takes it: the styles serve a layer that holds all roles.
      const others = layers.filter((one) => one !== layer).flatMap(rulesOf);
      expect(others.some((rule) => passes(rule['ogc:Filter'] as Node, feature.properties as Node))).toBe(false);
    }
    const { verdicts } = assessment.counts;
    for (const verdict of VERDICTS) expect(met.get(`tree ${verdict}`) ?? 0, verdict).toBe(verdicts[verdict]);
    const counted = [...assessment.eachWorks()].filter((w) => w.counted !== 'false').map((w) => w.kind);
    for (const kind of WORKS_KINDS) {
      expect(met.get(`works ${kind}`) ?? 0, kind).toBe(counted.filter((one) => one === kind).length);
    }
    expect(met.get('works false') ?? 0).toBe([...assessment.eachWorks()].filter((w) => w.counted === 'false').length);
    expect(met.get('works false')).toBeGreaterThan(0);
    expect(met.get('fence gate')).toBe(assessment.fences.gates.length);
    expect(met.get('fence ground-protection')).toBe(assessment.fences.groundProtection.length);
  });

  test('colours are the palette’s, by verdict, by kind, and for a verdict that is null', () => {
    const layers = readSld(toSld(['zone', 'works', 'overlap', 'tree', 'lot'], 'rb_'));
    const [zone = [], works = [], overlap = [], tree = [], lot = []] = layers.map(rulesOf);
    const named = (rules: readonly Node[], name: string): Node => rules.find((rule) => rule['se:Name'] === name)!;
    for (const verdict of VERDICTS) {
      const { fill } = VERDICT_STYLES[verdict];
      expect(colourOf(named(zone, verdict)['se:PolygonSymbolizer'], 'se:Fill', 'fill')).toBe(fill);
      const point = named(tree, verdict)['se:PointSymbolizer'] as Node;
      const mark = (point['se:Graphic'] as Node)['se:Mark'];
      expect(colourOf(mark, 'se:Fill', 'fill')).toBe(fill);
    }
    const none = zone.find((rule) => JSON.stringify(rule).includes('PropertyIsNull'))!;
    expect(colourOf(none['se:PolygonSymbolizer'], 'se:Fill', 'fill')).toBe(VERDICT_STYLES.none.fill);
    expect(passes(none['ogc:Filter'] as Node, { rb_role: 'zone', rb_verdict: null })).toBe(true);
    for (const kind of WORKS_KINDS) {
      const symbolizer = named(works, kind)['se:PolygonSymbolizer'];
      expect(colourOf(symbolizer, 'se:Fill', 'fill')).toBe(KIND_TONES[kind].ground);
      expect(colourOf(symbolizer, 'se:Stroke', 'stroke')).toBe(KIND_TONES[kind].ink);
    }
    expect(colourOf(overlap[0]?.['se:PolygonSymbolizer'], 'se:Fill', 'fill')).toBe(TAKEN_TONES.overlap.ground);
    expect(colourOf(lot[0]?.['se:LineSymbolizer'], 'se:Stroke', 'stroke')).toBe(LINE_STYLES.lot.ink);
    // 0.25 mm in pixels of 0.28 mm (OGC 05-077r4, 11.1.1)
    expect(colourOf(lot[0]?.['se:LineSymbolizer'], 'se:Stroke', 'stroke-width')).toBe('0.89');
  });
});

// ---------------------------------------------------------------- MapLibre, by the specification's own code

describe('MapLibre style', () => {
  const style = () =>
    toMapLibre({ roles: ROLES, prefix: 'rb_', source: 'a', data: 'a.geojson', title: 'A', box: [-123, 45, -122, 46] });
  const zoomed = { zoom: 17 };
  /** A feature as a tile holds it. */
  const asTile = ({ geometry, properties }: Feature) => {
    const types: Readonly<Record<string, 1 | 2 | 3>> = { Point: 1, MultiPoint: 1, LineString: 2, MultiLineString: 2 };
    return { type: types[geometry.type] ?? 3, properties: properties ?? {}, geometry: [] } as const;
  };

  test('the validator of the specification finds nothing wrong with it, and it asks for no file but the GeoJSON', () => {
    expect(validateStyleMin(style() as never)).toEqual([]);
    expect(Object.keys(style()).sort()).toEqual(['center', 'layers', 'name', 'sources', 'version', 'zoom']);
    expect(style().sources).toEqual({ a: { type: 'geojson', data: 'a.geojson' } });
    expect(style().layers.some(({ type }) => String(type) === 'symbol')).toBe(false);
    // The validator is one that finds things.
    const broken = { ...style(), layers: [{ ...style().layers[0]!, type: 'lines' }] };
    expect(validateStyleMin(broken as never).length).toBeGreaterThan(0);
  });

  test('each feature is drawn by layers of its own role, with the colour of its verdict or kind', () => {
    const layers = style().layers.map((layer) => ({
      ...layer,
      passes: featureFilter(layer.filter as never, layer.id).filter,
    }));
    const paint = (layer: (typeof layers)[number], name: string, feature: Feature): string => {
      const made = createExpression(['to-string', layer.paint[name]], `${layer.id}.${name}`);
      if (made.result !== 'success') throw new Error(JSON.stringify(made.value));
      return String(made.value.evaluate(zoomed as never, asTile(feature) as never));
    };
    const drawn = (feature: Feature) =>
      layers.filter((layer) => layer.passes(zoomed as never, asTile(feature) as never));
    for (const feature of collection.features) {
      if (feature.geometry === null) continue;
      const here = drawn(feature);
      expect(here.length, JSON.stringify(feature.properties)).toBeGreaterThan(0);
      expect(here.every(({ id }) => id.startsWith(`${roleOf(feature)}-`))).toBe(true);
    }
    for (const verdict of [...VERDICTS, null]) {
      const fill = verdict === null ? VERDICT_STYLES.none.fill : VERDICT_STYLES[verdict].fill;
      const tree: Feature = {
        type: 'Feature',
        geometry: { type: 'Point', coordinates: [0, 0] },
        properties: { rb_role: 'tree', rb_verdict: verdict, rb_disposition: 'keep' },
      };
      const marks = drawn(tree);
      expect(marks.map(({ id }) => id)).toEqual(['tree-mark']);
      expect(paint(marks[0]!, 'circle-color', tree)).toBe(fill);
    }
    for (const kind of WORKS_KINDS) {
      const works: Feature = {
        type: 'Feature',
        geometry: { type: 'Polygon', coordinates: [] },
        properties: { rb_role: 'works', rb_kind: kind, rb_counted: 'true' },
      };
      const [fill] = drawn(works);
      expect(paint(fill!, 'fill-color', works)).toBe(KIND_TONES[kind].ground);
      const off = { ...works, properties: { ...works.properties, rb_counted: 'false' } };
      expect(drawn(off).map(({ id }) => id)).toEqual(['works-instead']);
    }
    const gone: Feature = {
      type: 'Feature',
      geometry: { type: 'Point', coordinates: [0, 0] },
      properties: { rb_role: 'tree', rb_verdict: 'untouched', rb_disposition: 'remove' },
    };
    expect(drawn(gone).map(({ id }) => id)).toEqual(['tree-mark', 'tree-remove']);
  });

  test('the counts of trees by colour are the job’s verdicts', () => {
    const mark = style().layers.find(({ id }) => id === 'tree-mark')!;
    const made = createExpression(mark.paint['circle-color'], 'tree-mark.circle-color');
    if (made.result !== 'success') throw new Error('not an expression');
    const byColour = new Map<string, number>();
    for (const feature of collection.features.filter((f) => roleOf(f) === 'tree')) {
      const colour = String(made.value.evaluate(zoomed as never, asTile(feature) as never));
      byColour.set(colour, (byColour.get(colour) ?? 0) + 1);
    }
    for (const verdict of VERDICTS) {
      expect(byColour.get(VERDICT_STYLES[verdict].fill) ?? 0, verdict).toBe(assessment.counts.verdicts[verdict]);
    }
  });

  test('it opens on the box: its middle, and a zoom at which the box fills a window of 600 pixels', () => {
    expect(style().center).toEqual([-122.5, 45.5]);
    // The box is 1 degree high, 1 / cos(45.5) degrees of a Mercator map wide; a tile of zoom z is 512 for 360 / 2^z degrees.
    expect(style().zoom).toBeCloseTo(Math.log2((360 * Math.cos((45.5 * Math.PI) / 180) * 600) / 512), 1);
    const open = toMapLibre({ roles: ['tree'], prefix: 'x_', source: 'a', data: 'a', title: 'A', box: null });
    expect(open).not.toHaveProperty('center');
    expect(JSON.stringify(open)).toContain('x_verdict');
    expect(validateStyleMin(open as never)).toEqual([]);
  });
});

// ---------------------------------------------------------------- files

describe('writeStyles', () => {
  test('two files named after the output, the GeoJSON by its way from the folder', async () => {
    const { files } = await writeStyles(join(dir, 'deep/styles'), join(dir, 'Plan & trees.geojson'), assessment, {
      prefix: 'x_',
      roles: ['zone', 'tree'],
    });
    expect(files).toEqual(['sld', 'style.json'].map((end) => join(dir, 'deep/styles', `Plan & trees.${end}`)));
    const style = JSON.parse(await readFile(files[1]!, 'utf8'));
    expect(style.sources).toEqual({ 'Plan & trees': { type: 'geojson', data: '../../Plan%20%26%20trees.geojson' } });
    expect(validateStyleMin(style)).toEqual([]);
    const { lon, lat } = assessment.trees[0]!;
    expect(Math.abs(style.center[0] - lon!) + Math.abs(style.center[1] - lat!)).toBeLessThan(0.01);
    const layers = readSld(await readFile(files[0]!, 'utf8'));
    expect(layers.map((layer) => layer['se:Name'])).toEqual(['zone', 'tree']);
    expect(JSON.stringify(layers)).toContain('x_verdict');
  });

  test('of an output in a plane system only the SLD: a web map would show it off the coast of Africa', async () => {
    const { files } = await writeStyles(join(dir, 'plane'), join(dir, 'a.gpkg'), assessment, { outCrs: 'EPSG:2913' });
    expect(files).toEqual([join(dir, 'plane', 'a.sld')]);
  });

  test('the same twice: nothing in it depends on when it was written', async () => {
    const texts = await Promise.all(
      ['one', 'two'].map(async (name) => {
        const { files } = await writeStyles(join(dir, name), join(dir, 'a.geojson'), assessment);
        return Promise.all(files.map((file) => readFile(file, 'utf8')));
      }),
    );
    expect(texts[0]).toEqual(texts[1]);
  });
});

describe('GeoPackage', () => {
  test('layer_styles has a style for each table, is registered as attributes, and states no date', async () => {
    const path = join(dir, 'styled.gpkg');
    await writeAssessment(path, assessment, { outCrs: 'EPSG:2913' });
    const db = new Sqlite(path, { readonly: true });
    try {
      const tables = db.prepare("SELECT table_name n FROM gpkg_contents WHERE data_type = 'features'").all() as {
        n: string;
      }[];
      const rows = db.prepare('SELECT * FROM layer_styles ORDER BY id').all() as Record<string, unknown>[];
      expect(rows.map((row) => row.f_table_name)).toEqual(tables.map(({ n }) => n));
      expect(tables.length).toBe(ROLES.length);
      expect(Object.keys(rows[0]!)).toEqual([
        'id',
        'f_table_catalog',
        'f_table_schema',
        'f_table_name',
        'f_geometry_column',
        'styleName',
        'styleQML',
        'styleSLD',
        'useAsDefault',
        'description',
        'owner',
        'ui',
        'update_time',
      ]);
      for (const row of rows) {
        expect(row).toMatchObject({ f_geometry_column: 'geom', styleQML: null, useAsDefault: 1, update_time: null });
        expect(readSld(String(row.styleSLD)).map((layer) => layer['se:Name'])).toEqual([row.f_table_name]);
      }
      const contents = db.prepare("SELECT data_type d FROM gpkg_contents WHERE table_name = 'layer_styles'").all();
      expect(contents).toEqual([{ d: 'attributes' }]);
      // Rows by verdict as the rules of the style ask for them.
      const rules = readSld(String(rows.find((row) => row.f_table_name === 'tree')!.styleSLD)).flatMap(rulesOf);
      for (const verdict of VERDICTS) {
        const name = rules.find((rule) => rule['se:Name'] === verdict)!;
        expect(JSON.stringify(name)).toContain('rb_verdict');
        const { c } = db.prepare('SELECT count(*) c FROM tree WHERE rb_verdict = ?').get(verdict) as { c: number };
        expect(c).toBe(assessment.counts.verdicts[verdict]);
      }
    } finally {
      db.close();
    }
  });
});

describe('a survey without works', () => {
  test('has a verdict of null, which every style has a rule for', async () => {
    const alone = await assessFiles({ trees: demo('survey.csv'), crs: 'EPSG:2913' });
    const all = toGeoJSON(alone, { simplestyle: true, roles: ['zone', 'tree'] }).features;
    const features = all.filter((f) => f.properties?.rb_verdict !== 'not-assessed'); // one without a diameter
    expect(features.length).toBe(2 * alone.trees.filter((tree) => tree.zoneRadiusM !== null).length);
    expect(new Set(features.map((f) => f.properties?.rb_verdict))).toEqual(new Set([null]));
    const { fill } = VERDICT_STYLES.none;
    for (const { properties } of features) {
      expect(properties?.rb_role === 'tree' ? properties['marker-color'] : properties?.fill).toBe(fill);
    }
    const rules = readSld(toSld(['zone', 'tree'], 'rb_')).flatMap(rulesOf);
    for (const { properties } of features) {
      const fit = rules.filter((rule) => passes(rule['ogc:Filter'] as Node, properties as Node));
      expect(JSON.stringify(fit[0])).toContain('PropertyIsNull');
    }
  });
});

describe('simplestyle', () => {
  test('off unless asked for; asked for, every feature carries the colours of its verdict or kind', () => {
    const names = (features: readonly Feature[]): string[] =>
      [...new Set(features.flatMap((f) => Object.keys(f.properties ?? {})))].filter((k) =>
        SIMPLE_NAMES.some((n) => n === k),
      );
    expect(names(collection.features)).toEqual([]);
    const { features } = toGeoJSON(assessment, { simplestyle: true });
    expect(features).toHaveLength(collection.features.length);
    expect(new Set(names(features))).toEqual(new Set(SIMPLE_NAMES));
    for (const { properties } of features) {
      const p = properties!;
      if (p.rb_role === 'tree') expect(p['marker-color']).toBe(VERDICT_STYLES[p.rb_verdict as 'untouched'].fill);
      else expect(p.stroke).toMatch(/^#[0-9a-f]{6}$/);
      if (p.rb_role === 'zone') expect(p.fill).toBe(VERDICT_STYLES[p.rb_verdict as 'untouched'].fill);
      if (p.rb_role === 'works' && p.rb_counted !== 'false')
        expect(p.fill).toBe(KIND_TONES[p.rb_kind as 'fill'].ground);
      if (p.rb_role === 'works' && p.rb_counted === 'false') expect([p.fill, p['fill-opacity']]).toEqual([null, 0]);
      if (p.rb_role === 'crown' || p.rb_role === 'lot') expect(p['fill-opacity']).toBe(0);
      // simplestyle-spec 1.1.0: widths are 0 or more, opacities between 0 and 1.
      if (p['stroke-width'] !== undefined) expect(p['stroke-width']).toBeGreaterThan(0);
      for (const name of ['stroke-opacity', 'fill-opacity']) {
        if (p[name] === undefined) continue;
        expect(p[name]).toBeGreaterThanOrEqual(0);
        expect(p[name]).toBeLessThanOrEqual(1);
      }
    }
    const bare = features.map((f) => ({
      ...f,
      properties: Object.fromEntries(Object.entries(f.properties!).filter(([k]) => !SIMPLE_NAMES.some((n) => n === k))),
    }));
    expect(bare).toEqual(collection.features);
  });

  test('an own property of such a name is kept under another, and no key stands twice', async () => {
    await writeFile(
      join(dir, 'own.csv'),
      'id,lon,lat,dbh_in,fill,stroke\r\nA,-122.69,45.51,12,clay,mild\r\nB,-122.691,45.51,8,,\r\n',
    );
    const own = await assessFiles({
      trees: join(dir, 'own.csv'),
      works: [demo('works.geojson')],
      crs: 'EPSG:2913',
      crsFor: { trees: 'EPSG:4326' },
    });
    const [text, objects] = [join(dir, 'own.geojson'), toGeoJSON(own, { simplestyle: true, roles: ['tree'] }).features];
    await writeAssessment(text, own, { simplestyle: true, roles: ['tree'] });
    const written = await readFile(text, 'utf8');
    expect(written.match(/"source_stroke"/g)).toHaveLength(2);
    expect(objects[0]?.properties).toMatchObject({
      source_fill: 'clay',
      source_stroke: 'mild',
      'marker-color': expect.any(String),
    });
    expect(objects[0]?.properties).not.toHaveProperty('fill');
    // As text and as bytes the same.
    expect((JSON.parse(written) as FeatureCollection).features).toEqual(objects);
    expect(toGeoJSON(own, { roles: ['tree'] }).features[0]?.properties).toMatchObject({ fill: 'clay', stroke: 'mild' });
  });
});
