// Systems that share their numbers: a text is the one its name says. Texts as PROJ 9.1.1 prints them (projinfo -o WKT1_ESRI).
import { spawnSync } from 'node:child_process';
import { describe, expect, it } from 'vitest';
import { rows, unfold } from '../../src/crs/crs-table.js';
import { assignCrs, checkPositions, crsFromWkt, findCrs, transformFor } from '../../src/crs/index.js';
import { ESRI_SYSTEMS } from '../../src/crs/tables/esri-systems.js';
import { esriWkt } from '../../src/crs/wkt/esri-wkt.js';
import { readCrs } from '../../src/crs/wkt/wkt.js';
import { LayerBuilder } from '../../src/model/index.js';

/** Our own text of a system under another name, without its code: as a .prj of Esri's. */
const named = (code: string, name: string): string =>
  (esriWkt(findCrs(code)) ?? '')
    .replace(/^PROJCS\["[^"]*"/, `PROJCS["${name}"`)
    .replace(/,AUTHORITY\["EPSG","\d+"\]\]$/, ']');

function layerAt(text: string, code: string, lon: number, lat: number) {
  const xy = Float64Array.of(lon, lat);
  transformFor(findCrs(code)).fromLonLat(xy);
  const b = new LayerBuilder('trees.shp', 'shapefile');
  b.begin('point');
  b.part();
  b.ring();
  b.vertex(xy[0]!, xy[1]!);
  b.end({});
  return b.finish({ crs: { text, from: 'prj' }, sha256: null });
}

describe('a text whose numbers are those of several systems', () => {
  it.each([
    ['EPSG:25832', 'ETRS_1989_UTM_Zone_32N'],
    ['EPSG:3044', 'ETRS_1989_ETRS-TM32'],
    ['EPSG:3424', 'NAD_1983_StatePlane_New_Jersey_FIPS_2900_Feet'],
    ['EPSG:2260', 'NAD_1983_StatePlane_New_York_East_FIPS_3101_Feet'],
    ['EPSG:6536', 'NAD_1983_2011_StatePlane_New_York_East_FIPS_3101'],
    ['EPSG:6526', 'NAD_1983_2011_StatePlane_New_Jersey_FIPS_2900'],
    ['EPSG:3067', 'EUREF_FIN_TM35FIN'],
    ['EPSG:3047', 'ETRS_1989_ETRS-TM35'],
    ['EPSG:32635', 'WGS_1984_UTM_Zone_35N'],
    ['EPSG:4037', 'WGS_1984_TMzn35N'],
    ['EPSG:25832', 'ETRS89 / UTM zone 32N'],
  ])('is %s where its name is %s', (code, name) => {
    const read = readCrs(named(code, name), 'x');
    expect([read.crs.code, read.equals ?? '', read.remark]).toEqual([code, '', '']);
  });

  it('its own code decides where its name does not', () => {
    const text = named('EPSG:25832', 'Site grid').replace(/\]$/, ',AUTHORITY["EPSG","3044"]]');
    expect(readCrs(text, 'x')).toMatchObject({ crs: { code: 'EPSG:3044' }, equals: '', remark: '' });
  });

  it('where neither says, the area of use does, and the others are named; no alarm about a zone beside it', () => {
    const text = named('EPSG:3424', 'Site grid');
    expect(crsFromWkt(text, 'x').code).toBe('EPSG:2260');
    for (const [lon, lat, code] of [
      [-74.5, 40.1, 'EPSG:3424'], // Trenton, New Jersey
      [-73.8, 42.6, 'EPSG:2260'], // Albany, New York
    ] as const) {
      const { assigned, findings } = assignCrs([{ role: 'trees', layer: layerAt(text, code, lon, lat) }]);
      expect(assigned[0]?.crs.code).toBe(code);
      expect(assigned[0]?.from).toContain('the same numbers');
      expect(findings.map((one) => one.code)).toEqual(['crs-assigned']);
      expect(checkPositions(assigned).map((one) => one.code)).not.toContain('crs-zone-suspect');
    }
  });

  it('a place in New Jersey under the name of New Jersey raises no alarm about New York', () => {
    const text = named('EPSG:3424', 'NAD_1983_StatePlane_New_Jersey_FIPS_2900_Feet');
    const { assigned } = assignCrs([{ role: 'trees', layer: layerAt(text, 'EPSG:3424', -74.5, 40.1) }]);
    expect(checkPositions(assigned)).toEqual([]);
  });
});

const projinfo = (code: number): string =>
  spawnSync('projinfo', [`EPSG:${code}`, '-q', '-o', 'WKT1_ESRI', '--single-line'], { encoding: 'utf8' }).stdout ?? '';
const present = projinfo(4326).includes('GEOGCS');

// The whole table: scripts/check-esri-texts.mjs.
describe.skipIf(!present)('beside PROJ (skipped where projinfo is not installed: apt-get install proj-bin)', () => {
  const codes = ESRI_SYSTEMS.split('\n').map((line) => Number(line.split('|')[0]));
  const sample = codes.filter((code, i) => i % 8 === 0 && rows().get(code)?.deprecated === false);
  it('the sample is a fair one', () => expect(sample.length).toBeGreaterThan(30));
  it.each(sample)('the text of EPSG:%d comes back as itself', (code) => {
    const text = projinfo(code);
    const crs = unfold(rows().get(code)!);
    const read = readCrs(text, 'x');
    expect([read.crs.code, read.equals ?? '']).toEqual([crs.code, '']);
  });
});
