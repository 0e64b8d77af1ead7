// A tree's diameter: in: a layer and a row; out: diameter, stems and base diameter in metres, findings.
// Terms: combined stems = root of the sum of squares, used here only to compare; girth = pi x diameter.

import type { Layer } from '../model/index.js';
import { METRES_PER } from '../model/index.js';
import { conflict, LengthColumn } from './columns.js';
import { readDiameterText } from './diameter-text.js';
import { unitMissing } from './field-errors.js';
import { TREE_FIELDS, type TreeField } from './field-table.js';
import type { SourceField, Sources } from './fields.js';
import type { Reporter } from './reporter.js';
import { figure } from './suggest.js';
import { readStems, shown, UNITLESS } from './values.js';

/** Trunks outside 1 cm to 6 m get a finding. At 15 m and over (no tree is so thick) the row is not assessed. */
const SMALLEST_M = 0.01;
const LARGEST_M = 6;
const IMPOSSIBLE_M = 15;

export interface DiameterColumns {
  readonly dbhM: Float64Array;
  readonly baseDiaM: Float64Array;
  readonly stemsM: Map<number, readonly number[]>;
  readonly estimated: Uint8Array; // 1: marked as an estimate
}

interface Some {
  count: number;
  readonly example: string;
}

function note(to: Map<string, Some>, field: string, value: unknown): void {
  const known = to.get(field);
  if (known === undefined) to.set(field, { count: 1, example: shown(value) });
  else known.count++;
}

/** Reads dbh, girth, stems and base diameter of one row after the other. */
export class DiameterReader {
  readonly #dbh: LengthColumn;
  readonly #girth: LengthColumn;
  readonly #base: LengthColumn;
  readonly #stems: readonly SourceField[];
  readonly #to: DiameterColumns;
  readonly #out: Reporter;
  readonly #layer: Layer;
  readonly #several = new Map<string, Some>(); // per field: cells that hold several figures
  readonly #marked = new Map<string, Some>(); // per field: estimates
  #row = 0;
  #inField: readonly number[] = []; // stems of the row that stand in a field for one diameter

  constructor(sources: Sources<TreeField>, to: DiameterColumns, out: Reporter) {
    const length = (field: TreeField, from: readonly SourceField[] | undefined): LengthColumn =>
      new LengthColumn(field, TREE_FIELDS[field], from, 'trees', out, (value, source, row) =>
        this.#clean(field, value, source, row),
      );
    this.#layer = out.layer;
    this.#dbh = length('dbh', sources.dbh);
    this.#girth = length('girth', sources.girth);
    this.#base = length('base_dia', sources.base_dia);
    this.#stems = sources.stems ?? [];
    this.#to = to;
    this.#out = out;
  }

  /** `optional`: the row needs no diameter: it gives its zone's radius, or the rule decides. */
  read(layer: Layer, row: number, optional: boolean): void {
    this.#row = row;
    this.#inField = [];
    const dbh = this.#dbh.readPositive(layer, row, this.#differ);
    const girth = this.#girth.given ? this.#girth.readPositive(layer, row, this.#differ) / Math.PI : Number.NaN;
    const listed = this.#readStems(layer, row);
    const stems = listed.length > 0 ? listed : this.#inField;
    let combined = Number.NaN;
    if (stems.length > 0) {
      combined = Math.sqrt(stems.reduce((sum, stem) => sum + stem * stem, 0));
      this.#to.stemsM.set(row, stems);
    }
    this.#to.dbhM[row] = Number.isNaN(dbh) ? girth : dbh;
    if (this.#base.given) this.#readBase(layer, row);
    if (!Number.isNaN(combined)) {
      this.#compare('stems', combined, 'dbh', dbh);
      this.#compare('stems', combined, 'girth', girth);
    } else this.#compare('dbh', dbh, 'girth', girth);
    this.#judge(Number.isNaN(combined) ? this.#to.dbhM[row] : combined, row, optional);
  }

  readonly #differ = (a: SourceField, b: SourceField): void => {
    this.#conflict(`fields ${a.name} and ${b.name} differ by more than 5 %; ${a.name} was used`, b.name);
  };

