// Selecting, drawing and changing pieces. In: the plan's taps, buttons, keys, fields; out: steps of the desk, in words for those
// who do not see them. Terms: see desk.ts; selected = what the next change is about; column = a property, under its file's own name.

import type { Units, WorksKind } from '../core.js';
import { chosenCorner, fillCorners } from './corner-lists.js';
import { type Desk, type NewPiece, type PieceAt, pieceName } from './desk.js';
import { DrawBoard, type DrawSettings, type ToolName } from './draw.js';
import { type Mapping, mappedColumn } from './mapping/columns.js';
import type { PlanView } from './plan-view.js';

export interface EditPage {
  readonly desk: Desk;
  readonly plan: PlanView;
  units(): Units;
  /** Which field is read from which column. */
  fields(): Mapping;
  /** Assesses what has become of the plan, and shows it. */
  refresh(): Promise<void>;
  say(text: string): void;
  problem(error: unknown): void;
  /** What is selected is another, or has changed. */
  selected(pieces: readonly PieceAt[]): void;
}

const byId = <T extends HTMLElement>(id: string): T => document.getElementById(id) as T;
const field = (id: string): HTMLInputElement => byId<HTMLInputElement>(id);

/** Fields of the drawing bar that a tool has use for. */
const FIELDS: Readonly<Record<ToolName, readonly string[]>> = {
  tree: ['draw-name', 'draw-species', 'draw-diameter', 'draw-ties'],
  house: ['draw-name', 'draw-width', 'draw-depth', 'draw-runs'],
  outline: ['draw-name', 'draw-kind', 'draw-deep', 'draw-runs'],
  line: ['draw-name', 'draw-kind', 'draw-width', 'draw-deep'],
  lot: ['draw-name', 'draw-runs'],
  measure: [],
};
const HINTS: Readonly<Record<ToolName, string>> = {
  tree: 'Tap where it stands, or give two tape lines.',
  house: 'Tap a front corner, then the other front corner; then how deep it goes, unless width and depth are typed.',
  outline: 'Tap corner by corner; the first corner, or Finish, closes it.',
  line: 'Tap along its middle; Finish ends it. It needs a width.',
  lot: 'Tap corner by corner; the first corner, or Finish, closes it.',
  measure: 'Tap from point to point.',
};

export class Editing {
  readonly #page: EditPage;
  readonly #board: DrawBoard;
  #selected: PieceAt[] = [];
  #lines: number[][] = [];

