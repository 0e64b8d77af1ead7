// A notebook, row by row -> points, readings and outlines. In: the cells of a table; out: a Notebook. Terms: see types.ts; row = one
// measurement; rows of one `point` belong together. A row that can't be read is left out with a finding. Linear in the cells.

import { type Finding, type FindingCode, finding, InputError, type LengthUnit, METRES_PER } from '../model/index.js';
import { didYouMean } from '../text/index.js';
import { alongSigma, degrees, tapeSigma, USUAL } from './accuracy.js';
import { angleOf, bearingOf, clinoAngle, clinoHeight, lengthOf, levelShare, Slip, sideOf, turnOf } from './cells.js';
import { columnsOf, type LengthField, type NoteColumns, type TextField } from './columns.js';
import { LevelBook } from './level-book.js';
import { STAFF_SIGMA_M } from './levels.js';
import { OutlineBook } from './outline-book.js';
import type { Notebook, NotePoint, NotesOptions, Reading, ReadingKind, SideHint } from './types.js';

/** The cells of a file, and how a cell becomes a property. */
export interface NoteTable {
  readonly name: string;
  readonly records: readonly (readonly string[])[];
  /** The row of the first record as a spreadsheet counts. */
  readonly firstRow: number;
  readonly decimalComma: boolean;
  value(cell: string): unknown;
}

/** Notes of more points are no notebook: the work grows with their cube. */
const MOST_POINTS = 300;
const DIAMETER = /^(?:dbh|girth|stems?|base_dia|diam)/i;

interface Known {
  readonly x: number;
  readonly y: number;
  readonly degrees: boolean;
  readonly unit: LengthUnit;
}

/**
 * Reads the rows.
 *
 * @throws InputError `notes-empty`, `notes-large`, `notes-mixed` (known points in degrees and in a plane), `option-notes`
 */
export function readNotebook(table: NoteTable, options: NotesOptions): Notebook {
  const book = new Book(table, options);
  const head = table.records.findIndex((cells) => cells.some((cell) => cell.trim() !== ''));
  for (let r = head + 1; r < table.records.length; r++) {
    const cells = table.records[r]!;
    if (cells.some((cell) => cell.trim() !== '')) book.row(cells, r + table.firstRow);
  }
  return book.finish();
}

interface MutablePoint {
  readonly name: string;
  readonly row: number;
  readonly properties: Record<string, unknown>;
  isTree: boolean;
  isNoted: boolean;
  known: Known | null;
}

class Book {
  readonly #table: NoteTable;
  readonly #options: NotesOptions;
  readonly #columns: NoteColumns;
  readonly #points: MutablePoint[] = [];
  readonly #index = new Map<string, number>();
  readonly #readings: Reading[] = [];
  readonly #sides: SideHint[] = [];
  readonly #findings: Finding[] = [];
  readonly #outlines: OutlineBook;
  readonly #levels: LevelBook;
  /** Points that have rows of levels: no place is asked of them. */
  readonly #levelled = new Set<number>();
  #unit: LengthUnit | null = null;
  #cells: readonly string[] = [];
  #row = 0;

