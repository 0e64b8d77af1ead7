// Sequences of GeoJSON as they should not be (newline-delimited, RFC 8142). In: nothing; out: cases.
// Terms: RS = record separator, 0x1e, in front of each document of RFC 8142.
import { at, collection, feature, point } from './geojson.mjs';

const json = JSON.stringify;
const lines = [0, 3, 6].map((x, i) => json(feature(point(at(x, x)), { dbh_in: 10 + i, tag: `T${i}` })));
const [a = '', b = '', c = ''] = lines;

export function ndjsonCases() {
  /** @type {Record<string, string | Uint8Array>} */
  const list = {
    sound: lines.join('\n'),
    crlf: lines.join('\r\n'),
    'cr-only': lines.join('\r'),
    'blank-lines': `\n\n${a}\n\n\n${b}\n  \n${c}\n\n`,
    bom: `\ufeff${lines.join('\n')}`,
    'bom-inside': `${a}\n\ufeff${b}\n${c}`,
    'broken-first': `${a.slice(0, 30)}\n${b}\n${c}`,
    'broken-middle': `${a}\n${b.slice(0, 30)}\n${c}`,
    'broken-last': `${a}\n${b}\n${c.slice(0, 30)}`,
    'all-broken': lines.map((l) => l.slice(0, 20)).join('\n'),
    'trailing-commas': lines.map((l) => `${l},`).join('\n'),
    'array-lines': lines.map((l) => `[${l}]`).join('\n'),
    'null-line': `${a}\nnull\n${c}`,
    'number-line': `${a}\n5\n${c}`,
    'string-line': `${a}\n"tree"\n${c}`,
    'empty-object-line': `${a}\n{}\n${c}`,
    'comment-line': `${a}\n# second\n${c}`,
    'two-on-a-line': `${a}${b}\n${c}`,
    'geometry-line': `${a}\n${json(point(at(4, 4)))}\n${c}`,
    'collection-line': `${a}\n${json(collection([JSON.parse(b), JSON.parse(c)]))}`,
    'collections-with-crs': `${json(collection([], { crs: { type: 'name', properties: { name: 'EPSG:4326' } } }))}\n${a}`,
    'no-geometry': `${a}\n${json(feature(null))}\n${c}`,
    'wrong-geometry': `${a}\n${json(feature({ type: 'Point', coordinates: ['x'] }))}\n${c}`,
    'latin-1-line': Uint8Array.from(`${a}\n${b.replace('T1', 'Ch\u00eane')}\n${c}`, (ch) => ch.charCodeAt(0)),
    'nul-line': `${a}\n\0\0\0\n${c}`,
    'html-line': `${a}\n<html>502 Bad Gateway</html>\n${c}`,
    'csv-inside': `${a}\ntag,x,y\nT1,1,2\n`,
    rs: lines.map((l) => `\u001e${l}\n`).join(''),
    'rs-no-newlines': lines.map((l) => `\u001e${l}`).join(''),
    'rs-broken': `\u001e${a}\n\u001e${b.slice(0, 25)}\n\u001e${c}\n`,
    'rs-doubled': `\u001e\u001e${a}\n\u001e\u001e\u001e${b}\n`,
    'rs-only': '\u001e\u001e\u001e',
    'rs-behind': `${a}\u001e\n${b}\u001e\n`,
    'rs-text-in-front': `trees\u001e${a}\n`,
    'nested-newlines': `${JSON.stringify(JSON.parse(a), null, 1)}\n${b}`,
    'only-one': `${a}\n`,
    'mixed-degrees-feet': `${a}\n${json(feature(point([7650000, 680000])))}`,
    'number-overflow': `${a}\n${b.replace('-122.4997', '-1e999')}\n${c}`,
    'duplicate-ids': [a, b].map((l) => l.replace('{', '{"id":"same",')).join('\n'),
    empty: '',
  };
  const cases = Object.entries(list).map(([name, data]) => ({ name: `${name}.ndjson`, data }));
  return [
    ...cases,
    { name: 'wrong-ending.geojson', data: lines.join('\n') },
    { name: 'wrong-ending.json', data: `${a}\n${b.slice(0, 40)}\n${c}` },
  ];
}
