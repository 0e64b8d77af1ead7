// Writers of tiny shift grids for tests: NTv2 in both byte orders, and GeoTIFF in PROJ's convention.
// Terms: node(c, r) counts from the south-west corner and gives lon and lat shifts in arc seconds, east and north positive.

export interface TestGrid {
  readonly west: number; // degrees
  readonly south: number;
  readonly step: number;
  readonly columns: number;
  readonly rows: number;
  readonly accuracyM: number;
  node(column: number, row: number): readonly [lon: number, lat: number];
}

const HEAD = 11 * 16;

/** An NTv2 file of one or more subgrids. */
export function ntv2(grids: readonly TestGrid[], from: string, to: string, little = true): Uint8Array {
  const bytes = new Uint8Array(HEAD + grids.reduce((sum, g) => sum + HEAD + g.columns * g.rows * 16, 0) + 16);
  const view = new DataView(bytes.buffer);
  let at = 0;
  const name = (text: string): void => {
    bytes.set(new TextEncoder().encode(text.padEnd(8).slice(0, 8)), at);
  };
  const record = (key: string, value: number | string, real = false): void => {
    name(key);
    at += 8;
    if (typeof value === 'string') name(value);
    else if (real) view.setFloat64(at, value, little);
    else view.setInt32(at, value, little);
    at += 8;
  };
  record('NUM_OREC', 11);
  record('NUM_SREC', 11);
  record('NUM_FILE', grids.length);
  record('GS_TYPE', 'SECONDS');
  record('VERSION', 'TEST');
  record('SYSTEM_F', from);
  record('SYSTEM_T', to);
  record('MAJOR_F', 6378206.4, true);
  record('MINOR_F', 6356583.8, true);
  record('MAJOR_T', 6378137, true);
  record('MINOR_T', 6356752.314, true);
  grids.forEach((g, i) => {
    record('SUB_NAME', `SUB${i}`);
    record('PARENT', i === 0 ? 'NONE' : 'SUB0');
    record('CREATED', '20260101');
    record('UPDATED', '20260101');
    record('S_LAT', g.south * 3600, true);
    record('N_LAT', (g.south + g.step * (g.rows - 1)) * 3600, true);
    record('E_LONG', -(g.west + g.step * (g.columns - 1)) * 3600, true);
    record('W_LONG', -g.west * 3600, true);
    record('LAT_INC', g.step * 3600, true);
    record('LONG_INC', g.step * 3600, true);
    record('GS_COUNT', g.columns * g.rows);
    for (let r = 0; r < g.rows; r++)
      for (let c = g.columns - 1; c >= 0; c--) {
        const [lon, lat] = g.node(c, r);
        for (const value of [lat, -lon, g.accuracyM, g.accuracyM]) {
          view.setFloat32(at, value, little);
          at += 4;
        }
      }
  });
  name('END');
  return bytes;
}

/** A GeoTIFF grid: one image, float32, bands in planes, nodes at pixel middles, NAD27 (4267) to NAD83 (4269). */
export function tiff(g: TestGrid): Uint8Array {
  const count = g.columns * g.rows;
  const meta = new TextEncoder().encode(
    '<GDALMetadata><Item name="TYPE">HORIZONTAL_OFFSET</Item><Item name="target_crs_epsg_code">4269</Item>' +
      '<Item name="UNITTYPE" sample="0" role="unittype">arc-second</Item><Item name="DESCRIPTION" sample="0" role="description">latitude_offset</Item>' +
      '<Item name="positive_value" sample="1">east</Item><Item name="UNITTYPE" sample="1" role="unittype">arc-second</Item>' +
      '<Item name="DESCRIPTION" sample="1" role="description">longitude_offset</Item></GDALMetadata>\0',
  );
  const keys = [1, 1, 0, 3, 1024, 0, 1, 2, 1025, 0, 1, 2, 2048, 0, 1, 4267];
  const north = g.south + g.step * (g.rows - 1);
  const doubles = [g.step, g.step, 0, 0, 0, 0, g.west, north, 0];
  const tags: (readonly [tag: number, type: number, count: number, value: number])[] = [];
  const ifd = 8;
  const TAGS = 15;
  let free = ifd + 2 + TAGS * 12 + 4;
  const place = (size: number): number => {
    const at = free;
    free += size + (size % 2);
    return at;
  };
  const bits = 32 | (32 << 16);
  const formats = 3 | (3 << 16);
  const offsets = place(8);
  const counts = place(8);
  const doublesAt = place(72);
  const keysAt = place(keys.length * 2);
  const metaAt = place(meta.length);
  const data = place(count * 8);
  tags.push([256, 4, 1, g.columns], [257, 4, 1, g.rows], [258, 3, 2, bits], [259, 3, 1, 1], [262, 3, 1, 1]);
  tags.push([273, 4, 2, offsets], [277, 3, 1, 2], [278, 4, 1, g.rows], [279, 4, 2, counts], [284, 3, 1, 2]);
  tags.push([339, 3, 2, formats], [33550, 12, 3, doublesAt], [33922, 12, 6, doublesAt + 24]);
  tags.push([34735, 3, keys.length, keysAt], [42112, 2, meta.length, metaAt]);
  const bytes = new Uint8Array(free);
  const view = new DataView(bytes.buffer);
  bytes.set([0x49, 0x49, 42, 0, ifd, 0, 0, 0]);
  view.setUint16(ifd, TAGS, true);
  tags.forEach(([tag, type, n, value], i) => {
    const at = ifd + 2 + i * 12;
    view.setUint16(at, tag, true);
    view.setUint16(at + 2, type, true);
    view.setUint32(at + 4, n, true);
    view.setUint32(at + 8, value, true);
  });
  [data, data + count * 4].forEach((v, i) => void view.setUint32(offsets + i * 4, v, true));
  [count * 4, count * 4].forEach((v, i) => void view.setUint32(counts + i * 4, v, true));
  doubles.forEach((v, i) => void view.setFloat64(doublesAt + i * 8, v, true));
  keys.forEach((v, i) => void view.setUint16(keysAt + i * 2, v, true));
  bytes.set(meta, metaAt);
  for (let r = 0; r < g.rows; r++)
    for (let c = 0; c < g.columns; c++) {
      const [lon, lat] = g.node(c, g.rows - 1 - r);
      view.setFloat32(data + (r * g.columns + c) * 4, lat, true);
      view.setFloat32(data + (count + r * g.columns + c) * 4, lon, true);
    }
  return bytes;
}