  #compare(first: string, a: number, second: string, b: number): void {
    if (Number.isNaN(a) || Number.isNaN(b) || !conflict(a, b)) return;
    const what = first === 'stems' ? 'stems (root of squares)' : first;
    this.#conflict(
      `${what} gives ${figure(a)} m of diameter and ${second} ${figure(b)} m, more than 5 % apart; ${first} was used`,
      second,
    );
  }

  #conflict(message: string, field: string): void {
    const cure = 'correct one of the two, or clear the wrong one';
    this.#out.say('dbh-conflict', this.#row, `properties.${field}`, message, cure);
    this.#out.note('dbh-conflict', this.#row);
  }

  /** A cell of a field for one diameter: marks are taken off, several figures are stems, a range is refused. */
  #clean(field: TreeField, value: unknown, source: SourceField, row: number): unknown {
    const text = readDiameterText(value, source.metresPerUnit === METRES_PER.in);
    if (text.kind === 'range') {
      const message = `${source.name} ${shown(value)} is a range from ${text.from} to ${text.to}; treated as missing`;
      const cure = 'write one figure: the larger end gives the larger zone';
      this.#out.say('dbh-range', row, `properties.${source.name}`, message, cure);
      return null;
    }
    if (text.estimated) this.#mark(source.name, value, row);
    if (text.kind === 'plain') return text.value;
    const stems = readStems(text.parts, source.metresPerUnit);
    if (stems === null) return value;
    if (stems[0] === UNITLESS) throw unitMissing(this.#layer, 'trees', field, TREE_FIELDS[field], source.name);
    note(this.#several, source.name, value);
    if (field !== 'base_dia' && this.#inField.length === 0)
      this.#inField = field === 'girth' ? stems.map((stem) => stem / Math.PI) : stems;
    return null;
  }

  #mark(source: string, value: unknown, row: number): void {
    note(this.#marked, source, value);
    this.#to.estimated[row] = 1;
    this.#out.note('dbh-estimated', row);
  }

  /** Findings that hold for many rows, one per field. */
  report(): void {
    const all = this.#layer.count;
    for (const [field, { count, example }] of this.#several) {
      const message = `${field} holds several figures for ${count} of ${all} trees, such as ${example}: they were read as stems of one tree`;
      this.#out.sayOnce('dbh-stems', `properties.${field}`, message, 'write them in stems, or one diameter');
    }
    for (const [field, { count, example }] of this.#marked) {
      const message = `${count} of ${all} figures of ${field} are marked as estimates, such as ${example}`;
      this.#out.sayOnce('dbh-estimated', `properties.${field}`, message, 'measure the trees that matter');
    }
  }

  /** The figure of each of several columns; null where one can't be read. */
  #seriesOf(source: SourceField, layer: Layer, row: number): number[] | null {
    const stems: number[] = [];
    for (const one of [source, ...(source.also ?? [])]) {
      const cell = layer.value(row, one.name);
      const text = readDiameterText(cell, one.metresPerUnit === METRES_PER.in);
      if (text.kind !== 'range' && text.estimated) this.#mark(one.name, cell, row);
      const read =
        text.kind === 'range' ? null : readStems(text.kind === 'stems' ? text.parts : text.value, one.metresPerUnit);
      if (read === null) return null;
      if (read[0] === UNITLESS) throw unitMissing(this.#out.layer, 'trees', 'stems', TREE_FIELDS.stems, one.name);
      stems.push(...read);
    }
    return stems;
  }

  #readStems(layer: Layer, row: number): readonly number[] {
    for (const source of this.#stems) {
      const value = layer.value(row, source.name);
      const stems =
        source.also === undefined ? readStems(value, source.metresPerUnit) : this.#seriesOf(source, layer, row);
      if (stems === null && source.also !== undefined) {
        const cells = [source, ...source.also].map(({ name }) => `${name} ${shown(layer.value(row, name))}`);
        const message = `one of the stems ${cells.join(', ')} is not a diameter; all are treated as missing`;
        this.#out.say('number-unreadable', row, `properties.${source.name}`, message, 'write a plain number in each');
        continue;
      }
      if (stems === null) {
        const message = `${source.name} ${shown(value)} is not a list of diameters; treated as missing`;
        this.#out.say('number-unreadable', row, `properties.${source.name}`, message, 'write stems as 12;9;7');
      } else if (stems[0] === UNITLESS) {
        throw unitMissing(this.#out.layer, 'trees', 'stems', TREE_FIELDS.stems, source.name);
      } else if (stems.length > 0) return stems;
    }
    return [];
  }

  #readBase(layer: Layer, row: number): void {
    const base = this.#base.readPositive(layer, row, this.#differ);
    if (base < IMPOSSIBLE_M) this.#to.baseDiaM[row] = base;
    else if (!Number.isNaN(base)) {
      const message = `a base diameter of ${figure(base)} m is not possible; treated as missing`;
      this.#out.say('dbh-absurd', row, null, message, 'check the unit of base_dia');
    }
  }

  #judge(diameter: number, row: number, optional: boolean): void {
    if (Number.isNaN(diameter)) {
      if (optional) return;
      const cure = 'fill in its diameter at breast height, girth or stems, or a zone_radius';
      this.#out.refuse('dbh-missing', 'dbh-missing', row, null, 'the tree has no usable diameter', cure);
      return;
    }
    if (diameter >= SMALLEST_M && diameter <= LARGEST_M) return;
    const message = `a trunk of ${figure(diameter)} m is outside the range for trees (0.01 to 6 m)`;
    this.#out.say('dbh-absurd', row, null, message, 'check the unit and the figure');
    if (diameter >= IMPOSSIBLE_M) this.#out.reject('dbh-absurd', row);
    else this.#out.note('dbh-absurd', row);
  }
}
