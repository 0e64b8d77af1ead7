// Lists and tables whose items say where they come from. In: items with a source; out: HTML. Terms: common = a source that all
// of a list share: said once, below it. Linear in the items.

import type { ProtectionNote } from '../../model/index.js';
import { esc } from '../text.js';

const STAMP = /^(?:from memory|weak source)/i;

/** What is from memory, or of a weak source, is told apart at a glance. */
export function sourceHtml(source: string | undefined): string {
  if (source === undefined) return 'no source given';
  const words = esc(source);
  const stamp = STAMP.exec(words)?.[0] ?? '';
  return stamp === '' ? words : `<b>${stamp}</b>${words.slice(stamp.length)}`;
}

/** Notes, each with its source; what all have in common is said once, below. */
export function listHtml(notes: readonly ProtectionNote[]): string {
  if (notes.length === 0) return '';
  const common = commonSource(notes);
  const items = notes.map(({ text, source }) => {
    const own = common === undefined ? ` <span class="fine">${sourceHtml(source)}</span>` : '';
    return `<li>${esc(text)}${own}</li>`;
  });
  return `<ul class="pf-list">${items.join('\n')}</ul>${commonHtml(common)}`;
}

interface Sourced {
  readonly source?: string;
}

/** The source that all of several share; undefined where they differ, or one has none. */
export function commonSource(all: readonly Sourced[]): string | undefined {
  const first = all[0]?.source;
  return all.length > 1 && all.every(({ source }) => source === first) ? first : undefined;
}

export function commonHtml(common: string | undefined): string {
  return common === undefined ? '' : `<p class="fine">Source of all: ${sourceHtml(common)}.</p>`;
}

export function tableHtml(label: string, heads: readonly string[], rows: readonly string[]): string {
  const head = heads.map((one) => `<th scope="col">${one}</th>`).join('');
  return `<div class="wide" tabindex="0" role="region" aria-label="${label}"><table><thead><tr>${head}</tr></thead><tbody>${rows.join('\n')}</tbody></table></div>`;
}

/** Rows of texts, the first as the row's head, with the source as the last cell unless all share one. */
export function sourcedTable<T extends Sourced>(
  label: string,
  heads: readonly string[],
  all: readonly T[],
  cells: (one: T, place: number) => readonly string[],
): string {
  const common = commonSource(all);
  const rows = all.map((one, i) => {
    const [first = '', ...rest] = cells(one, i).map(esc);
    const own = common === undefined ? `<td class="fine">${sourceHtml(one.source)}</td>` : '';
    return `<tr><th scope="row">${first}</th>${rest.map((text) => `<td>${text}</td>`).join('')}${own}</tr>`;
  });
  return tableHtml(label, common === undefined ? [...heads, 'Source'] : heads, rows) + commonHtml(common);
}
