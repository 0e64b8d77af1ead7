// Surfaces of LandXML: order of coordinates, units, faces that are not shown, which surface, what is broken.
import { describe, expect, it } from 'vitest';
import { readSurface } from '../../src/read/index.js';
import { bytesOf } from '../support/layers.js';

const unit = (linear: string, more = ''): string => `<Units><Imperial linearUnit="${linear}"${more}/></Units>`;
const surface = (name: string, faces: string, points = SQUARE, kind = 'TIN'): string =>
  `<Surface name="${name}"><Definition surfType="${kind}"><Pnts>${points}</Pnts><Faces>${faces}</Faces></Definition></Surface>`;
const SQUARE = '<P id="1">0 0 10</P><P id="2">0 30 11</P><P id="3">20 30 12</P><P id="9">20 0 13</P>'; // northing easting height
const FACES = '<F>1 2 3</F><F n="0 1 0">1 3 9</F>';
const file = (inner: string, units = unit('foot')): Uint8Array =>
  bytesOf(
    `<?xml version="1.0"?><LandXML xmlns="http://www.landxml.org/schema/LandXML-1.2">${units}<CoordinateSystem epsgCode="2913"/><Surfaces>${inner}</Surfaces></LandXML>`,
  );
const read = (bytes: Uint8Array, wanted?: string) => readSurface(bytes, { name: 's.xml', surface: wanted });

describe('a surface of LandXML', () => {
  it('northing comes first; heights are metres; faces are as given', async () => {
    const { xy, z, faces, layer } = await read(file(surface('EG', FACES)));
    expect([...xy.subarray(2, 6)]).toEqual([30, 0, 30, 20]);
    expect([...z]).toEqual([10, 11, 12, 13].map((feet) => feet * 0.3048));
    expect([...faces]).toEqual([0, 1, 2, 0, 2, 3]);
    expect(layer.crs?.text).toBe('EPSG:2913');
  });

  it('US survey feet and metres', async () => {
    const survey = await read(file(surface('EG', FACES), unit('USSurveyFoot')));
    expect(survey.z[0]).toBe((10 * 1200) / 3937);
    const metric = await read(file(surface('EG', FACES), '<Units><Metric linearUnit="meter"/></Units>'));
    expect(metric.z[0]).toBe(10);
  });

  it('faces that are not shown are left out, whichever way round the others are', async () => {
    const { faces } = await read(file(surface('EG', '<F>1 3 2</F><F i="1">1 3 9</F>')));
    expect([...faces]).toEqual([0, 1, 2]);
  });

  it('walls have no ground; the wall’s two heights at one place are no error', async () => {
    const points = `${SQUARE}<P id="w">0 0 20</P>`;
    const { faces, findings } = await read(file(surface('EG', `${FACES}<F>1 w 2</F>`, points)));
    expect(faces).toHaveLength(6);
    expect(findings).toEqual([]);
  });

  it('one of several, by name in any case', async () => {
    const both = file(surface('EG', FACES) + surface('FG', '<F>1 2 3</F>'));
    expect((await read(both, 'fg')).faces).toHaveLength(3);
    await expect(read(both)).rejects.toMatchObject({ code: 'surface-several', choices: ['EG', 'FG'] });
    await expect(read(both, 'FQ')).rejects.toMatchObject({ code: 'surface-missing' });
  });

  it.each([
    ['a grid', file(surface('EG', FACES, SQUARE, 'grid')), 'surface-kind'],
    ['no unit', file(surface('EG', FACES), ''), 'unit-missing'],
    ['heights in another unit', file(surface('EG', FACES), unit('foot', ' elevationUnit="meter"')), 'unit-missing'],
    ['no faces', file(surface('EG', '')), 'grade-empty'],
    ['cut off', file(surface('EG', FACES)).subarray(0, 300), 'xml-broken'],
  ])('%s is refused', async (_, bytes, code) => {
    await expect(read(bytes)).rejects.toMatchObject({ code });
  });

  it('faces without points and folds are told with their place, and that ground is not known', async () => {
    const lost = await read(file(surface('EG', `${FACES}<F>1 2 77</F>`)));
    expect(lost.findings.map(({ code, message }) => [code, message.includes('1 2 77')])).toEqual([
      ['grade-face-broken', true],
    ]);
    const points = `${SQUARE}<P id="a">0 60 1</P><P id="b">20 60 1</P>`;
    const folded = await read(file(surface('EG', '<F>1 2 3</F><F>1 2 9</F><F>2 a b</F>', points)));
    expect(folded.faces).toHaveLength(3);
    expect(folded.findings[0]).toMatchObject({ code: 'grade-fold' });
    expect(folded.findings[0]!.message).toMatch(/^2 faces .* near 20\.00, 6\.67:/);
  });
});
