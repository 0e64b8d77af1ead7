// The form of what an arborist looks at. In: a tree's properties and the survey's columns; out: each field that was changed.
// Terms: see fields.ts. The form is built once: what is being typed is not taken away when the plan is assessed anew.

import type { TreeField } from '../../check/field-table.js';
import { EXAMPLES, FORM, shownValue, titleOf, wordsFor } from './fields.js';

type Entry = HTMLSelectElement | HTMLInputElement;

export class TreeForm {
  readonly box: HTMLElement = document.createElement('div');
  readonly #entries = new Map<TreeField, Entry>();
  readonly #typing = new Set<TreeField>();
  readonly #changed: (field: TreeField, text: string) => void;
  #tree = '';

  constructor(changed: (field: TreeField, text: string) => void) {
    this.#changed = changed;
    this.box.className = 'tree-form';
    for (const [heading, fields] of FORM) {
      const group = document.createElement('fieldset');
      const legend = Object.assign(document.createElement('legend'), { textContent: heading });
      group.append(legend, ...fields.map((field) => this.#labelled(field)));
      this.box.append(group);
    }
  }

  /** The values of a tree, known by a text of its own. */
  show(columns: ReadonlyMap<TreeField, string>, properties: Readonly<Record<string, unknown>>, tree: string): void {
    if (tree !== this.#tree) this.#typing.clear();
    this.#tree = tree;
    for (const [field, entry] of this.#entries) {
      if (this.#typing.has(field)) continue;
      const text = shownValue(field, properties[columns.get(field) ?? field]);
      if (entry instanceof HTMLSelectElement) fillOptions(entry, field, text);
      entry.value = text;
      entry.title = `column ${columns.get(field) ?? field}`;
    }
  }

  #labelled(field: TreeField): HTMLElement {
    const label = Object.assign(document.createElement('label'), { textContent: titleOf(field) });
    const entry = document.createElement(wordsFor(field) === null ? 'input' : 'select');
    entry.id = `tree-${field}`;
    label.htmlFor = entry.id;
    if (entry instanceof HTMLInputElement) {
      entry.type = 'text';
      entry.autocomplete = 'off';
      entry.placeholder = EXAMPLES[field] ?? '';
      entry.addEventListener('input', () => this.#typing.add(field));
    }
    entry.addEventListener('change', () => {
      this.#typing.delete(field);
      this.#changed(field, entry.value.trim());
    });
    this.#entries.set(field, entry);
    const row = document.createElement('div');
    row.append(label, entry);
    return row;
  }
}

/** The table's words, and the survey's own word where that is another. */
function fillOptions(list: HTMLSelectElement, field: TreeField, text: string): void {
  const words = wordsFor(field) ?? [];
  const own = text === '' || words.includes(text) ? [] : [new Option(`“${text}” (own words)`, text)];
  list.replaceChildren(
    new Option('not recorded', ''),
    ...words.map((word) => new Option(word.replaceAll('-', ' '), word)),
    ...own,
  );
}