  constructor(table: NoteTable, options: NotesOptions) {
    this.#table = table;
    this.#options = options;
    const head = table.records.find((cells) => cells.some((cell) => cell.trim() !== ''));
    this.#columns = columnsOf((head ?? []).map((name) => name.trim()));
    this.#levels = new LevelBook((message, cure) => this.#say('level-unreadable', `${message}; it was left out`, cure));
    this.#outlines = new OutlineBook(
      (name) => this.#point(name),
      (message, cure) => this.#say('note-outline', message, cure),
    );
  }

  #say(code: FindingCode, message: string, cure: string): void {
    const path = `row ${this.#row}`;
    this.#findings.push(finding(code, { layer: this.#table.name, path }, message, cure));
  }

  #slip(column: string, slip: Slip): void {
    this.#say('note-unreadable', `column "${column}": ${slip.message}; this reading was left out`, slip.cure);
  }

  #text(field: TextField): string {
    const at = this.#columns.text[field];
    return at === undefined ? '' : (this.#cells[at] ?? '').trim();
  }

  /** A text read as a figure; undefined when blank or unreadable (then with a finding). */
  #read<T>(field: TextField, read: (text: string) => T | Slip | undefined): T | undefined {
    const text = this.#plain(this.#text(field));
    if (text === '') return undefined;
    const value = read(text) ?? new Slip(`${JSON.stringify(text.slice(0, 64))} is not an angle`, 'write 45.5 or 45-30');
    if (!(value instanceof Slip)) return value;
    this.#slip(field, value);
    return undefined;
  }

  #plain(text: string): string {
    return this.#table.decimalComma ? text.replace(/(\d),(\d)/g, '$1.$2') : text;
  }

  /** A length of the row with what was written; of several columns the one that is filled. */
  #length(field: LengthField): { metres: number; unit: LengthUnit; text: string } | undefined {
    let found: { metres: number; unit: LengthUnit; text: string } | undefined;
    for (const { at, name, unit } of this.#columns.length[field] ?? []) {
      const text = this.#plain((this.#cells[at] ?? '').trim());
      if (text === '') continue;
      const length = lengthOf(text, unit);
      if (length instanceof Slip) this.#slip(name, length);
      else if (found !== undefined && Math.abs(found.metres - length.metres) > 0.006) {
        this.#say(
          'note-conflict',
          `${found.text} and ${text} in "${name}" differ: the first was used`,
          'clear one of them',
        );
      } else found ??= { ...length, text };
    }
    if (found !== undefined && field !== 'accuracy' && field !== 'easting' && field !== 'northing')
      this.#unit ??= found.unit === 'm' || found.unit === 'cm' || found.unit === 'mm' ? 'm' : 'ft';
    return found;
  }

  #point(name: string): number {
    let at = this.#index.get(name);
    if (at === undefined) {
      at = this.#points.length;
      this.#index.set(name, at);
      this.#points.push({ name, row: this.#row, properties: {}, isTree: false, isNoted: false, known: null });
      if (at >= MOST_POINTS) {
        throw new InputError('notes-large', `${this.#table.name} holds more than ${MOST_POINTS} points`, {
          layer: this.#table.name,
          cure: 'split the notes by site: each needs two known points',
        });
      }
    }
    return at;
  }

  row(cells: readonly string[], row: number) {
    this.#cells = cells;
    this.#row = row;
    const outline = this.#text('outline');
    const corner = /^(.*\S)\s*:\s*(\d+)$/.exec(outline);
    const name = this.#text('point') || (corner === null ? '' : outline.replaceAll(/\s/g, ''));
    if (name === '' && outline === '') {
      return this.#say('note-unreadable', 'no point is named; the row was left out', 'fill in the column point');
    }
    // Stakes before what is measured from them: the first two points are the axis of a local system.
    const line = this.#line();
    for (const stake of [this.#text('from'), this.#text('sight')]) if (stake !== '') this.#point(stake);
    const p = name === '' ? -1 : this.#point(name);
    if (p >= 0) this.#noted(p);
    const own = this.#own(p >= 0 && outline === '' ? p : -1);
    if (outline !== '') this.#outline(corner, outline, p, line, own);
    else if (p >= 0) this.#properties(p, own);
    if (p < 0) return;
    this.#known(p);
    const share = this.#read('slope', levelShare) ?? 1;
    this.#fromPoint(p, share);
    this.#onLine(p, line, share, outline !== '' && this.#length('front') !== undefined);
    this.#clinometer(p);
    this.#level(p);
  }

  /** Cells of columns that are no readings. */
  #own(tree: number): Record<string, unknown> {
    const out: Record<string, unknown> = {};
    for (const at of this.#columns.own) {
      const cell = this.#cells[at] ?? '';
      const name = this.#columns.names[at]!;
      if (cell.trim() === '' || name === '') continue;
      out[name] = this.#table.value(cell);
      const isKind = name.toLowerCase() === 'kind' && cell.trim().toLowerCase() === 'tree';
      if (tree >= 0 && (isKind || DIAMETER.test(name))) this.#points[tree]!.isTree = true;
    }
    return out;
  }

  #properties(p: number, own: Record<string, unknown>): void {
    const { name, properties } = this.#points[p]!;
    this.#merge(name, properties, own);
  }

  #merge(name: string, into: Record<string, unknown>, own: Record<string, unknown>): void {
    for (const [key, value] of Object.entries(own)) {
      if (!Object.hasOwn(into, key)) into[key] = value;
      else if (into[key] !== value) {
        const message = `${name} has ${key} ${JSON.stringify(into[key])} and ${JSON.stringify(value)}: the first was used`;
        this.#say('note-conflict', message, 'write each property once, or the same in every row of the point');
      }
    }
  }

  /** The two ends of `base`. */
  #line(): readonly [number, number] | null {
    const text = this.#text('base');
    if (text === '') return null;
    const ends = text.split('>').map((end) => end.trim());
    const [a = '', b = ''] = ends;
    if (ends.length !== 2 || a === '' || b === '' || a === b) {
      this.#slip('base', new Slip(`${JSON.stringify(text)} is no line`, 'write A>B: from stake A to stake B'));
      return null;
    }
    return [this.#point(a), this.#point(b)];
  }

  #add(kind: ReadingKind, about: Partial<Reading> & { p: number; value: number; sigma: number; text: string }) {
    const rest = { q: -1, a: -1, b: -1, unit: 'deg' as const, perUnit: 1, eitherSide: false };
    this.#readings.push({ kind, row: this.#row, ...rest, ...about });
  }

  /** The accuracy the row gives, or what is usual. */
  #sigma(usual: number): number {
    const own = this.#length('accuracy')?.metres;
    return own !== undefined && own > 0 ? own : usual;
  }

  #angleSigma(usualDeg: number): number {
    const at = this.#columns.accuracyDeg;
    const text = at < 0 ? '' : this.#plain((this.#cells[at] ?? '').trim());
    const own = text === '' ? undefined : angleOf(text);
    return own !== undefined && own > 0 ? own : degrees(usualDeg);
  }

  #known(p: number) {
    const [east, north] = [this.#length('easting'), this.#length('northing')];
    const [lon, lat] = [this.#text('lon'), this.#text('lat')].map((text) =>
      text === '' ? undefined : Number(this.#plain(text)),
    );
    if (east === undefined && north === undefined && lon === undefined && lat === undefined) return;
    const isPlane = east !== undefined || north !== undefined;
    const [x, y] = isPlane ? [east?.metres, north?.metres] : [lon, lat];
    if (x === undefined || y === undefined || !Number.isFinite(x) || !Number.isFinite(y)) {
      const cure = 'give easting and northing, each with its unit in the column’s name, or lon and lat in degrees';
      return this.#say('note-unreadable', `${this.#points[p]!.name} has one coordinate only`, cure);
    }
    const unit = east?.unit ?? 'm';
    const scale = isPlane ? METRES_PER[unit] : 1;
    this.#points[p]!.known = { x: x / scale, y: y / scale, degrees: !isPlane, unit };
    const sigma = this.#sigma(USUAL.knownM);
    const textOf = (value: number): string => String(Number((value / scale).toPrecision(13)));
    this.#add('east', { p, value: x, sigma, text: textOf(x), unit: isPlane ? unit : 'deg', perUnit: scale });
    this.#add('north', { p, value: y, sigma, text: textOf(y), unit: isPlane ? unit : 'deg', perUnit: scale });
  }

  /** Tie, bearing, angle: what is measured from another point. */
  #fromPoint(p: number, share: number) {
    const from = this.#text('from');
    const distance = this.#length('distance');
    const bearing = this.#read('bearing', bearingOf);
    const sight = this.#text('sight');
    const angle = this.#read('angle', angleOf);
    if (from === '') {
      const what =
        distance !== undefined ? 'distance' : bearing !== undefined ? 'bearing' : angle !== undefined ? 'angle' : '';
      if (what !== '')
        this.#say('note-unreadable', `a ${what} without the point it is measured from`, 'fill in the column from');
      return;
    }
    const q = this.#point(from);
    if (q === p) {
      return this.#say(
        'note-unreadable',
        `${from} is measured from itself`,
        'write the other point in the column from',
      );
    }
    if (distance !== undefined) {
      if (distance.metres <= 0) {
        this.#slip('distance', new Slip(`${distance.text} is not above 0`, 'write the distance that was measured'));
      } else {
        const value = distance.metres * share;
        const { text, unit } = distance;
        this.#add('distance', {
          p,
          q,
          value,
          sigma: this.#sigma(tapeSigma(value)),
          text,
          unit,
          perUnit: METRES_PER[unit] * share,
        });
      }
    }
    if (bearing !== undefined) {
      const sigma = this.#angleSigma(USUAL.bearingDeg);
      this.#add('bearing', { p, q, value: bearing, sigma, text: this.#text('bearing') });
    }
    if ((angle === undefined) !== (sight === '')) {
      const cure = 'fill in both: angle is counted clockwise from the line to sight';
      this.#say('note-unreadable', angle === undefined ? 'sight without an angle' : 'an angle without sight', cure);
    } else if (angle !== undefined) {
      const sigma = this.#angleSigma(USUAL.angleDeg);
      this.#add('angle', { p, q, a: q, b: this.#point(sight), value: angle, sigma, text: this.#text('angle') });
    }
    if (distance !== undefined || bearing !== undefined || angle !== undefined || this.#text('base') !== '') return;
    const tapes = this.#columns.length.distance ?? [];
    const isTried = tapes.some(({ at }) => (this.#cells[at] ?? '').trim() !== '') || this.#text('bearing') !== '';
    if (isTried || this.#text('angle') !== '') return; // it is told that they can't be read
    this.#say('note-unreadable', `nothing is measured from ${from}`, 'fill in distance, bearing or angle');
  }

  /** Baseline and offset, setback, and which side of the line the point is on. */
  #onLine(p: number, line: readonly [number, number] | null, share: number, isDrawn: boolean) {
    const side = this.#read('side', sideOf);
    const along = this.#length('along');
    const offset = this.#length('offset') ?? this.#length('setback');
    if (line === null) {
      if (along === undefined && offset === undefined && side === undefined) return;
      const what = along !== undefined ? 'along' : offset !== undefined ? 'offset' : 'side';
      return this.#say('note-unreadable', `${what} without the line it is of`, 'fill in the column base, such as A>B');
    }
    const [a, b] = line;
    if (along !== undefined) {
      const value = along.metres * share;
      const { text, unit } = along;
      const sigma = this.#sigma(alongSigma(value, offset?.metres ?? 0));
      this.#add('along', { p, a, b, value, sigma, text, unit, perUnit: METRES_PER[unit] * share });
    }
    if (offset !== undefined && offset.metres < 0) {
      return this.#slip(
        'offset',
        new Slip(`${offset.text} is below 0`, 'write it without its sign, and the side in the column side'),
      );
    }
    if (offset !== undefined) {
      const value = offset.metres * (side === false ? -1 : 1);
      const { text, unit } = offset;
      const eitherSide = side === undefined && value !== 0;
      const perUnit = METRES_PER[unit] * (side === false ? -1 : 1);
      this.#add('offset', { p, a, b, value, sigma: this.#sigma(tapeSigma(value)), text, unit, perUnit, eitherSide });
    }
    if (side !== undefined && !isDrawn) this.#sides.push({ p, a, b, left: side });
  }

  /** A row asks for a place, unless it has nothing but levels. */
  #noted(p: number): void {
    const { backsight, foresight } = this.#columns.length;
    const texts = [this.#text('from'), this.#text('base'), this.#text('outline'), this.#text('lon'), this.#text('lat')];
    const isPlaced = texts.some((text) => text !== '') || this.#length('easting') !== undefined;
    if (isPlaced || (backsight ?? foresight) === undefined) this.#points[p]!.isNoted = true;
    else this.#levelled.add(p);
  }

  #level(p: number): void {
    const [back, fore] = [this.#length('backsight'), this.#length('foresight')];
    if (back === undefined && fore === undefined) return;
    const sigmaM = this.#sigma(STAFF_SIGMA_M);
    this.#levels.add({ row: this.#row, p, setup: this.#text('setup'), back, fore, sigmaM });
  }

  #clinometer(p: number) {
    const distance = this.#length('clino_distance');
    const up = this.#read('clino_up', clinoAngle);
    const down = this.#read('clino_down', clinoAngle);
    if (distance === undefined && up === undefined && down === undefined) return;
    if (distance === undefined || up === undefined || down === undefined) {
      const cure =
        'fill in clino_distance, clino_up (angle to the top) and clino_down (angle down to the foot; below 0 where it is above the eye)';
      return this.#say('note-unreadable', 'a height by clinometer needs a distance and two angles', cure);
    }
    const height = clinoHeight(distance.metres, up, down);
    if (height <= 0)
      return this.#say(
        'note-unreadable',
        'its foot lies above its top',
        'look at the signs of clino_up and clino_down',
      );
    this.#merge(this.#points[p]!.name, this.#points[p]!.properties, { height_m: Number(height.toFixed(3)) });
  }

  #outline(
    corner: RegExpExecArray | null,
    text: string,
    p: number,
    line: readonly [number, number] | null,
    own: Record<string, unknown>,
  ): void {
    const name = corner?.[1] ?? text;
    const number = corner === null ? null : Number(corner[2]);
    const about = this.#outlines.named(name, this.#row);
    this.#merge(name, about.properties, own);
    const bulge = this.#read('bulge', sideOf);
    const [radius, rise] = [this.#length('radius'), this.#length('rise')];
    if ((radius ?? rise) !== undefined && bulge === undefined) {
      this.#say(
        'note-outline',
        'an arc does not say to which side it bends',
        'fill in the column bulge: left or right of the way',
      );
    }
    const arc = radius ?? rise;
    const share = this.#read('slope', levelShare) ?? 1;
    const run = this.#length('run');
    const [front, deep] = [this.#length('front'), this.#length('deep')];
    this.#outlines.add(about, {
      row: this.#row,
      number: number ?? (front === undefined ? null : 1),
      point: p,
      line,
      arc:
        arc === undefined || bulge === undefined
          ? null
          : { by: radius === undefined ? 'rise' : 'radius', length: arc.metres, left: bulge },
      chord: this.#length('chord') ?? null,
      run: run === undefined ? null : { ...run, metres: run.metres * share, share },
      turn: this.#read('turn', turnOf) ?? null,
      turnText: this.#text('turn'),
      front: front ?? null,
      deep: deep ?? null,
      left: front === undefined ? null : (this.#read('side', sideOf) ?? null),
      sigma: (usual) => this.#sigma(usual),
      angleSigma: (usual) => this.#angleSigma(usual),
    });
  }

  finish(): Notebook {
    const { name } = this.#table;
    const outlines = this.#outlines.finish(this.#options.closing === 'compass', this.#readings);
    const known = this.#points.filter((point) => point.known !== null);
    if (this.#points.length === 0) {
      throw new InputError('notes-empty', `${name} holds no notes`, {
        layer: name,
        cure: 'write one measurement a row',
      });
    }
    const degreesOf = known.filter((point) => point.known!.degrees);
    if (degreesOf.length !== 0 && degreesOf.length !== known.length) {
      const message = `${name} gives known points in degrees (${degreesOf[0]!.name}) and in a plane (${known.find((one) => !one.known!.degrees)!.name})`;
      throw new InputError('notes-mixed', message, { layer: name, cure: 'give all of them in one system' });
    }
    const isDegrees = degreesOf.length > 0;
    const system = known.length === 0 ? 'local' : isDegrees ? 'degrees' : 'plane';
    const unit = system === 'plane' ? known[0]!.known!.unit : (this.#unit ?? 'm');
    const drawn = new Set(outlines.flatMap(({ corners }) => corners.map(({ point }) => point)));
    this.#refuseUnknown(system === 'local', drawn);
    return {
      name,
      points: this.#points.map(
        ({ known: at, ...point }): NotePoint => ({ ...point, known: at === null ? null : [at.x, at.y] }),
      ),
      readings: this.#readings,
      sides: this.#sides,
      outlines,
      levels: this.#levels,
      system,
      unit,
      findings: this.#findings,
    };
  }

  /** Points that are measured from and never noted; in a local system one of them is where it starts. */
  #refuseUnknown(isLocal: boolean, drawn: ReadonlySet<number>): void {
    const noted = this.#points.filter((point) => point.isNoted).map((point) => point.name);
    const start = isLocal ? this.#points.find((point, i) => !point.isNoted && !this.#levelled.has(i)) : undefined;
    for (const [i, point] of this.#points.entries()) {
      if (point.isNoted || point === start || drawn.has(i) || this.#levelled.has(i)) continue;
      this.#row = point.row;
      const message = `${point.name} is measured from, and no row says where it is${didYouMean(point.name, noted)}`;
      this.#say('note-point-unknown', message, `add a row with ${point.name} in the column point, or correct the name`);
    }
  }
}
