// DXF text -> raw entities. In: lines in pairs, a group code and its value; out: the drawing's unit and code page, and
// each entity of the ENTITIES section with what belongs to it.
// Terms: group = a code and a value; sequence = VERTEX or ATTRIB entities up to SEQEND, owned by the one before.
// Own reader on purpose: the packages at hand lose vertices behind codes they do not know, or wait for ever on a
// POLYLINE without SEQEND.

import { InputError } from '../model/index.js';

/** One entity: its groups as two columns, in order, and the entities of its sequence. */
export interface RawEntity {
  readonly type: string;
  readonly codes: readonly number[];
  readonly values: readonly string[];
  readonly owned: readonly RawEntity[];
  readonly line: number; // of its first group, from 1
}

export interface RawDrawing {
  readonly insUnits: number | undefined;
  readonly entities: readonly RawEntity[];
}

/**
 * @throws InputError `dxf-broken` (with the line), `dxf-truncated`, `dxf-empty`
 */
export function scanDxf(text: string, layer: string): RawDrawing {
  const scanner = new Scanner(text, layer);
  let insUnits: number | undefined;
  let entities: RawEntity[] | undefined;
  while (scanner.next()) {
    if (!scanner.is(0, 'SECTION')) continue;
    if (!scanner.next()) break;
    if (scanner.is(2, 'HEADER')) insUnits = headerUnits(scanner);
    else if (scanner.is(2, 'ENTITIES')) entities = readEntities(scanner, layer);
  }
  if (entities !== undefined) return { insUnits, entities };
  throw new InputError('dxf-empty', `${layer} has no ENTITIES section`, {
    layer,
    cure: 'save the drawing itself as DXF, not a block or a template',
  });
}

class Scanner {
  code = -1;
  value = '';
  line = 0;
  readonly #text: string;
  readonly #layer: string;
  #at = 0;

  constructor(text: string, layer: string) {
    this.#text = text;
    this.#layer = layer;
  }

  /** The next group; false at the end of the text. Comments (999) are skipped. */
  next(): boolean {
    do {
      const code = this.#line();
      if (code === undefined || (code.trim() === '' && this.#at >= this.#text.length)) return false;
      const value = this.#line();
      if (!/^\s*\d{1,4}\s*$/.test(code)) {
        throw new InputError(
          'dxf-broken',
          `${this.#layer}, line ${this.line - 1}: a group code was expected, not ${JSON.stringify(code.slice(0, 40))}`,
          {
            layer: this.#layer,
            path: `line ${this.line - 1}`,
            cure: 'save the drawing again as DXF: before that place a line is missing, or there is one too many',
          },
        );
      }
      if (value === undefined) return false;
      this.code = Number(code);
      this.value = this.code < 10 || this.code === 1000 ? value : value.trim();
    } while (this.code === 999);
    if (this.code === 0 || this.code === 2) this.value = this.value.trim();
    return true;
  }

  is(code: number, value: string): boolean {
    return this.code === code && this.value === value;
  }

  #line(): string | undefined {
    if (this.#at >= this.#text.length) return undefined;
    let end = this.#text.indexOf('\n', this.#at);
    if (end === -1) end = this.#text.length;
    const line = this.#text.slice(this.#at, this.#text.charCodeAt(end - 1) === 13 && end > this.#at ? end - 1 : end);
    this.#at = end + 1;
    this.line++;
    return line;
  }
}

/** $INSUNITS of the header; reads to its end. */
function headerUnits(scanner: Scanner): number | undefined {
  let units: number | undefined;
  while (scanner.next() && scanner.code !== 0) {
    if (scanner.code !== 9 || scanner.value.trim() !== '$INSUNITS' || !scanner.next()) continue;
    units = /^\d+$/.test(scanner.value) ? Number(scanner.value) : undefined;
  }
  return units;
}

function readEntities(scanner: Scanner, layer: string): RawEntity[] {
  const list: RawEntity[] = [];
  if (!scanner.next()) throw truncated(layer, scanner.line);
  while (!scanner.is(0, 'ENDSEC')) {
    const entity = readEntity(scanner, layer);
    const member = MEMBER[entity.type];
    if (member === undefined || (entity.type === 'INSERT' && !hasSequence(entity))) {
      list.push(entity);
      continue;
    }
    const owned: RawEntity[] = [];
    while (scanner.is(0, member)) owned.push(readEntity(scanner, layer));
    if (scanner.is(0, 'SEQEND')) readEntity(scanner, layer);
    list.push({ ...entity, owned });
  }
  return list;
}

const MEMBER: Readonly<Record<string, string>> = { POLYLINE: 'VERTEX', INSERT: 'ATTRIB' };

function hasSequence(entity: RawEntity): boolean {
  const at = entity.codes.indexOf(66);
  return at !== -1 && entity.values[at] === '1';
}

/** From the group 0 the scanner stands on, up to the next one, on which it is left. */
function readEntity(scanner: Scanner, layer: string): RawEntity {
  const type = scanner.value;
  const line = scanner.line - 1;
  const codes: number[] = [];
  const values: string[] = [];
  let embedded = false;
  for (;;) {
    if (!scanner.next()) throw truncated(layer, scanner.line);
    if (scanner.code === 0) break;
    // An embedded object repeats codes with other meanings; extended data (1000 and up) is not a geometry.
    if (scanner.code === 101) embedded = true;
    if (embedded || scanner.code >= 1000) continue;
    codes.push(scanner.code);
    values.push(scanner.value);
  }
  return { type, codes, values, owned: [], line };
}

function truncated(layer: string, line: number): InputError {
  return new InputError('dxf-truncated', `${layer} ends in the middle of its entities, at line ${line}`, {
    layer,
    path: `line ${line}`,
    cure: 'copy or export the drawing again: the file was cut off',
  });
}