  constructor(page: EditPage) {
    this.#page = page;
    this.#board = new DrawBoard(page.plan, {
      settings: () => this.#settings(),
      finish: (piece, what) => void this.#put(piece, what),
      say: (text) => page.say(text),
      lines: () => this.#lines,
      freshName: (role, kind) => this.#freshName(role, kind),
      treeProperties: (name, settings) => this.#treeProperties(name, settings),
    });
    this.#listen();
  }

  get selected(): readonly PieceAt[] {
    return this.#selected;
  }

  /** What has to be done after each assessment: what is snapped to, what is marked. */
  async settled(): Promise<void> {
    try {
      this.#lines = await this.#page.desk.lines();
    } catch {
      this.#lines = []; // a layer that can't be placed is told of elsewhere
    }
    this.#selected = this.#selected.filter((at) => this.#page.desk.propertiesOf(at) !== null);
    this.#show();
  }

  pick(role: 'works' | 'trees', row: number, more: boolean): void {
    const { assessment } = this.#page.desk;
    if (assessment === null) return;
    const { works } = assessment.job;
    const at: PieceAt =
      role === 'trees'
        ? { role, layer: 0, feature: row }
        : { role, layer: works.layerOf[row]!, feature: works.rowInLayer[row]! };
    const all = this.#groupOf(at);
    const isIn = this.#selected.some((one) => isSame(one, at));
    if (more) this.#selected = isIn ? this.#selected.filter((one) => !isSame(one, at)) : [...this.#selected, ...all];
    else if (!isIn) this.#selected = all;
    this.#show();
  }

  pickNone(): void {
    this.#selected = [];
    this.#show();
  }

  /** Moves several pieces, or trees, at once; false where one piece of works is moved with live figures instead. */
  nudge(east: number, north: number, turnDeg: number): boolean {
    const isOne = this.#selected.length <= 1 && this.#selected[0]?.role !== 'trees';
    if (isOne) return false;
    const count = this.#selected.length;
    const what = count === 1 ? 'moving the tree' : `moving ${count} pieces`;
    void this.#do(() => this.#page.desk.move(this.#selected, { east, north, turnDeg }, what));
    return true;
  }

  /** The rows of works that a search moves: what is selected, or the one chosen. */
  selectedWorks(chosen: number | null): ReadonlySet<number> {
    const rows = this.#rows('works');
    return rows.size > 0 || chosen === null ? rows : new Set([chosen]);
  }

  /** The rows of works that are selected beside one. */
  beside(row: number): number[] {
    return [...this.#rows('works')].filter((one) => one !== row);
  }

  key(event: KeyboardEvent): boolean {
    if (this.#board.key(event.key, event.shiftKey)) {
      if (this.#board.tool === null) this.#tool(null);
      return true;
    }
    if (event.key !== 'Delete' || this.#selected.length === 0) return false;
    this.#remove();
    return true;
  }

  // ---------------------------------------------------------------- drawing

  #settings(): DrawSettings {
    return {
      units: this.#page.units(),
      name: field('draw-name').value,
      kind: byId<HTMLSelectElement>('draw-kind').value as WorksKind,
      species: field('draw-species').value,
      diameter: field('draw-diameter').value,
      width: field('draw-width').value,
      depth: field('draw-depth').value,
      deep: field('draw-deep').value,
    };
  }

  async #put(piece: NewPiece, what: string): Promise<void> {
    field('draw-name').value = '';
    await this.#do(() => this.#page.desk.add([piece], what));
    this.#page.say(`${what[0]?.toUpperCase()}${what.slice(1)}.`);
  }

  #freshName(role: NewPiece['role'], kind: string): string {
    const { desk } = this.#page;
    const taken = new Set<string>();
    const { trees, works, lots } = desk.sources;
    for (const source of role === 'trees' ? [trees] : role === 'lots' ? [lots] : works)
      for (let i = 0; i < (source?.layer.count ?? 0); i++) {
        const properties = source!.layer.properties(i);
        for (const name of ['id', 'tag']) if (properties[name] !== undefined) taken.add(String(properties[name]));
      }
    const stem = role === 'trees' ? 'T' : `${kind} `;
    let n = 1;
    while (taken.has(`${stem}${n}`)) n++;
    return `${stem}${n}`;
  }

  /** A new tree in the survey's own columns; a survey that began here has `dbh_in` or `dbh_cm`. */
  #treeProperties(name: string, { species, diameter, units }: DrawSettings): Record<string, unknown> {
    const layer = this.#page.desk.sources.trees?.layer;
    const mapped = (field: string): string | undefined => mappedColumn(layer, this.#page.fields(), field);
    const own = (field: string, pattern: RegExp, usual: string): string =>
      mapped(field) ?? layer?.fields.find((one) => pattern.test(one)) ?? usual;
    const column = own('dbh', /^(?:dbh|diam)/i, units === 'us' ? 'dbh_in' : 'dbh_cm');
    // A mapped column has a unit that a person chose: a bare figure would be read in it.
    const bare = mapped('dbh') !== undefined && Number.isFinite(Number(diameter));
    const size = bare ? `${diameter.trim()} ${units === 'us' ? 'in' : 'cm'}` : cellOf(diameter);
    return {
      [own('id', /^(?:id|tag)$/i, 'id')]: name,
      ...(species.trim() === '' ? {} : { [own('species', /^species$/i, 'species')]: species.trim() }),
      ...(diameter.trim() === '' ? {} : { [column]: size }),
    };
  }

  #tool(tool: ToolName | null): void {
    this.#board.begin(tool);
    for (const button of document.querySelectorAll<HTMLButtonElement>('[data-tool]'))
      button.setAttribute('aria-pressed', String(button.dataset.tool === (tool ?? 'move')));
    const shown = tool === null ? [] : FIELDS[tool];
    for (const part of document.querySelectorAll<HTMLElement>('[data-for]'))
      part.hidden = !shown.includes(part.dataset.for ?? '');
    byId('drawing').hidden = tool === null;
    if (tool !== null) this.#page.say(HINTS[tool]);
  }

  /** Ends of tape lines: corners of lots and works, and trees, by name. */
  #ends(): void {
    fillCorners(['tie-a', 'tie-b'], this.#page.desk.corners(), 'choose a point');
  }

  #tie(): void {
    const [a, b] = [chosenCorner('tie-a'), chosenCorner('tie-b')];
    if (a === null || b === null) {
      this.#page.say('Choose the two points that the tape was held at.');
      return;
    }
    const side = byId<HTMLSelectElement>('tie-side').value === 'right' ? 'right' : 'left';
    this.#board.tie(a, field('tie-a-length').value, b, field('tie-b-length').value, side);
  }

  // ---------------------------------------------------------------- changing

  #remove(): void {
    const count = this.#selected.length;
    const what = count === 1 ? 'deleting a piece' : `deleting ${count} pieces`;
    void this.#do(() => this.#page.desk.change(this.#selected, what, () => null)).then(() =>
      this.#page.say(`Deleted ${count}. Undo brings ${count === 1 ? 'it' : 'them'} back.`),
    );
  }

  #copy(): void {
    const aside = this.#page.units() === 'us' ? 10 * 0.3048 : 3;
    const count = this.#selected.length;
    void this.#do(() =>
      this.#page.desk.copy(this.#selected, { east: aside, north: 0 }, count === 1 ? 'the copy' : 'the copies'),
    ).then(() => this.#page.say(`Copied ${count}, ${this.#page.units() === 'us' ? '10 ft' : '3 m'} to the east.`));
  }

  /** Pieces that are selected move together from now on, or no longer. */
  #group(): void {
    const { desk } = this.#page;
    const names = this.#selected.map((at) => nameOf(desk, at));
    const key = names.join(' + ');
    const others = Object.entries(desk.groups).filter(([, members]) => !members.some((one) => names.includes(one)));
    const isOne = Object.values(desk.groups).some(
      (members) => members.length === names.length && members.every((one) => names.includes(one)),
    );
    desk.step(
      desk.sources,
      isOne ? 'ungrouping' : 'grouping',
      Object.fromEntries([...others, ...(isOne || names.length < 2 ? [] : [[key, names] as const])]),
    );
    void this.#page.refresh();
    this.#page.say(isOne ? 'They no longer move together.' : `${names.length} pieces move together from now on.`);
  }

  #groupOf(at: PieceAt): PieceAt[] {
    const { desk } = this.#page;
    const own = nameOf(desk, at);
    const members = Object.values(desk.groups).find((names) => names.includes(own));
    if (members === undefined) return [at];
    return desk.everyPiece().filter((one) => members.includes(nameOf(desk, one)));
  }

  async #do(run: () => Promise<void>): Promise<void> {
    try {
      await run();
      await this.#page.refresh();
    } catch (error) {
      this.#page.problem(error);
    }
  }

  #rows(role: 'works' | 'trees'): Set<number> {
    const { assessment } = this.#page.desk;
    if (assessment === null) return new Set();
    const own = this.#selected.filter((at) => at.role === role);
    if (role === 'trees') return new Set(own.map(({ feature }) => feature));
    const { layerOf, rowInLayer } = assessment.job.works;
    return new Set(
      Array.from(layerOf, (_, row) => row).filter((row) =>
        own.some(({ layer, feature }) => layerOf[row] === layer && rowInLayer[row] === feature),
      ),
    );
  }

  /** Marks on the plan that is drawn anew. */
  mark(): void {
    this.#page.plan.select(this.#rows('works'), this.#rows('trees'));
  }

  /** Marks on the plan, and the columns of the one piece that is selected. */
  #show(): void {
    const { desk, plan } = this.#page;
    plan.select(this.#rows('works'), this.#rows('trees'));
    const count = this.#selected.length;
    byId('selected').hidden = count === 0;
    byId('selected-count').textContent = count === 1 ? nameOf(desk, this.#selected[0]!) : `${count} pieces`;
    byId('columns').replaceChildren(...(count === 1 ? this.#columns(this.#selected[0]!) : []));
    this.#ends();
    this.#page.selected(this.#selected);
  }

  #columns(at: PieceAt): HTMLElement[] {
    const properties = this.#page.desk.propertiesOf(at) ?? {};
    const fields = this.#page.desk.sourceAt(at)?.layer.fields ?? [];
    const usual = at.role === 'trees' ? ['disposition'] : at.role === 'works' ? ['kind', 'width_m', 'depth_m'] : [];
    const places = new Set<string>(this.#page.desk.sourceAt(at)?.layer.columns ?? []); // the plan says where it is
    const names = [...new Set([...fields, ...usual])].filter((name) => !places.has(name));
    return names.slice(0, MOST_COLUMNS).map((name) => {
      const label = document.createElement('label');
      const input = document.createElement('input');
      const value = properties[name];
      input.type = 'text';
      input.value =
        value === null || value === undefined ? '' : typeof value === 'object' ? JSON.stringify(value) : String(value);
      input.disabled = typeof value === 'object' && value !== null;
      input.addEventListener('change', () => this.#set(at, name, input.value));
      label.append(name, input);
      return label;
    });
  }

  #set(at: PieceAt, name: string, text: string): void {
    void this.#do(() =>
      this.#page.desk.change([at], `changing ${name}`, (piece) => {
        const { [name]: _, ...rest } = piece.properties;
        return { ...piece, properties: text.trim() === '' ? rest : { ...piece.properties, [name]: cellOf(text) } };
      }),
    ).then(() => this.#page.say(`${name} is ${text.trim() === '' ? 'empty' : text.trim()} now.`));
  }

  #listen(): void {
    for (const button of document.querySelectorAll<HTMLButtonElement>('[data-tool]'))
      button.addEventListener('click', () => {
        const { tool } = button.dataset;
        this.#tool(tool === 'move' ? null : (tool as ToolName));
        if (tool !== 'move') byId('plan').focus();
      });
    byId('draw-finish').addEventListener('click', () => this.#board.finish());
    byId('draw-run').addEventListener('click', () =>
      this.#board.run(field('draw-runs').value, Number(field('draw-bearing').value || '90')),
    );
    byId('draw-tie').addEventListener('click', () => this.#tie());
    byId('delete').addEventListener('click', () => this.#remove());
    byId('copy').addEventListener('click', () => this.#copy());
    byId('group').addEventListener('click', () => this.#group());
    byId('deselect').addEventListener('click', () => this.pickNone());
  }
}

const MOST_COLUMNS = 24;

/** A number where the text is one. */
export function cellOf(text: string): string | number {
  const plain = text.trim();
  return /^-?\d+(?:\.\d+)?$/.test(plain) ? Number(plain) : plain;
}

function isSame(a: PieceAt, b: PieceAt): boolean {
  return a.role === b.role && a.layer === b.layer && a.feature === b.feature;
}

/** `works house`: what a group remembers a piece by. */
function nameOf(desk: Desk, at: PieceAt): string {
  const properties = desk.propertiesOf(at) ?? {};
  return `${at.role} ${pieceName(properties, at.feature)}`;
}
