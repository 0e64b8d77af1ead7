// Zip archives as they should not be. In: nothing; out: cases: name, bytes, options.
// Terms: directory = the list of entries at the end of an archive; local header = what stands before each entry.
import { writeZip, zipShapefile } from '../lib/shapefile-writer.mjs';
import { treeParts } from './shapefile.mjs';

const encode = (/** @type {string} */ text) => new TextEncoder().encode(text);
const csv = encode('tag,easting,northing,dbh_in\nT1,7639984.090,680142.921,17.1\n');
const salvage = { options: { read: { salvage: true } } };

export function zipCases() {
  const parts = treeParts();
  const plain = zipShapefile('trees', parts);
  const packed = zipShapefile('trees', parts, true);
  const entries = Object.entries(parts).map(([ending, bytes]) => ({
    name: `trees.${ending}`,
    bytes: /** @type {Uint8Array} */ (bytes),
  }));
  const named = (/** @type {(name: string) => string} */ change) =>
    writeZip(entries.map((e) => ({ ...e, name: change(e.name) })));
  const patched = (/** @type {Uint8Array} */ zip, /** @type {number} */ at, /** @type {number} */ value) => {
    const out = zip.slice();
    out[at < 0 ? out.length + at : at] = value;
    return out;
  };
  const middle = Buffer.from(plain).indexOf('T1 ');
  /** @type {Record<string, Uint8Array | [Uint8Array, object]>} */
  const list = {
    sound: plain,
    packed,
    'no-entries': writeZip([]),
    'no-data': writeZip([{ name: 'readme.txt', bytes: csv }]),
    'folder-only': writeZip([{ name: 'gis/', bytes: new Uint8Array() }]),
    'no-shp': writeZip(entries.filter((e) => !e.name.endsWith('.shp'))),
    'macos-only': named((n) => `__MACOSX/._${n}`),
    hidden: named((n) => `.${n}`),
    nested: named((n) => `a/b c/d\u00e9/${n}`),
    'upper-case': named((n) => n.toUpperCase()),
    'mixed-case': writeZip(entries.map((e, i) => ({ ...e, name: i % 2 === 0 ? e.name.toUpperCase() : e.name }))),
    'path-up': named((n) => `../${n}`),
    'path-absolute': named((n) => `/etc/${n}`),
    'path-backslash': named((n) => `gis\\${n}`),
    'path-drive': named((n) => `C:${n}`),
    'name-empty': writeZip([{ name: '', bytes: csv }]),
    'name-long': writeZip([{ name: `${'x'.repeat(4000)}.csv`, bytes: csv }]),
    'same-name-twice': writeZip([...entries, ...entries]),
    'two-layers': writeZip([...entries, ...entries.map((e) => ({ ...e, name: `b-${e.name}` }))]),
    'two-layers-picked': [
      writeZip([...entries, ...entries.map((e) => ({ ...e, name: `b-${e.name}` }))]),
      { options: { read: { layer: 'b-trees' } } },
    ],
    'layer-not-there': [plain, { options: { read: { layer: 'shrubs' } } }],
    'csv-inside': writeZip([{ name: 'trees.csv', bytes: csv, deflate: true }]),
    'csv-empty': writeZip([{ name: 'trees.csv', bytes: new Uint8Array() }]),
    'geojson-broken': writeZip([{ name: 'trees.geojson', bytes: encode('{"type":') }]),
    'zip-in-zip': writeZip([{ name: 'inner.zip', bytes: plain, deflate: true }]),
    'zip-in-zip-in-zip': writeZip([{ name: 'outer.zip', bytes: writeZip([{ name: 'inner.zip', bytes: plain }]) }]),
    'zip-in-zip-broken': writeZip([{ name: 'inner.zip', bytes: plain.slice(0, 300) }]),
    'zip-in-zip-text': writeZip([{ name: 'inner.zip', bytes: csv }]),
    'wrong-byte': patched(plain, middle, 0x55),
    'wrong-byte-salvage': [patched(plain, middle, 0x55), salvage],
    'wrong-packed-byte': patched(packed, 60, 0xff),
    'wrong-packed-byte-salvage': [patched(packed, 60, 0xff), salvage],
    'wrong-check-sum': patched(plain, 14, 0x55),
    'directory-cut': plain.slice(0, -10),
    'directory-cut-salvage': [plain.slice(0, -10), salvage],
    'cut-in-half': plain.slice(0, plain.length >> 1),
    'cut-in-half-salvage': [plain.slice(0, plain.length >> 1), salvage],
    'cut-packed-salvage': [packed.slice(0, packed.length >> 1), salvage],
    'cut-early': plain.slice(0, 20),
    'cut-early-salvage': [plain.slice(0, 20), salvage],
    'directory-offset': patched(plain, -6, 0x7f),
    'directory-count': patched(plain, -12, 0xff),
    'text-behind': Uint8Array.from([...plain, ...encode('and some more text')]),
    'text-in-front': Uint8Array.from([...encode('MZ stub'), ...plain]),
    'not-a-zip': encode('PK is how it begins, but it is no archive'),
    zeros: new Uint8Array(400),
    bomb: writeZip([{ name: 'trees.csv', bytes: new Uint8Array(6_000_000).fill(32), deflate: true }]),
    'many-entries': writeZip(Array.from({ length: 1001 }, (_, i) => ({ name: `${i}`, bytes: new Uint8Array() }))),
    encrypted: locked(),
    'method-unknown': method(),
    'size-understated': sized(10),
    'size-overstated': sized(9999),
  };
  return Object.entries(list).map(([name, value]) => {
    const [data, more] = Array.isArray(value) ? value : [value, {}];
    return { name: `${name}.zip`, data, ...more };
  });
}

function single() {
  const zip = writeZip([{ name: 'trees.csv', bytes: csv, deflate: true }]);
  return { zip, record: zip.length - 22 - (46 + 'trees.csv'.length), view: new DataView(zip.buffer) };
}

function locked() {
  const { zip, record } = single();
  zip[record + 8] = (zip[record + 8] ?? 0) | 1;
  zip[6] = (zip[6] ?? 0) | 1;
  return zip;
}

function method() {
  const { zip, record, view } = single();
  view.setUint16(record + 10, 99, true);
  return zip;
}

/** @param {number} size */
function sized(size) {
  const { zip, record, view } = single();
  view.setUint32(record + 24, size, true);
  return zip;
}
