// CSV and TSV -> Layer: columns, delimiters, numbers, rows that can't be placed.

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { InputError } from '../../src/model/findings.js';
import type { Layer } from '../../src/model/index.js';
import { type ReadOptions, readLayer } from '../../src/read/index.js';
import { bytesOf, codesOf, coordinatesOf, kindOf } from '../support/layers.js';

const read = (text: string, options: Partial<ReadOptions> = {}): Layer =>
  readLayer(bytesOf(text), { name: 'trees.csv', ...options });
const refusal = (act: () => unknown): InputError => {
  try {
    act();
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error('nothing was refused');
};

describe('columns', () => {
  it.each([
    ['Easting,NORTHING', null],
    ['x,y', null],
    ['Lon,Lat', { from: 'file', text: 'OGC:CRS84' }],
    ['LONGITUDE, latitude', { from: 'file', text: 'OGC:CRS84' }],
  ])('finds %s', (head, crs) => {
    const layer = read(`tag,${head}\nT1,-122.5,45.25\n`);
    expect([coordinatesOf(layer, 0), layer.crs, layer.findings]).toEqual([[-122.5, 45.25], crs, []]);
  });

  it('keeps every column as a property', () => {
    const layer = read('tag,easting,northing,species\nT1,7650000.25,680000,"Oak, white"\n');
    expect(layer.properties(0)).toEqual({ tag: 'T1', easting: 7650000.25, northing: 680000, species: 'Oak, white' });
    expect(layer.fields).toEqual(['tag', 'easting', 'northing', 'species']);
  });

  it.each([[['E', 'N']], [['e', 'n']], [[3, 2]], [['3', '2']]])('takes the columns that are named: %j', (xy) => {
    const layer = read('P,N,E\n1,680000,7650000\n', { xy: xy as [string, string] });
    expect(coordinatesOf(layer, 0)).toEqual([7650000, 680000]);
  });

  it('takes a name before a position', () => {
    expect(coordinatesOf(read('1,2,3\n10,20,30\n', { xy: ['3', '1'] }), 0)).toEqual([30, 10]);
  });

  it('reads a file without header: point, northing, easting, elevation, description', () => {
    const layer = read('1,680000.5,7650000.25,312.4,OAK 24\n2,680010,7650010,,STUMP\n', {
      name: 'shots.txt',
      noHeader: true,
      xy: [3, 2],
    });
    expect([coordinatesOf(layer, 0), coordinatesOf(layer, 1)]).toEqual([
      [7650000.25, 680000.5],
      [7650010, 680010],
    ]);
    expect(layer.properties(0)).toEqual({
      column1: 1,
      column2: 680000.5,
      column3: 7650000.25,
      column4: 312.4,
      column5: 'OAK 24',
    });
    const named = read('1,680000.5,7650000.25,312.4,OAK\n', {
      noHeader: true,
      columns: ['point', 'northing', 'easting', 'elevation'],
    });
    expect([coordinatesOf(named, 0), Object.keys(named.properties(0))]).toEqual([
      [7650000.25, 680000.5, 312.4],
      ['point', 'northing', 'easting', 'elevation', 'column5'],
    ]);
  });

  it.each(['elevation', 'Elev', 'z'])('takes %s as the height', (name) => {
    const layer = read(`x,y,${name}\n1,2,30\n1,2,\n1,2,high\n`);
    expect([0, 1, 2].map((i) => coordinatesOf(layer, i))).toEqual([
      [1, 2, 30],
      [1, 2],
      [1, 2],
    ]);
    expect(layer.findings).toMatchObject([{ code: 'number-unreadable', feature: 2, path: `row 4, column "${name}"` }]);
  });

  it('keeps columns without a name, of the same name, and beyond the header', () => {
    const layer = read('x,y,,tag,tag,__proto__\n1,2,a,b,c,d,e\n1,2\n');
    expect(layer.properties(0)).toEqual({ x: 1, y: 2, column3: 'a', tag: 'b', tag_2: 'c', column6: 'd', column7: 'e' });
    expect(layer.properties(1)).toEqual({
      x: 1,
      y: 2,
      column3: null,
      tag: null,
      tag_2: null,
      column6: null,
      column7: null,
    });
  });

  it('refuses a file without coordinate columns and says how to name them', () => {
    const plain = refusal(() => read('tag,dbh\nT1,12\n'));
    expect([plain.code, plain.cure]).toEqual(['csv-coordinates', expect.stringContaining('--xy')]);
    expect(plain.message).toContain('"tag", "dbh"');
    expect(refusal(() => read('1,680000,7650000,300,OAK\n')).cure).toContain('--no-header');
    const missing = refusal(() => read('tag,East,North\nT1,1,2\n', { xy: ['Eats', 'North'] }));
    expect([missing.code, missing.path]).toEqual(['csv-column', 'Eats']);
    expect(missing.cure).toContain('"East"');
    expect(refusal(() => read('x,y\n1,2\n', { xy: [1, 3] })).code).toBe('csv-column');
  });
});

describe('delimiters and marks', () => {
  it.each([
    ['tab', 'tag\tx\ty\nT,1\t1.5\t2.5\n'],
    ['semicolon with decimal commas', 'tag;x;y\nT,1;1,5;2,5\n'],
    ['semicolon with decimal points', 'tag;x;y\nT,1;1.5;2.5\n'],
    ['comma, semicolons within', 'tag,x,y\n"T,1",1.5,2.5\n'],
    ['CR line ends', 'tag;x;y\rT,1;1.5;2.5\r'],
    ['a byte order mark and CRLF', '\ufefftag;x;y\r\nT,1;1.5;2.5\r\n'],
  ])('%s', (_, text) => {
    const layer = read(text);
    expect([layer.count, coordinatesOf(layer, 0), layer.properties(0)]).toEqual([
      1,
      [1.5, 2.5],
      { tag: 'T,1', x: 1.5, y: 2.5 },
    ]);
  });

  it('does not take the semicolons of a list of stems for delimiters', () => {
    const layer = read('tag,x,y,stems_in\nT1,1,2,12;9;7;6;5\nT2,3,4,8;8;8;8;8\n');
    expect([layer.count, layer.properties(1)]).toEqual([2, { tag: 'T2', x: 3, y: 4, stems_in: '8;8;8;8;8' }]);
  });

  it('keeps stray quotes as text, and quoted line breaks', () => {
    const layer = read('tag,x,y,note\nT1,1,2,12" oak\nT2,3,4,"two ""big"" stems\nand a burl"\n');
    expect([0, 1].map((i) => layer.properties(i).note)).toEqual(['12" oak', 'two "big" stems\nand a burl']);
  });

  it('refuses a quote that is never closed, with the line', () => {
    const error = refusal(() => read('tag,x,y\nT1,1,2\n"T2,3,4\nT3,5,6\n'));
    expect([error.code, error.cure]).toEqual(['csv-quote', expect.stringContaining('quote')]);
    expect(error.message).toContain('line 3');
  });

  it('reads windows-1252 text, and says so', () => {
    const bytes = Uint8Array.from([...'x,y,n\n1,2,Ch\u00eane\n'].map((c) => c.charCodeAt(0)));
    const layer = readLayer(bytes, { name: 'a.csv' });
    expect([layer.properties(0).n, codesOf(layer)]).toEqual(['Ch\u00eane', ['encoding-assumed']]);
  });
});

describe('values', () => {
  it('makes a number only of what writes back as the same text', () => {
    const cells: [string, unknown][] = [
      ['12', 12],
      ['-12.5', -12.5],
      ['0', 0],
      ['0.5', 0.5],
      ['123456789012345', 123456789012345],
      ['1234567890123456', '1234567890123456'],
      ['12345678901234567891', '12345678901234567891'],
      ['0.1234567890123456', '0.1234567890123456'],
      ['012', '012'],
      ['00', '00'],
      ['-0', '-0'],
      ['12.50', '12.50'],
      ['12.', '12.'],
      ['.5', '.5'],
      ['+5', '+5'],
      ['1e5', '1e5'],
      ['1-2', '1-2'],
      ['-', '-'],
      ['0.0000001', '0.0000001'],
      ['NaN', 'NaN'],
      ['0x10', '0x10'],
      ['1.2.3', '1.2.3'],
      ['', null],
      ['  ', null],
    ];
    const layer = read(`x,y,v\n${cells.map(([text]) => `1,2,${text}`).join('\n')}\n`);
    expect(cells.map((_, i) => layer.properties(i).v)).toEqual(cells.map(([, value]) => value));
  });

  it('property: a number cell always writes back as its text', () => {
    fc.assert(
      fc.property(
        fc.oneof(fc.double({ noNaN: true }), fc.integer()).map(String),
        fc.stringMatching(/^-?[0-9.]{1,18}$/),
        (a, b) => {
          const layer = read(`x,y,a,b\n1,2,${a},${b}\n`);
          expect([String(layer.properties(0).a), String(layer.properties(0).b)]).toEqual([a, b]);
        },
      ),
    );
  });

  it('property: plain files read the same with and without the quote-aware parser', () => {
    const cell = fc.stringMatching(/^[a-z0-9 .-]{0,6}$/);
    fc.assert(
      fc.property(
        fc.array(fc.tuple(cell, cell), { minLength: 1, maxLength: 8 }),
        fc.constantFrom('\n', '\r\n'),
        (rows, end) => {
          const lines = rows.map(([a, b]) => `1,2,${a},${b}`);
          const plain = read(['x,y,a,b', ...lines].join(end));
          const quoted = read(['x,y,a,"b"', ...lines].join(end));
          expect(plain.count).toBe(rows.length);
          expect(rows.map((_, i) => plain.properties(i))).toEqual(rows.map((_, i) => quoted.properties(i)));
        },
      ),
    );
  });
});

describe('rows that cannot be placed are kept', () => {
  it.each([
    ['12 ft', 'T2,12 ft,5', 'broken', 'geometry-broken', 'row 3, column "easting"'],
    ['thousands mark', 'T2,"7,650,000",5', 'broken', 'geometry-broken', 'row 3, column "easting"'],
    ['one blank', 'T2,5,', 'broken', 'geometry-broken', 'row 3, column "northing"'],
    ['a row too short', 'T2', 'none', 'geometry-null', 'row 3, column "easting"'],
    ['both blank', 'T2, ,', 'none', 'geometry-null', 'row 3, column "easting"'],
    ['infinite', 'T2,1e999,5', 'broken', 'geometry-broken', 'row 3, column "easting"'],
  ])('%s', (_, row, kind, code, path) => {
    const layer = read(`tag,easting,northing\nT1,1,2\n${row}\nT3,3,4\n`);
    expect([0, 1, 2].map((i) => kindOf(layer, i))).toEqual(['point', kind, 'point']);
    expect(layer.findings).toMatchObject([{ code, feature: 1, path, layer: 'trees.csv' }]);
    expect([layer.properties(1).tag, coordinatesOf(layer, 2)]).toEqual(['T2', [3, 4]]);
  });

  it('counts rows as a spreadsheet does, and blank lines are none', () => {
    const layer = read('\ntag,x,y\n\nT1,1,2\n\n,,\nT2,a,2\n\n');
    expect(layer.count).toBe(3);
    expect(layer.findings.map((f) => f.path)).toEqual(['row 6, column "x"', 'row 7, column "x"']);
  });
});
