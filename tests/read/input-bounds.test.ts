// Small files that ask for very much: each is refused by name, with what to do, before anything large is made of it.
import { deflateRawSync } from 'node:zlib';
import ExcelJS from 'exceljs';
import { describe, expect, test } from 'vitest';
import { bearingOf, declinationOf } from '../../src/check/limbs.js';
import { InputError } from '../../src/model/findings.js';
import { lengthInMetres } from '../../src/model/units.js';
import { checkWorkbook } from '../../src/node/read/workbook-bounds.js';
import { readXlsx } from '../../src/node/read/xlsx.js';
import { plainMText } from '../../src/read/dxf-text.js';
import { readLayer } from '../../src/read/index.js';
import { uniqueNames } from '../../src/read/names.js';
import { quotedRecords } from '../../src/read/quoted.js';
import { numberIn } from '../../src/read/table.js';
import { run } from '../support/cli.js';
import { bytesOf } from '../support/layers.js';

async function refusal(act: () => unknown): Promise<InputError> {
  try {
    await act();
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error('not refused');
}

const MANY = 100_000;

describe('tables of text', () => {
  const wide = (cell: string): string =>
    `${Array.from({ length: 200_000 }, (_, i) => cell + i).join(',')}\n${','.repeat(199_999)}\n`;

  test.each([
    ['plain', wide('c')],
    ['quoted', `${wide('c')}"x"\n`],
    ['a table on one line', `tag,x,y\n${'T1,1,2,'.repeat(MANY)}`],
  ])('200,000 columns (%s) are refused', async (_, text) => {
    const error = await refusal(() => readLayer(bytesOf(text), { name: 'trees.csv' }));
    expect(error).toMatchObject({ code: 'table-wide', layer: 'trees.csv' });
    expect(error.message).toContain('16384 columns');
    expect(error.path).toBe(text.startsWith('tag') ? 'row 2' : 'row 1');
    expect(error.cure).toContain('keep only the columns that you need');
    expect(error.message.length).toBeLessThan(200);
  });

  test('a row of 10,000 cells above 100,000 rows of three is refused: a thousand million cells', async () => {
    const text = `tag,x,y${',h'.repeat(9_997)}\n${'T1,1,2\n'.repeat(MANY)}`;
    const error = await refusal(() => readLayer(bytesOf(text), { name: 'trees.csv' }));
    expect(error).toMatchObject({ code: 'table-sparse', path: 'row 1' });
    expect(error.cure).toContain('delete the stray cells at the end of row 1');
  });

  test('a wide table that is filled is read', () => {
    const names = Array.from({ length: 2_000 }, (_, i) => `c${i}`);
    const rows = Array.from({ length: 40 }, (_, r) => `${r},1,${names.map(() => 'v').join(',')}`);
    expect(readLayer(bytesOf(`x,y,${names.join(',')}\n${rows.join('\n')}\n`), { name: 'trees.csv' }).count).toBe(40);
  });

  test('a coordinate of 100,000 digits and a degree sign is a finding of its row, and a short one', () => {
    const text = `tag,x,y\nT1,${'1'.repeat(MANY)}\u00b0,2\nT2,7640000,680000\n`;
    const layer = readLayer(bytesOf(text), { name: 'trees.csv' });
    expect(layer.count).toBe(2);
    const [one] = layer.findings.filter(({ message }) => message.includes('not a number'));
    expect(one).toMatchObject({ severity: 'error', path: 'row 2, column "x"' });
    expect(one!.message.length).toBeLessThan(300);
    expect(one!.cure).toContain('write a plain number');
  });

  test('a quote that holds too many cells says in which row', () => {
    expect(quotedRecords('"a",b\nc,d,e\n', ',', 2)).toEqual({ wideAt: 2 });
  });

  test('names that repeat cost no more than they are', () => {
    const names = uniqueNames(Array.from({ length: MANY }, () => 'a'));
    expect(new Set(names).size).toBe(MANY);
    expect(names.slice(0, 3)).toEqual(['a', 'a_2', 'a_3']);
    expect(uniqueNames(['a_2', 'a', 'a', 'a'])).toEqual(['a_2', 'a', 'a_3', 'a_4']);
  });
});

// Each of these took the square of its length, or more: 100,000 signs were seconds to minutes a cell.
describe('long cells', () => {
  const digits = '1'.repeat(MANY);
  const blanks = ' '.repeat(MANY);
  test.each([
    ['number', () => numberIn(`${digits}\u00b0`, false), Number.NaN],
    ['number with a comma', () => numberIn(`${digits},${digits}\u00b0`, true), Number.NaN],
    ['length', () => lengthInMetres(`${digits}\u00b0`), undefined],
    ['length of blanks', () => lengthInMetres(`12 ft${blanks}!`), undefined],
    ['feet and inches', () => lengthInMetres(`12'${digits}/${digits}x`), undefined],
    ['bearing', () => bearingOf(`N${digits}${blanks}x`), Number.NaN],
    ['declination', () => declinationOf(`${blanks}1${blanks}x`), Number.NaN],
  ])('%s', (_, read, expected) => {
    expect(read()).toEqual(expected);
  });

  test('text of a drawing', () => {
    expect(plainMText('\\S'.repeat(MANY)).length).toBeGreaterThan(0);
    expect(plainMText('\\S1/2;')).toBe('1/2');
  });
});

// ------------------------------------------------------------------------------------------------- workbooks

/** A zip of deflated entries; sizes may be stated wrong. */
function zipOf(entries: Readonly<Record<string, string>>, statedSize?: number): Uint8Array {
  const locals: Buffer[] = [];
  const directory: Buffer[] = [];
  let at = 0;
  for (const [name, text] of Object.entries(entries)) {
    const raw = Buffer.from(text, 'latin1');
    const packed = deflateRawSync(raw);
    const head = Buffer.alloc(30);
    head.writeUInt32LE(0x04034b50, 0);
    head.writeUInt16LE(20, 4);
    head.writeUInt16LE(8, 8);
    head.writeUInt32LE(packed.length, 18);
    head.writeUInt32LE(statedSize ?? raw.length, 22);
    head.writeUInt16LE(name.length, 26);
    const local = Buffer.concat([head, Buffer.from(name), packed]);
    const entry = Buffer.alloc(46);
    entry.writeUInt32LE(0x02014b50, 0);
    entry.writeUInt16LE(20, 4);
    entry.writeUInt16LE(20, 6);
    entry.writeUInt16LE(8, 10);
    entry.writeUInt32LE(packed.length, 20);
    entry.writeUInt32LE(statedSize ?? raw.length, 24);
    entry.writeUInt16LE(name.length, 28);
    entry.writeUInt32LE(at, 42);
    directory.push(entry, Buffer.from(name));
    locals.push(local);
    at += local.length;
  }
  const list = Buffer.concat(directory);
  const end = Buffer.alloc(22);
  end.writeUInt32LE(0x06054b50, 0);
  end.writeUInt16LE(directory.length / 2, 8);
  end.writeUInt16LE(directory.length / 2, 10);
  end.writeUInt32LE(list.length, 12);
  end.writeUInt32LE(at, 16);
  return new Uint8Array(Buffer.concat([...locals, list, end]));
}

const sheet = (inside: string, after = ''): Record<string, string> => ({
  'xl/worksheets/sheet1.xml': `<worksheet><sheetData>${inside}</sheetData>${after}</worksheet>`,
});
const read = (bytes: Uint8Array) => readXlsx(bytes, { name: 'trees.xlsx' });

describe('workbooks', () => {
  // Texts that differ a little pack some thirty-fold, so no ratio gives them away.
  const strings = (count: number): string => {
    const all: string[] = [];
    for (let i = 0; i < count; i++) all.push(`<si><t>${(i * 2654435761) % 4294967296}</t></si>`);
    return `<sst>${all.join('')}</sst>`;
  };

  const cells = (count: number, prefix = ''): string =>
    Array.from({ length: count }, (_, i) => `<${prefix}c r="A${(i * 48271) % 99991}"/>`).join('');
  const few = { cells: 20_000, strings: 10_000, merged: 10_000 };

  test.each([
    ['shared texts', () => ({ 'xl/sharedStrings.xml': strings(10_001) })],
    ['cells', () => sheet(cells(20_001))],
    ['cells', () => sheet(cells(20_001, 'x:'))], // with a prefix
    ['cells in merged', () => sheet('', '<mergeCells><mergeCell ref="A1:CV101"/></mergeCells>')],
  ])('too many %s are refused, and as many as may be are not', async (words, parts) => {
    const error = await refusal(() => checkWorkbook(zipOf(parts()), 'trees.xlsx', {}, few));
    expect(error).toMatchObject({ code: 'workbook-large', layer: 'trees.xlsx' });
    expect(error.message).toContain(words);
    expect(error.cure).toContain('CSV');
    const more = { cells: 20_001, strings: 10_001, merged: 10_100 };
    await checkWorkbook(zipOf(parts()), 'trees.xlsx', {}, more);
  });

  test('what is counted may be cut anywhere by the pieces it comes in', async () => {
    for (let shift = 0; shift < 12; shift++) {
      const parts = sheet(`${' '.repeat(shift)}${cells(30_000)}`);
      await checkWorkbook(zipOf(parts), 'trees.xlsx', {}, { ...few, cells: 30_000 });
      const error = await refusal(() => checkWorkbook(zipOf(parts), 'trees.xlsx', {}, { ...few, cells: 29_999 }));
      expect(error.code).toBe('workbook-large');
    }
  });

  test('one merged range of a whole sheet is refused before it is opened', async () => {
    const bytes = zipOf(sheet('', '<mergeCells><mergeCell ref="A1:XFD1048576"/></mergeCells>'));
    expect(await refusal(() => read(bytes))).toMatchObject({ code: 'workbook-large' });
  });

  test('parts that are larger than stated, or state more than any table needs', async () => {
    const lying = await refusal(() => read(zipOf(sheet('<row/>'.repeat(MANY)), 1000)));
    expect(lying.code).toBe('zip-broken');
    const large = await refusal(() => read(zipOf(sheet('<row/>'), 3e8)));
    expect(large).toMatchObject({ code: 'zip-caps' });
    expect(large.cure.length).toBeGreaterThan(10);
  });

  const book = async (fill: (sheet: ExcelJS.Worksheet) => void): Promise<Uint8Array> => {
    const workbook = new ExcelJS.Workbook();
    fill(workbook.addWorksheet('Trees'));
    return new Uint8Array(await workbook.xlsx.writeBuffer());
  };

  test('one stray cell in the last corner of the sheet is named', async () => {
    const bytes = await book((trees) => {
      trees.addRow(['tag', 'x', 'y']);
      for (let i = 0; i < 5; i++) trees.addRow([`T${i}`, 7640000 + i, 680000]);
      trees.getCell('XFD1048576').value = 'x';
    });
    const error = await refusal(() => read(bytes));
    expect(error).toMatchObject({ code: 'table-sparse', layer: 'trees.xlsx', path: 'row 1048576' });
    expect(error.message).toContain('column 16384');
    expect(error.cure).toContain('delete the stray cells at the end of row 1048576');
  });

  test('rows far apart keep their numbers, and lists of allowed values are not written out', async () => {
    const bytes = await book((trees) => {
      trees.addRow(['tag', 'x', 'y']);
      trees.getRow(900_000).values = ['T1', 'none', 680000];
      // ranges of a whole sheet: the library would make an entry for each of their cells
      Object.assign(trees, { dataValidations: { model: { 'A2:XFD1048576': { type: 'list', formulae: ['"a,b"'] } } } });
    });
    const layer = await read(bytes);
    expect(layer.count).toBe(1);
    expect(layer.findings.map(({ path }) => path)).toContain('row 900000, column "x"');
  });
});

test('the command line says it in one message', async () => {
  const { mkdtempSync, writeFileSync } = await import('node:fs');
  const { join } = await import('node:path');
  const { tmpdir } = await import('node:os');
  const folder = mkdtempSync(join(tmpdir(), 'bounds-'));
  writeFileSync(join(folder, 'wide.csv'), `${'a,'.repeat(200_000)}\n`);
  const { code, err } = await run('check', join(folder, 'wide.csv'));
  expect(code).toBe(1);
  expect(err).toContain('16384 columns');
  expect(err).toContain('keep only the columns');
});
