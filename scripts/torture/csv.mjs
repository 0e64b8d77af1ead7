// CSV files as they should not be. In: nothing; out: cases: name, content, options.
// Terms: good = a header and two trees in EPSG:2913 (Oregon North, ft).

const head = 'tag,easting,northing,dbh_in,remarks';
const one = 'T1,7639984.090,680142.921,17.1,fine';
const two = 'T2,7639990.5,680150.25,28,leans';
const good = `${head}\n${one}\n${two}\n`;
const bytes = (/** @type {string} */ text) => Uint8Array.from(text, (c) => c.charCodeAt(0));

export function csvCases() {
  return [...tables(), ...cells()];
}

function tables() {
  const xy = { read: { xy: [2, 3], noHeader: true } };
  /** @type {Record<string, string | Uint8Array | [string | Uint8Array, object]>} */
  const list = {
    sound: good,
    empty: '',
    blank: '\n\n\n',
    'header-only': `${head}\n`,
    'no-newline-at-end': good.trimEnd(),
    'no-header': [`${one}\n${two}\n`, {}],
    'no-header-said': [`${one}\n${two}\n`, { ...xy, fields: { dbh: 'column4:in' } }],
    'header-twice': `${head}\n${one}\n${head}\n${two}\n`,
    'no-coordinates': 'tag,dbh_in\nT1,20\n',
    'one-coordinate': 'tag,easting,dbh_in\nT1,7639984,20\n',
    'two-pairs': `tag,easting,northing,lon,lat,dbh_in\nT1,7639984.090,680142.921,-122.69,45.51,17\n`,
    'lon-lat': 'tag,lon,lat,dbh_in\nT1,-122.69,45.51,17\n',
    'lat-lon-swapped': ['tag,lon,lat,dbh_in\nT1,45.51,-122.69,17\n', {}],
    'swapped-names': 'tag,northing,easting,dbh_in\nT1,7639984.090,680142.921,17\n',
    'upper-case-names': good.replace(head, head.toUpperCase()),
    'spaced-names': good.replace(head, ' tag , Easting , Northing , DBH (in) , remarks '),
    'xy-by-name': ['tag,E,N,dbh_in\nT1,7639984,680142,17\n', { read: { xy: ['E', 'N'] } }],
    'xy-not-there': ['tag,E,N,dbh_in\nT1,7639984,680142,17\n', { read: { xy: ['EAST', 'N'] } }],
    'xy-out-of-range': ['tag,E,N,dbh_in\nT1,7639984,680142,17\n', { read: { xy: [2, 9] } }],
    'blank-names': 'tag,easting,northing,,,dbh_in\nT1,7639984,680142,a,b,17\n',
    'same-names': 'tag,easting,northing,dbh_in,dbh_in\nT1,7639984,680142,17,18\n',
    'proto-name': 'tag,easting,northing,dbh_in,__proto__,constructor\nT1,7639984,680142,17,x,y\n',
    'index-column': `,${head}\n1,${one}\n2,${two}\n`,
    'title-line': `Tree survey, lot 9\n${good}`,
    'title-lines-and-blank': `Tree survey\n\n${good}`,
    'comment-line': `# made by hand\n${good}`,
    'sep-line': `sep=;\n${good.replaceAll(',', ';')}`,
    semicolons: good.replaceAll(',', ';'),
    'semicolons-decimal-comma': good.replaceAll(',', ';').replaceAll('.', ','),
    tabs: good.replaceAll(',', '\t'),
    pipes: good.replaceAll(',', '|'),
    spaces: good.replaceAll(',', '  '),
    'mixed-separators': `${head}\n${one.replaceAll(',', ';')}\n${two}\n`,
    'quoted-separators': `${head}\nT1,7639984.090,680142.921,17.1,"old, leaning; ""big"" one"\n`,
    'quoted-newline': `${head}\nT1,7639984.090,680142.921,17.1,"two\nlines"\n${two}\n`,
    'quoted-numbers': good.replace(/7639984\.090/, '"7639984.090"').replace('17.1', '"17.1"'),
    'quote-open': `${head}\nT1,7639984.090,680142.921,17.1,"never closed\n${two}\n`,
    'quote-inside': `${head}\nT1,7639984.090,680142.921,17.1,6" limb\n${two}\n`,
    'quote-behind': `${head}\nT1,7639984.090,680142.921,17.1,"ends" here\n${two}\n`,
    'single-quotes': `${head}\n'T1','7639984.090','680142.921','17.1','x'\n`,
    'short-row': `${head}\nT1,7639984.090\n${two}\n`,
    'long-row': `${head}\n${one},more,and more\n${two}\n`,
    'empty-row': `${head}\n${one}\n,,,,\n${two}\n`,
    'blank-lines-inside': `${head}\n\n${one}\n\n\n${two}\n\n`,
    'total-row': `${head}\n${one}\n${two}\nTotal,,,45.1,\n`,
    crlf: good.replaceAll('\n', '\r\n'),
    'cr-only': good.replaceAll('\n', '\r'),
    'mixed-line-ends': `${head}\r\n${one}\n${two}\r`,
    bom: `\ufeff${good}`,
    'bom-twice': `\ufeff\ufeff${good}`,
    'utf16-le': new Uint8Array(Buffer.from(`\ufeff${good}`, 'utf16le')),
    'utf16-bare': new Uint8Array(Buffer.from(good, 'utf16le')),
    'latin-1': bytes(good.replace('fine', 'Ch\u00eane')),
    'nul-bytes': `${head}\n${one}\0\0\n${two}\n`,
    'ctrl-z-at-end': `${good}\u001a`,
    'html-page': '<html><body>404</body></html>',
    'excel-bytes': bytes(`\u00d0\u00cf\u0011\u00e0${'\0'.repeat(60)}`),
    'zip-bytes': bytes(`PK\u0003\u0004${'\0'.repeat(60)}`),
    'pdf-bytes': '%PDF-1.7\n1 0 obj\n',
    'png-bytes': bytes('\u0089PNG\r\n\u001a\n\0\0\0\rIHDR'),
    'random-bytes': Uint8Array.from({ length: 400 }, (_, i) => (i * 197 + (i >> 3) * 31) & 255),
    'geojson-inside': '{"type":"FeatureCollection","features":[]}',
    'one-column': 'easting\n7639984\n',
    'names-only-numbers': '1,2,3\n7639984,680142,17\n',
    'many-columns': `tag,easting,northing,dbh_in,${Array.from({ length: 600 }, (_, i) => `c${i}`).join(',')}\nT1,7639984,680142,17\n`,
    'no-unit': ['tag,easting,northing,dbh\nT1,7639984,680142,17\n', { dbhUnit: null }],
    'no-system': [good, { crs: null }],
    'wrong-system': [good, { crs: 'EPSG:4326' }],
    'other-zone': [good, { crs: 'EPSG:2229' }],
    'no-size-field': 'tag,easting,northing,DIAM\nT1,7639984,680142,17\n',
  };
  return Object.entries(list).map(([name, value]) => {
    const [data, options] = Array.isArray(value) ? value : [value, undefined];
    return { name: `table-${name}.csv`, data, ...(options === undefined ? {} : { options }) };
  });
}

