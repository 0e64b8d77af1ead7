// The regional tables against the whole one: same systems, same figures; what is not in them is told, never made up.
import { beforeEach, describe, expect, it, vi } from 'vitest';
import { europe } from '../../src/crs/tables/europe.js';
import { oceania } from '../../src/crs/tables/oceania.js';
import type { CrsTable } from '../../src/crs/tables/table.js';
import { us } from '../../src/crs/tables/us.js';
import { world } from '../../src/crs/tables/world.js';
import type { Crs } from '../../src/model/index.js';

/** The coordinate code as a browser loads it: with no table but its own. */
async function fresh(...tables: readonly CrsTable[]) {
  vi.resetModules();
  const { registerCrs } = await import('../../src/crs/crs-registry.js');
  for (const table of tables) registerCrs(table);
  const [{ findCrs }, { crsFromWkt }, { rows }, { esriWkt }] = await Promise.all([
    import('../../src/crs/find.js'),
    import('../../src/crs/wkt/wkt.js'),
    import('../../src/crs/crs-table.js'),
    import('../../src/crs/wkt/esri-wkt.js'),
    import('../../src/web/systems.js'),
  ]);
  return { registerCrs, findCrs, crsFromWkt, rows, esriWkt };
}

const codeOf = (run: () => unknown): string => {
  try {
    run();
  } catch (error) {
    return (error as { code: string }).code;
  }
  return 'none';
};

beforeEach(() => vi.resetModules());

describe('regions', () => {
  it.each([
    ['us', us, 2000, [2913, 2285, 6557, 26910, 32610, 32161, 26963]],
    ['europe', europe, 1000, [27700, 25832, 31370, 2154, 3035]],
    ['oceania', oceania, 300, [28355, 7855, 2193, 3577]],
  ] as const)('%s holds what the world says of its systems', async (_, table, least, codes) => {
    const whole = await fresh(world);
    const part = await fresh(table);
    const kept = [...part.rows().keys()];
    expect(kept.length).toBeGreaterThan(least);
    for (const code of codes) expect(kept).toContain(code);
    const different = kept.filter((code) => {
      const a: Crs = whole.findCrs(`EPSG:${code}`);
      return JSON.stringify(a) !== JSON.stringify(part.findCrs(`EPSG:${code}`));
    });
    expect(different).toEqual([]);
  });

  it('a .prj is read as with the whole table', async () => {
    const whole = await fresh(world);
    const part = await fresh(us);
    const texts = [...part.rows().keys()]
      .filter((_, i) => i % 7 === 0)
      .flatMap((code) => whole.esriWkt(whole.findCrs(`EPSG:${code}`)) ?? []);
    expect(texts.length).toBeGreaterThan(200);
    expect(texts.filter((text) => part.crsFromWkt(text, 'a').code !== whole.crsFromWkt(text, 'a').code)).toEqual([]);
  });

  it('several are one', async () => {
    const whole = await fresh(world);
    const both = await fresh(us, europe);
    for (const code of [2913, 27700, 4326, 4267, 25832, 26910]) {
      expect(both.findCrs(`EPSG:${code}`)).toEqual(whole.findCrs(`EPSG:${code}`));
    }
    const codes = [...both.rows().keys()];
    expect(codes).toEqual([...codes].sort((a, b) => a - b));
  });
});

describe('what is not at hand', () => {
  it('is told with its cure, and found once the table is there', async () => {
    const { findCrs, registerCrs } = await fresh();
    expect(findCrs('EPSG:4326').kind).toBe('geographic');
    expect(findCrs('EPSG:3857').unit).toBe('m');
    expect(findCrs('local:ft').kind).toBe('local');
    expect(codeOf(() => findCrs('EPSG:2913'))).toBe('crs-table-missing');
    registerCrs(us);
    expect(findCrs('EPSG:2913').unit).toBe('ft');
    expect(codeOf(() => findCrs('EPSG:27700'))).toBe('crs-table-missing');
    expect(codeOf(() => findCrs('EPSG:2046'))).toBe('crs-unknown'); // refused: its axes point west and south
    registerCrs(world);
    expect(findCrs('EPSG:27700').unit).toBe('m');
    expect(codeOf(() => findCrs('EPSG:2914000'))).toBe('crs-unknown');
  });

  it('a text is never composed to a system of its own while the world is not at hand', async () => {
    const whole = await fresh(world);
    const british = whole.esriWkt(whole.findCrs('EPSG:27700')) ?? '';
    const own = british.replace('400000.0', '400123.0');
    expect(whole.crsFromWkt(own, 'lots').code).toBe('custom');
    const part = await fresh(us);
    expect(codeOf(() => part.crsFromWkt(british, 'lots'))).toBe('crs-table-missing');
    expect(codeOf(() => part.crsFromWkt(own, 'lots'))).toBe('crs-table-missing');
  });

  it('a text is read once a table is there, and so are datum shifts and grids', async () => {
    vi.resetModules();
    await import('../../src/web/base.js');
    const project = await import('../../src/crs/index.js');
    const { esriWkt } = await import('../../src/crs/wkt/esri-wkt.js');
    const text = esriWkt(project.CRS84) ?? '';
    const stated = () => project.resolveStatement({ text, from: 'prj' }, 'trees.shp').code;
    expect(codeOf(stated)).toBe('crs-table-missing');
    // Longitude, latitude and the Mercator of web maps need no table.
    const [lon, lat] = [-122.7, 45.4];
    const north = Math.log(Math.tan(Math.PI / 4 + (lat * Math.PI) / 360)); // the sphere's Mercator, in closed form
    const xy = Float64Array.of((6378137 * lon * Math.PI) / 180, 6378137 * north);
    project.transformFor(project.findCrs('EPSG:3857')).toLonLat(xy);
    expect([...xy].map((v) => Math.round(v * 1e9) / 1e9)).toEqual([lon, lat]);
    // A system on another datum that came by some other way is never taken for WGS 84.
    const carthage = {
      ...project.findCrs('EPSG:4326'),
      proj: '+proj=longlat +a=6378249.2 +b=6356515 +towgs84=-263,6,431',
    };
    expect(codeOf(() => project.transformFor({ ...carthage }))).toBe('crs-table-missing');
    const { us } = await import('../../src/web/us.js');
    project.registerCrs(us);
    expect(stated()).toBe('EPSG:4326');
    const moved = Float64Array.of(10, 36);
    project.transformFor({ ...carthage }).toLonLat(moved);
    expect(Math.abs(moved[0]! - 10)).toBeGreaterThan(1e-4);
  });
});
