// “Columns” on the page: lists that say which column is which field, and what words mean. In: what lies on the page; out: the
// mapping, by choosing. Terms: see columns.ts, words.ts. Nothing that is only proposed is in use.

import type { LengthUnit } from '../../core.js';
import { type Choices, layersOf, type Sources } from '../job.js';
import {
  type ColumnRow,
  columnRows,
  type MappedRole,
  type Mapping,
  roleOf,
  samplesOf,
  UNITS,
  usable,
  withColumn,
  withProposals,
} from './columns.js';
import { type WordRow, withMeaning, wordRows } from './words.js';

interface Host {
  sources(): Sources;
  choices(): Choices;
  isAssessed(): boolean;
  /** Assesses with the mapping as it is now. */
  changed(): void;
}

const ROLES: Readonly<Record<MappedRole, string>> = {
  trees: 'Tree survey',
  works: 'Proposed works',
  existing: 'Hard surfaces that stand today',
  lots: 'Lots',
};
/** Beyond it nothing is looked at until the box is opened. */
const MANY = 5_000;

const byId = <T extends HTMLElement>(id: string): T => document.getElementById(id) as T;

export class Mapper {
  readonly #host: Host;
  readonly #box = byId<HTMLDetailsElement>('map-box');
  #fields: Mapping = {};
  #values: Mapping = {};