function cells() {
  const easting = {
    blank: '',
    spaces: '   ',
    words: 'unknown',
    nan: 'NaN',
    infinity: 'Infinity',
    overflow: '1e400',
    hex: '0x7493',
    'with-unit': '7639984 ft',
    thousands: '"7,639,984.09"',
    'thousands-blank': '7 639 984.09',
    'decimal-comma': '"7639984,09"',
    exponent: '7.639984e6',
    negative: '-7639984',
    plus: '+7639984.09',
    dash: '-',
    'not-available': '#N/A',
    formula: '=A1',
    date: '2026-03-01',
    degrees: '122°41\'33"W'.replace('"', '""').replace(/^/, '"').replace(/$/, '"'),
    zero: '0',
    'half-cell': '7639984.0.9',
    'two-points': '7639984..09',
    'full-width': '\uff17\uff16',
    'minus-sign': '\u22127639984',
  };
  const size = {
    blank: '',
    words: 'multi',
    range: '20-24',
    'with-unit': '"24"""',
    'decimal-comma': '"24,5"',
    thousands: '"1,234"',
    zero: '0',
    negative: '-4',
    huge: '1e30',
    nan: 'NaN',
    na: 'N/A',
    plus: '24+',
    tilde: '~24',
    fraction: '24 1/2',
    absurd: '565',
  };
  return [
    ...Object.entries(easting).map(([name, cell]) => ({
      name: `easting-${name}.csv`,
      data: `${head}\nT1,${cell},680142.921,17.1,x\n${two}\n`,
    })),
    ...Object.entries(size).map(([name, cell]) => ({
      name: `dbh-${name}.csv`,
      data: `${head}\nT1,7639984.090,680142.921,${cell},x\n${two}\n`,
    })),
  ];
}
