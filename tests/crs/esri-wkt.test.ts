// Texts of a .prj that we write. In: systems of the table; out: the text, held against PROJ's own (projinfo 9.1.1,
// -o WKT1_ESRI) in numbers and names, and read back by our reader with and without the code.
import { describe, expect, test } from 'vitest';
import { rows } from '../../src/crs/crs-table.js';
import { crsOfCode } from '../../src/crs/find.js';
import { CRS84, crsFromWkt, findCrs } from '../../src/crs/index.js';
import { esriWkt } from '../../src/crs/wkt/esri-wkt.js';
import { projjson } from '../../src/crs/wkt/projjson-text.js';

// Printed by projinfo 9.1.1 for the code; the name of the projected system is Esri's own there, ours is EPSG's, so it is
// left out, and parameters come in the same order.
const PRINTED: readonly (readonly [string, string])[] = [
  [
    'EPSG:2913',
    'GEOGCS["GCS_North_American_1983_HARN",DATUM["D_North_American_1983_HARN",SPHEROID["GRS_1980",6378137.0,298.257222101]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]],PROJECTION["Lambert_Conformal_Conic"],PARAMETER["False_Easting",8202099.738],PARAMETER["False_Northing",0.0],PARAMETER["Central_Meridian",-120.5],PARAMETER["Standard_Parallel_1",46.0],PARAMETER["Standard_Parallel_2",44.3333333333333],PARAMETER["Latitude_Of_Origin",43.6666666666667],UNIT["Foot",0.3048]',
  ],
  [
    'EPSG:27700',
    'GEOGCS["GCS_OSGB_1936",DATUM["D_OSGB_1936",SPHEROID["Airy_1830",6377563.396,299.3249646]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]],PROJECTION["Transverse_Mercator"],PARAMETER["False_Easting",400000.0],PARAMETER["False_Northing",-100000.0],PARAMETER["Central_Meridian",-2.0],PARAMETER["Scale_Factor",0.9996012717],PARAMETER["Latitude_Of_Origin",49.0],UNIT["Meter",1.0]',
  ],
];

describe('the text of a .prj', () => {
  test.each(PRINTED)('%s is what PROJ prints, but for the name', (code, printed) => {
    expect(
      wkt(code)
        .replace(/^PROJCS\["[^"]*",/, '')
        .replace(/,AUTHORITY\[.*$/, ''),
    ).toBe(printed);
  });

  test('lon/lat is EPSG:4326 there', () => {
    expect(crsFromWkt(esriWkt(CRS84) ?? '', 'x').code).toBe('EPSG:4326');
  });

  test('the table read back: the same code, from the code and from the numbers alone', () => {
    const codes = [...rows().keys()].filter((_, i) => i % 61 === 0);
    const lost: string[] = [];
    let tried = 0;
    for (const code of codes) {
      const crs = crsOfCode(code);
      const text = crs === undefined ? null : esriWkt(crs);
      if (crs === undefined || text === null) continue;
      tried++;
      if (crsFromWkt(text, 'x').code !== crs.code) lost.push(`${crs.code} ${text}`);
      // Several codes may stand for the same numbers; the definition has to be the same.
      const bare = crsFromWkt(text.replace(/,AUTHORITY\["EPSG","\d+"\]\]$/, ']'), 'x');
      if (bare.metresPerUnit !== crs.metresPerUnit && crs.kind === 'projected') lost.push(`unit of ${crs.code}`);
    }
    expect(lost).toEqual([]);
    expect(tried).toBeGreaterThan(90);
  });

  test('a ground system and a projection without words have none', () => {
    expect(esriWkt(findCrs('local:ft'))).toBeNull();
    expect(projjson(findCrs('local:ft'))).toBeNull();
  });
});

function wkt(code: string): string {
  return esriWkt(findCrs(code)) ?? '';
}