  constructor(host: Host) {
    this.#host = host;
    this.#box.addEventListener('toggle', () => {
      if (this.#box.open && this.#box.dataset.stale === 'true') this.show();
    });
  }

  /** What holds for the files that lie on the page. */
  chosen(sources: Sources): { readonly fields?: Mapping; readonly values?: Mapping } {
    const fields = usable(this.#fields, layersOf(sources));
    return {
      ...(Object.keys(fields).length === 0 ? {} : { fields }),
      ...(Object.keys(this.#values).length === 0 ? {} : { values: this.#values }),
    };
  }

  /** Another plan. */
  set({ fields = {}, values = {} }: { readonly fields?: Mapping; readonly values?: Mapping } = {}): void {
    this.#fields = fields;
    this.#values = values;
  }

  /** Another file of a role: its columns and its words are not those of the one before. */
  forget(role: MappedRole): void {
    const others = (mapping: Mapping): Mapping =>
      Object.fromEntries(Object.entries(mapping).filter(([key]) => roleOf(key) !== role));
    this.set({ fields: others(this.#fields), values: others(this.#values) });
  }

  /** Draws the lists; they open by themselves where a plan can't be assessed and a proposal could help. */
  show(): void {
    const sources = this.#host.sources();
    const layers = layersOf(sources);
    const count = Object.values(layers).reduce((sum, list) => sum + list.reduce((all, one) => all + one.count, 0), 0);
    this.#box.hidden = count === 0;
    const isWaiting = count > MANY && !this.#box.open && this.#host.isAssessed();
    this.#box.dataset.stale = String(isWaiting);
    if (count === 0 || isWaiting) return;
    const { dbhUnit, fields = {} } = this.#host.choices();
    const focused = document.activeElement?.id ?? '';
    const groups = (Object.keys(ROLES) as MappedRole[]).map((role) => ({
      role,
      rows: columnRows(role, layers[role], fields, dbhUnit),
    }));
    const proposed = groups.flatMap(({ rows }) => rows).filter((row) => row.proposed !== null);
    const words = wordRows(sources.trees?.layer ?? null, sources.works, fields, dbhUnit);
    byId('map-columns').replaceChildren(
      ...(proposed.length === 0 ? [] : [this.#proposals(proposed)]),
      ...groups.flatMap(({ role, rows }) => (rows.length === 0 ? [] : [this.#group(role, rows)])),
    );
    byId('map-words').replaceChildren(...words.map((row) => this.#word(row)));
    byId('map-words-said').hidden = words.length === 0;
    const open = words.filter(({ key }) => this.#values[key] === undefined).length;
    byId('map-said').textContent = [
      ...(proposed.length === 0 ? [] : [`${proposed.length} proposed`]),
      ...(open === 0 ? [] : [`${open} ${open === 1 ? 'word is' : 'words are'} not known`]),
    ].join(', ');
    if (!this.#host.isAssessed() && sources.trees !== null && proposed.length > 0) this.#box.open = true;
    if (focused.startsWith('map-')) document.getElementById(focused)?.focus();
  }

  #proposals(rows: readonly ColumnRow[]): HTMLElement {
    const button = document.createElement('button');
    button.type = 'button';
    button.id = 'map-propose';
    button.textContent =
      rows.length === 1 ? 'Use the column that is proposed' : `Use the ${rows.length} columns that are proposed`;
    button.addEventListener('click', () => {
      this.#fields = withProposals(this.#fields, rows);
      this.#host.changed();
    });
    return button;
  }

  #group(role: MappedRole, rows: readonly ColumnRow[]): HTMLElement {
    const group = document.createElement('fieldset');
    const legend = document.createElement('legend');
    legend.textContent = ROLES[role];
    group.append(legend, ...rows.map((row) => this.#row(role, row)));
    return group;
  }

  #row(role: MappedRole, row: ColumnRow): HTMLElement {
    const { field, title, columns, named, used, proposed } = row;
    const shown = proposed ?? used;
    const line = document.createElement('div');
    line.className = 'map-row';
    const id = `map-${field.replace('.', '-')}`;
    const label = document.createElement('label');
    label.htmlFor = id;
    label.textContent = title;
    const list = selectOf(id, [['', 'none'], ...columns.map((one) => [one, one] as const)], shown.column);
    const unit = selectOf(`${id}-unit`, [['', 'as it says'], ...UNITS.map((one) => [one, one] as const)], shown.unit);
    unit.setAttribute('aria-label', `Unit of: ${title}`);
    const take = (): void => {
      const chosen = { column: list.value, unit: list.value === '' ? '' : (unit.value as LengthUnit | '') } as const;
      this.#fields = withColumn(this.#fields, row, chosen);
      this.#host.changed();
    };
    list.addEventListener('change', () => {
      if (list.value !== shown.column) unit.value = '';
      take();
    });
    unit.addEventListener('change', take);
    const said = document.createElement('p');
    said.className = proposed === null ? 'hint' : 'hint proposed';
    said.id = `${id}-said`;
    list.setAttribute('aria-describedby', said.id);
    const values = samplesOf(layersOf(this.#host.sources())[role], shown.column);
    const first = values.length === 0 ? '' : `first rows: ${values.map((one) => one || '–').join(' · ')}`;
    const how =
      proposed !== null ? 'proposed, not in use yet' : used.column === '' || used.column !== named ? '' : 'by its name';
    said.textContent = [how, first].filter((text) => text !== '').join('; ');
    line.append(label, list, ...(row.isLength && shown.column !== '' ? [unit] : []), said);
    return line;
  }

  #word({ key, word, column, count, values }: WordRow): HTMLElement {
    const item = document.createElement('div');
    item.className = 'map-row';
    const id = `map-word-${key}`;
    const label = document.createElement('label');
    label.htmlFor = id;
    label.textContent = `“${word}” in ${column} (${count})`;
    const list = selectOf(id, [['', 'not said'], ...values.map((one) => [one, one] as const)], this.#values[key] ?? '');
    list.addEventListener('change', () => {
      this.#values = withMeaning(this.#values, key, list.value);
      this.#host.changed();
    });
    item.append(label, list);
    return item;
  }
}

function selectOf(id: string, options: readonly (readonly [string, string])[], value: string): HTMLSelectElement {
  const list = document.createElement('select');
  list.id = id;
  list.append(...options.map(([one, text]) => new Option(text, one, false, one === value)));
  return list;
}
