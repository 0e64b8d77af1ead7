// KML, LandXML, survey point files and the odd CSV -> Layer: properties, systems, coordinates, and damage.

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { checkLots, checkTrees, checkWorks } from '../../src/check/index.js';
import { placeLayers } from '../../src/crs/index.js';
import { InputError } from '../../src/model/findings.js';
import type { Layer } from '../../src/model/index.js';
import { DescriptionReader } from '../../src/read/description.js';
import { type ReadOptions, readLayer, readLayerAsync } from '../../src/read/index.js';
import { bytesOf, codesOf, coordinatesOf, kindOf } from '../support/layers.js';
import { runs } from '../support/runs.js';

const read = (text: string, name: string, options: Partial<ReadOptions> = {}): Promise<Layer> =>
  readLayerAsync(bytesOf(text), { name, ...options });
const refusal = async (act: () => Promise<unknown>): Promise<InputError> => {
  try {
    await act();
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error('nothing was refused');
};
const all = <T>(layer: Layer, of: (layer: Layer, f: number) => T): T[] =>
  Array.from({ length: layer.count }, (_, f) => of(layer, f));

// ---------------------------------------------------------------- KML

const kml = (inside: string): string =>
  `<?xml version="1.0" encoding="UTF-8"?>\n<kml xmlns="http://www.opengis.net/kml/2.2" xmlns:gx="http://www.google.com/kml/ext/2.2"><Document>${inside}</Document></kml>`;
const point = (coordinates: string, more = ''): string =>
  `<Placemark>${more}<Point><coordinates>${coordinates}</coordinates></Point></Placemark>`;

describe('KML', () => {
  it('reads placemarks in folders with typed and untyped data; the system is CRS 84 by definition', async () => {
    const layer = await read(
      kml(`<Schema id="tree"><SimpleField name="dbh_in" type="double"/><SimpleField name="tag" type="string"/>
        <SimpleField name="protected" type="bool"/></Schema>
        <Folder><name>Lot 4</name><Folder><name>Oaks</name>
          <Placemark id="p1"><name>Oak &amp; co</name><description><![CDATA[<b>big</b>]]></description>
            <ExtendedData><SchemaData schemaUrl="#tree"><SimpleData name="dbh_in">24.5</SimpleData>
              <SimpleData name="tag">0012</SimpleData><SimpleData name="protected">1</SimpleData></SchemaData>
              <Data name="remarks"><value>by the gate</value></Data></ExtendedData>
            <Point><coordinates> -122.5,45.25,30 </coordinates></Point></Placemark>
        </Folder></Folder>${point('-122.6,45.3')}`),
      'site.kml',
    );
    expect(all(layer, coordinatesOf)).toEqual([
      [-122.5, 45.25, 30],
      [-122.6, 45.3],
    ]);
    expect(layer.properties(0)).toEqual({
      name: 'Oak & co',
      description: '<b>big</b>',
      folder: 'Lot 4 / Oaks',
      dbh_in: 24.5,
      tag: '0012',
      protected: true,
      remarks: 'by the gate',
    });
    expect([layer.id(0), layer.properties(1), layer.crs, layer.format]).toEqual([
      'p1',
      {},
      { from: 'file', text: 'OGC:CRS84' },
      'kml',
    ]);
    expect(layer.findings).toEqual([]);
    expect(placeLayers([{ role: 'trees', layer }]).placed[0]?.crs.code).toBe('OGC:CRS84');
  });

  it('reads lines, polygons with holes, multi-geometries and tracks', async () => {
    const ring = (side: string, at: string): string =>
      `<${side}><LinearRing><coordinates>${at}</coordinates></LinearRing></${side}>`;
    const polygon = `<Polygon>${ring('outerBoundaryIs', '0,0 4,0\n4,4 0,4 0,0')}${ring('innerBoundaryIs', '1,1 2,1 2,2 1,1')}</Polygon>`;
    const layer = await read(
      kml(
        `<Placemark><LineString><coordinates>0,0 1,1</coordinates></LineString></Placemark>
        <Placemark>${polygon}</Placemark>
        <Placemark><MultiGeometry>${polygon}${polygon}</MultiGeometry></Placemark>
        <Placemark><gx:Track><gx:coord>1 2 3</gx:coord><gx:coord>4 5 6</gx:coord></gx:Track></Placemark>`,
      ),
      'site.kml',
    );
    const shell = [
      [0, 0],
      [4, 0],
      [4, 4],
      [0, 4],
      [0, 0],
    ];
    const hole = [
      [1, 1],
      [2, 1],
      [2, 2],
      [1, 1],
    ];
    expect(all(layer, kindOf)).toEqual(['line', 'polygon', 'multipolygon', 'line']);
    expect(all(layer, coordinatesOf)).toEqual([
      [
        [0, 0],
        [1, 1],
      ],
      [shell, hole],
      [
        [shell, hole],
        [shell, hole],
      ],
      [
        [1, 2, 3],
        [4, 5, 6],
      ],
    ]);
  });

  it.each([
    ['a vertex that is not a pair', point('-122.5'), /coordinates\[0\]/],
    ['a space behind the comma', point('-122.5, 45.2'), /coordinates\[0\]/],
    [
      'text',
      '<Placemark><LineString><coordinates>0,0 abc,1 2,2</coordinates></LineString></Placemark>',
      /coordinates\[1\]/,
    ],
    ['two points', point('1,2 3,4'), /coordinates/],
    [
      'a mixture',
      '<Placemark><MultiGeometry><Point><coordinates>1,2</coordinates></Point><LineString><coordinates>1,2 3,4</coordinates></LineString></MultiGeometry></Placemark>',
      /LineString/,
    ],
    ['no outer boundary', '<Placemark><Polygon><innerBoundaryIs/></Polygon></Placemark>', /Polygon/],
  ])('keeps a placemark whose coordinates are broken: %s', async (_, text, path) => {
    const layer = await read(kml(text + point('1,2')), 'site.kml');
    expect(all(layer, kindOf)).toEqual(['broken', 'point']);
    expect(layer.findings).toMatchObject([
      { code: 'geometry-broken', feature: 0, layer: 'site.kml', path: expect.stringMatching(path) },
    ]);
  });

  it('keeps placemarks without geometry, picks a folder, and says what it cannot use', async () => {
    const folders = kml(`<Folder><name>A</name>${point('1,2')}</Folder><Folder><name>B</name><Placemark/></Folder>`);
    const layer = await read(folders, 'site.kml');
    expect([all(layer, kindOf), codesOf(layer)]).toEqual([['point', 'none'], ['geometry-null']]);
    expect((await read(folders, 'site.kml', { layer: 'a' })).count).toBe(1);
    expect((await refusal(() => read(folders, 'site.kml', { layer: 'C' }))).cure).toContain('A, B');
    expect((await refusal(() => read(kml(''), 'site.kml'))).code).toBe('kml-empty');
    const cut = await refusal(() => read(folders.slice(0, -30), 'site.kml'));
    expect([cut.code, cut.path]).toEqual(['xml-broken', expect.stringMatching(/^line \d/)]);
    expect((await refusal(async () => readLayer(bytesOf(folders), { name: 'site.kml' }))).code).toBe('file-kind');
    expect((await refusal(() => read('<gml:x xmlns:gml="a"/>', 'site.gml'))).message).toContain(
      'neither KML nor LandXML',
    );
  });
});

describe('folders of a KML', () => {
  const folder = (name: string, inside: string): string => `<Folder><name>${name}</name>${inside}</Folder>`;
  const line = '<Placemark><LineString><coordinates>1,2 3,4</coordinates></LineString></Placemark>';
  const nested = kml(
    folder('Site', folder('Trees', point('1,2') + point('2,2')) + folder('Drive', line)) +
      folder('Yard', folder('Trees', point('3,2'))) +
      line,
  );

  it('lists what is in each, by path, and reads all of it only where that is said', async () => {
    const layer = await read(nested, 'site.kml');
    expect(layer.contents).toEqual([
      { name: 'Site/Trees', points: 2, lines: 0, areas: 0 },
      { name: 'Site/Drive', points: 0, lines: 1, areas: 0 },
      { name: 'Yard/Trees', points: 1, lines: 0, areas: 0 },
      { name: '(no folder)', points: 0, lines: 1, areas: 0 },
    ]);
    expect((await refusal(async () => checkWorks([{ layer }]))).message).toContain(
      'given for works: Site/Trees (2 points), Site/Drive (1 line), Yard/Trees (1 point), (no folder) (1 line)',
    );
    expect((await refusal(async () => checkLots(layer))).code).toBe('layer-several');
    expect((await refusal(async () => checkTrees(layer))).code).toBe('layer-several');
    const all = await read(nested, 'site.kml', { layer: '*' });
    expect([all.count, all.contents]).toEqual([5, undefined]);
  });

  it.each([
    ['site / trees', 2],
    ['Drive', 1],
    ['Site/*', 3],
    ['(no folder)', 1],
    ['Yard', 1],
  ])('reads %s alone', async (layer, count) => {
    expect((await read(nested, 'site.kml', { layer })).count).toBe(count);
  });

  it('asks which, where two have a name; a folder of folders is asked for again', async () => {
    const twice = await refusal(() => read(nested, 'site.kml', { layer: 'trees' }));
    expect([twice.code, twice.choices]).toEqual(['layer-several', ['Site/Trees', 'Yard/Trees']]);
    expect((await read(nested, 'site.kml', { layer: 'Site' })).contents?.length).toBe(2);
  });

  it('gives folders kinds, in the order of the file, and reads nothing else', async () => {
    const layer = await read(nested, 'site.kml', { layerKinds: { '(no folder)': 'trench', 'Site/Drive': 'paving' } });
    expect(all(layer, (one, f) => one.properties(f).kind)).toEqual(['paving', 'trench']);
  });

  it('reads points of several folders together as trees, and says so', async () => {
    const points = kml(folder('A', point('1,2')) + folder('B', point('2,2')));
    const { table, findings } = checkTrees(await read(points, 'a.kml'), { diameter: 'optional' });
    expect(table.count).toBe(2);
    expect(findings[0]).toMatchObject({
      code: 'layer-picked',
      message: expect.stringContaining('A (1 point), B (1 point)'),
    });
  });

  it('does not ask of works that all say their kind', async () => {
    const kinded = (kind: string): string =>
      line.replace(
        '<Placemark>',
        `<Placemark><ExtendedData><Data name="kind"><value>${kind}</value></Data></ExtendedData>`,
      );
    const layer = await read(kml(folder('A', kinded('trench')) + folder('B', kinded('bore'))), 'a.kml');
    expect(checkWorks([{ layer }]).table.count).toBe(2);
    const half = await read(kml(folder('A', kinded('trench')) + folder('B', line)), 'a.kml');
    expect((await refusal(async () => checkWorks([{ layer: half }]))).code).toBe('layer-several');
  });
});

// ---------------------------------------------------------------- LandXML

const landxml = (inside: string, units = '<Imperial linearUnit="foot"/>', epsg = '2913'): string =>
  `<?xml version="1.0"?><LandXML xmlns="http://www.landxml.org/schema/LandXML-1.2" version="1.2"><Units>${units}</Units><CoordinateSystem epsgCode="${epsg}"/>${inside}</LandXML>`;
const POINTS = `<CgPoints name="Trees"><CgPoint name="101" code="OAK" desc='OAK 24"'>680000.5 7650000.25 312.4</CgPoint>
  <CgPoint name="102" code="EP">680010 7650010</CgPoint><CgPoint name="103" code="FIR" desc="60CM" pntRef="101"/></CgPoints>`;
const PARCEL = `<Parcels><Parcel name="Lot 4" area="400"><CoordGeom>
  <Line><Start>0 0</Start><End>0 20</End></Line>
  <Curve rot="ccw"><Start>0 20</Start><Center>10 20</Center><End>20 20</End></Curve>
  <IrregularLine><Start>20 20</Start><End>20 0</End><PntList2D>20 20 22 10 20 0</PntList2D></IrregularLine>
  <Line><Start>20 0</Start><End>0 0</End></Line></CoordGeom></Parcel></Parcels>`;

describe('LandXML', () => {
  it('reads points as northing easting elevation, keeps what they say, and takes the code map', async () => {
    const layer = await read(landxml(POINTS), 'survey.xml', { codes: { oak: 'Quercus garryana', FIR: 'Abies' } });
    expect(all(layer, coordinatesOf)).toEqual([
      [7650000.25, 680000.5, 312.4],
      [7650010, 680010],
      [7650000.25, 680000.5, 312.4],
    ]);
    expect(layer.properties(0)).toEqual({
      name: 101,
      code: 'OAK',
      desc: 'OAK 24"',
      group: 'Trees',
      species: 'Quercus garryana',
      dbh_in: 24,
    });
    expect(layer.properties(2)).toMatchObject({ pntRef: 101, species: 'Abies', dbh_cm: 60 });
    expect([layer.id(0), layer.crs]).toEqual(['101', { from: 'file', text: 'EPSG:2913' }]);
    expect([...(layer.setAside ?? [])]).toEqual([[1, 'code-unmapped']]);
    expect(layer.unit).toEqual({ unit: 'ft', metresPerUnit: 0.3048, from: '<Units>' });
  });

  it('tells a unit that contradicts the coordinate system, feet against US survey feet too', async () => {
    const codes = async (units: string): Promise<string[]> => {
      const layer = await read(landxml(POINTS, units), 'survey.xml');
      return placeLayers([{ role: 'trees', layer }]).findings.map((f) => f.code);
    };
    expect(await codes('<Imperial linearUnit="foot"/>')).not.toContain('crs-unit-conflict'); // 2913: international feet
    expect(await codes('<Imperial linearUnit="USSurveyFoot"/>')).toContain('crs-unit-conflict');
    expect(await codes('<Metric linearUnit="meter"/>')).toContain('crs-unit-conflict');
  });

  it('reads parcels: lines, curves as chords within 1 mm, irregular lines', async () => {
    const layer = await read(landxml(PARCEL, '<Metric linearUnit="meter"/>', ''), 'plat.xml');
    const ring = (coordinatesOf(layer, 0) as number[][][])[0]!;
    expect([kindOf(layer, 0), layer.crs, layer.properties(0)]).toEqual(['polygon', null, { name: 'Lot 4', area: 400 }]);
    expect([ring[0], ring[1], ring.at(-1)]).toEqual([
      [0, 0],
      [20, 0],
      [0, 0],
    ]);
    let twice = 0;
    for (let i = 0; i + 1 < ring.length; i++) {
      twice += (ring[i]?.[0] ?? 0) * (ring[i + 1]?.[1] ?? 0) - (ring[i + 1]?.[0] ?? 0) * (ring[i]?.[1] ?? 0);
    }
    // The square, the half circle of radius 10 that bulges east (anticlockwise from south to north), the triangle.
    const exact = 400 + 50 * Math.PI + 20;
    expect(exact - twice / 2).toBeGreaterThan(0);
    expect(exact - twice / 2).toBeLessThan((2 / 3) * 0.001 * 10 * Math.PI * 1.01);
    expect(layer.findings).toMatchObject([{ code: 'arc-chorded' }]);
  });

  it('reads plan features: closed chains are polygons, gaps make several lines', async () => {
    const line = (a: string, b: string): string => `<Line><Start>${a}</Start><End>${b}</End></Line>`;
    const layer = await read(
      landxml(`<PlanFeatures name="Kerbs"><PlanFeature name="a"><CoordGeom>${line('0 0', '0 9')}${line('0 9', '9 9')}${line('9 9', '0 0')}</CoordGeom>
        <Feature><Property label="kind" value="paving"/></Feature></PlanFeature>
        <PlanFeature name="b"><CoordGeom>${line('0 0', '1 1')}${line('5 5', '6 6')}</CoordGeom></PlanFeature></PlanFeatures>`),
      'plan.xml',
    );
    expect(all(layer, kindOf)).toEqual(['polygon', 'multiline']);
    expect(coordinatesOf(layer, 1)).toEqual([
      [
        [0, 0],
        [1, 1],
      ],
      [
        [5, 5],
        [6, 6],
      ],
    ]);
    expect(layer.properties(0)).toEqual({ name: 'a', kind: 'paving', group: 'Kerbs' });
  });

  it('asks which group when there are several; takes a group by its own name', async () => {
    const text = landxml(POINTS + PARCEL);
    const error = await refusal(() => read(text, 'survey.xml'));
    expect([error.code, error.message, error.cure]).toEqual([
      'layer-several',
      expect.stringContaining('CgPoints (3), Parcels (1)'),
      expect.stringMatching(/--layer NAME.*: CgPoints, Parcels$/),
    ]);
    expect((await read(text, 'survey.xml', { layer: 'trees' })).count).toBe(3);
    expect((await read(text, 'survey.xml', { layer: 'Parcels' })).count).toBe(1);
    expect((await refusal(() => read(text, 'survey.xml', { layer: 'Roads' }))).cure).toContain('Trees');
    const surface = landxml('<Surfaces><Surface><Definition><Pnts/></Definition></Surface></Surfaces>');
    expect((await refusal(() => read(surface, 's.xml'))).code).toBe('landxml-empty');
  });

  it.each([
    ['one number', '<CgPoints><CgPoint name="1">680000</CgPoint></CgPoints>', 'geometry-broken'],
    ['text', '<CgPoints><CgPoint name="1">68x 7</CgPoint></CgPoints>', 'geometry-broken'],
    ['a reference to nothing', '<CgPoints><CgPoint name="1" pntRef="9"/></CgPoints>', 'geometry-broken'],
    ['references in a circle', '<CgPoints><CgPoint name="1" pntRef="1"/></CgPoints>', 'geometry-broken'],
    ['no coordinates', '<CgPoints><CgPoint name="1"/></CgPoints>', 'geometry-null'],
    ['a curve without a way', PARCEL.replace(' rot="ccw"', ''), 'geometry-broken'],
    [
      'a curve whose centre is off',
      PARCEL.replace('<Center>10 20</Center>', '<Center>12 20</Center>'),
      'geometry-broken',
    ],
    ['a gap in a parcel', PARCEL.replace('<Start>20 0</Start>', '<Start>19 0</Start>'), 'geometry-broken'],
    ['a spiral', PARCEL.replace('<Curve rot="ccw">', '<Spiral>').replace('</Curve>', '</Spiral>'), 'geometry-broken'],
    ['an odd list', PARCEL.replace('22 10 20 0', '22 10 20'), 'geometry-broken'],
  ])('keeps a broken feature: %s', async (_, inside, code) => {
    const layer = await read(landxml(inside), 'survey.xml');
    expect([layer.count, layer.findings.filter((f) => f.code !== 'arc-chorded')]).toMatchObject([
      1,
      [{ code, feature: 0 }],
    ]);
  });
});

// ---------------------------------------------------------------- survey point files

describe('survey point files', () => {
  const columns = ['P', 'N', 'E', 'Z', 'D'];
  const codes = { OAK: 'Quercus garryana', MAPLE: 'Acer', FIR: 'Pseudotsuga' };
  const TEXT =
    '1,680000.5,7650000.25,312.4,OAK 24"\n2,680010,7650010,,MAPLE 12,9,7 IN MULTI\n3,680020,7650020,310,EP\n4,680030,7650030,309,fir 60cm\n';

  it('reads point, northing, easting, elevation, description; species and diameters by the code map', async () => {
    const layer = await read(TEXT, 'shots.txt', { columns, codes });
    expect(all(layer, coordinatesOf)).toEqual([
      [7650000.25, 680000.5, 312.4],
      [7650010, 680010],
      [7650020, 680020, 310],
      [7650030, 680030, 309],
    ]);
    expect(all(layer, (l, f) => l.properties(f))).toEqual([
      {
        point: 1,
        northing: 680000.5,
        easting: 7650000.25,
        elevation: 312.4,
        description: 'OAK 24"',
        code: 'OAK',
        species: 'Quercus garryana',
        dbh_in: 24,
      },
      {
        point: 2,
        northing: 680010,
        easting: 7650010,
        elevation: null,
        description: 'MAPLE 12,9,7 IN MULTI',
        code: 'MAPLE',
        species: 'Acer',
        stems_in: '12;9;7',
      },
      { point: 3, northing: 680020, easting: 7650020, elevation: 310, description: 'EP', code: 'EP' },
      {
        point: 4,
        northing: 680030,
        easting: 7650030,
        elevation: 309,
        description: 'fir 60cm',
        code: 'fir',
        species: 'Pseudotsuga',
        dbh_cm: 60,
      },
    ]);
    expect([layer.format, layer.crs, layer.id(0)]).toEqual(['points', null, 1]);
    expect(layer.findings).toMatchObject([
      { code: 'code-unmapped', feature: 2, cure: expect.stringContaining('--code EP=') },
    ]);
    const { table } = checkTrees(layer);
    expect([...table.rejected]).toEqual([[2, ['code-unmapped']]]);
    expect([table.dbhM[0], table.stemsM.get(1), table.dbhM[3]]).toEqual([
      24 * 0.0254,
      [12, 9, 7].map((v) => v * 0.0254),
      0.6,
    ]);
  });

  it('takes any order of the columns, and tabs, semicolons with decimal commas, or spaces between them', async () => {
    const same = async (text: string, order: string): Promise<unknown> => {
      const layer = await read(text, 'shots.asc', { columns: [...order], codes });
      return [coordinatesOf(layer, 0), layer.properties(0).stems_in ?? layer.properties(0).dbh_in];
    };
    expect(await same('7650000.25,680000.5,312.4,1,OAK 24"\n', 'ENZPD')).toEqual([[7650000.25, 680000.5, 312.4], 24]);
    expect(await same('1\t7650000.25\t680000.5\tOAK 24"\n', 'PEND')).toEqual([[7650000.25, 680000.5], 24]);
    expect(await same('1;680000,5;7650000,25;312,4;OAK 24,5"\n', 'PNEZD')).toEqual([
      [7650000.25, 680000.5, 312.4],
      24.5,
    ]);
    expect(await same('1 680000.5  7650000.25 312.4 MAPLE 12,9 IN\n', 'pnezd')).toEqual([
      [7650000.25, 680000.5, 312.4],
      '12;9',
    ]);
    expect(await same('OAK 24",1,680000.5,7650000.25\n', 'DPNE')).toEqual([[7650000.25, 680000.5], 24]);
    expect(await same('1, 680000.5, 7650000.25, 312.4, OAK 24"\r\n', 'PNEZD')).toEqual([
      [7650000.25, 680000.5, 312.4],
      24,
    ]);
  });

  it('keeps lines that cannot be placed, and what stands beyond the columns', async () => {
    const layer = await read(
      'Point,Northing,Easting,Z,Desc\n1,68x,7650000,1,OAK 9"\n2,,,,OAK 9"\n3,680000\n\n4,1,2,3,OAK 9",more\n',
      'shots.csv',
      { columns },
    );
    expect(all(layer, kindOf)).toEqual(['broken', 'broken', 'none', 'broken', 'point']);
    expect(layer.findings.map((f) => [f.code, f.feature, f.path])).toEqual([
      ['geometry-broken', 0, 'row 1, column "easting"'],
      ['geometry-broken', 1, 'row 2, column "northing"'],
      ['geometry-null', 2, 'row 3, column "easting"'],
      ['geometry-broken', 3, 'row 4, column "easting"'],
      ['code-unmapped', 0, 'properties.description'], // the heading, whose description is no tree's
    ]);
    expect(layer.properties(4)).toMatchObject({ description: 'OAK 9",more', dbh_in: 9 });
    const noOrder = await refusal(() => read(TEXT, 'shots.txt', { format: 'points' }));
    expect([noOrder.code, noOrder.cure]).toEqual(['points-columns', expect.stringContaining('--columns P,N,E,Z,D')]);
    expect((await read('T1,1,2\n', 'a.csv', { columns: ['tag', 'x', 'y'], noHeader: true })).format).toBe('csv');
  });

  it('without a code map the words for trees count', async () => {
    const layer = await read(TEXT, 'shots.txt', { columns });
    expect([[...(layer.setAside ?? [])], layer.properties(0).species, layer.properties(0).dbh_in]).toEqual([
      [[2, 'code-unmapped']],
      undefined,
      24,
    ]);
  });
});

describe('survey points without a code map', () => {
  it.each([
    ['OAK 24"', true],
    ['24" DOUG FIR', true],
    ['TREE 12', true],
    ['LIVE OAKS 12"', true],
    ['Linde 40 cm', true],
    ['', true],
    ['TOP WALL 18" WI', false],
    ['PIPE 12" RCP', false],
    ['OAK STUMP 30"', false],
    ['WV 8"', false],
  ])('%s: a tree is %s', (text, tree) => {
    const said = new DescriptionReader(undefined, false).read(text);
    expect(said.tree).toBe(tree);
    if (!tree) expect(said.properties).toEqual({});
  });

  it('asks about each code that is no word for a tree, and keeps its points', async () => {
    const text = '1,10,20,3,TOP WALL 18" WI\n2,11,21,3,OAK 24"\n3,12,22,3,TOP CURB\n';
    const layer = await read(text, 'shots.txt', { columns: ['P', 'N', 'E', 'Z', 'D'] });
    expect([...(layer.setAside ?? [])]).toEqual([
      [0, 'code-unmapped'],
      [2, 'code-unmapped'],
    ]);
    expect(layer.findings).toMatchObject([
      {
        code: 'code-unmapped',
        message: '2 points with the code "TOP" contain no word for a tree and were set aside',
        cure: 'add the code if it is a tree: --code TOP=SPECIES',
      },
    ]);
    expect(layer.count).toBe(3);
  });
});

describe('descriptions', () => {
  const reader = new DescriptionReader({ OAK: 'Quercus', MAPLE: 'Acer', T12: 'Tilia' }, false);
  it.each([
    ['OAK 24"', { dbh_in: 24 }],
    ['OAK 24IN', { dbh_in: 24 }],
    ['OAK 24.5 inches, leaning', { dbh_in: 24.5 }],
    ["oak 24''", { dbh_in: 24 }],
    ['OAK24"', { dbh_in: 24 }],
    ['OAK-24"', { dbh_in: 24 }],
    ['OAK 60CM', { dbh_cm: 60 }],
    ['OAK 600 mm', { dbh_mm: 600 }],
    ['MAPLE 12,9,7 IN MULTI', { stems_in: '12;9;7' }],
    ['MAPLE 12" 9" 7"', { stems_in: '12;9;7' }],
    ['MAPLE 12" & 9"', { stems_in: '12;9' }],
    ['MAPLE 12/9/7"', { stems_in: '12;9;7' }],
    ['OAK MULTI 12+9 CM', { stems_cm: '12;9' }],
    ['OAK 24', { dbh: 24 }], // its unit is for the check to ask
    ['MAPLE 12,9', { stems: '12;9' }],
    ['OAK 24" 40\' TALL', { dbh_in: 24 }],
    ["OAK 40' TALL", {}],
    ['OAK', {}],
    ['OAK DEAD', {}],
    ['T12 8"', { dbh_in: 8 }],
    // Not read, and said so: a diameter that lost a stem would make the zone too small.
    ['OAK 24" TWIN 18"', null],
    ['OAK 12-16"', null],
    ['OAK 3X12"', null],
    ['OAK 24 1/2"', null],
    ['OAK 12" 30CM', null],
    ['OAK 12" 9', null],
  ])('%s', (text, expected) => {
    const said = reader.read(text);
    if (expected === null) expect([said.properties, said.unread]).toEqual([{}, expect.any(String)]);
    else expect([said.properties, said.unread]).toEqual([expected, null]);
  });

  it('knows codes in any case, and only those of the map', () => {
    expect(reader.read('oak 9"')).toMatchObject({ code: 'oak', species: 'Quercus' });
    expect(reader.read('OAKS 9"')).toMatchObject({ code: 'OAKS', species: null, properties: {} });
    expect(reader.read('')).toMatchObject({ code: '', species: null });
  });

  it('answers any text at once', () => {
    fc.assert(
      fc.property(fc.string({ maxLength: 400, unit: fc.constantFrom(...'OAK 129,.;/+&"\'-xinchm ') }), (text) => {
        const said = reader.read(text);
        for (const value of Object.values(said.properties)) expect(String(value)).toMatch(/^[\d.;]+$/);
      }),
      { numRuns: runs(1000) },
    );
    expect(reader.read(`OAK ${'1 ,'.repeat(20_000)}"`).properties).toBeDefined();
  });
});

// ---------------------------------------------------------------- CSV as spreadsheets write it

describe('CSV as spreadsheets write it', () => {
  it.each([
    ['sep=; in the first line', 'sep=;\r\ntag;x;y\r\nT1;1,5;2,5\r\n'],
    ['sep=, with semicolons inside', 'sep=,\ntag,x,y\n"T;1",1.5,2.5\n'],
    ['a byte order mark before it', '\ufeffsep=;\ntag;x;y\nT1;1,5;2,5\n'],
    ['an odd delimiter', 'sep=|\ntag|x|y\nT1|1.5|2.5\n'],
    ['decimal commas between tabs', 'tag\tx\ty\nT1\t1,5\t2,5\n'],
    ['quoted decimal commas between commas', 'tag,x,y\nT1,"1,5","2,5"\n'],
    ['quoted semicolons', 'tag;x;y\n"T;1";1,5;2,5\n'],
  ])('%s', async (_, text) => {
    const layer = await read(text, 'trees.csv');
    expect([coordinatesOf(layer, 0), layer.findings]).toEqual([[1.5, 2.5], []]);
  });

  it('counts rows as the file has them, and refuses to guess at thousands', async () => {
    expect((await read('sep=;\ntag;x;y\nT1;a;2\n', 'trees.csv')).findings[0]?.path).toBe('row 3, column "x"');
    const layer = await read('tag\tx\ty\nT1\t680,000\t7650,000\n', 'trees.tsv');
    expect(layer.findings).toMatchObject([{ code: 'geometry-broken', message: expect.stringContaining('"680,000"') }]);
    const both = await read('tag\tx\ty\nT1\t1,5\t2,5\nT2\t1.5\t2.5\n', 'trees.tsv');
    expect(all(both, kindOf)).toEqual(['broken', 'point']);
  });
});
