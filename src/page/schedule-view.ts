// The tree schedule on the screen. In: an assessment, figures of the moment; out: table rows that follow.
// Terms: worst first = stem in the works, over the limit, then by percent. The whole schedule is in the CSV.

import type { Assessment, MovedTree, TreeResult, Units, Verdict } from '../core.js';
import { markOf, VERDICT_STYLES } from '../report/drawing/palette.js';
import { SCALES } from '../write/index.js';

const MOST_ROWS = 500;
const RANK: Readonly<Record<Verdict, number>> = {
  'stem-in-works': 0,
  'over-limit': 1,
  'within-limit': 2,
  untouched: 3,
  'not-assessed': 4,
};

export const percent = (value: number | null): string => (value === null ? '' : `${value.toFixed(1)} %`);

export class ScheduleView {
  readonly #table: HTMLTableElement;
  readonly #rows = new Map<
    number,
    { readonly tr: HTMLTableRowElement; readonly cells: readonly HTMLTableCellElement[] }
  >();
  readonly #pick: (row: number) => void;

  constructor(table: HTMLTableElement, pick: (row: number) => void) {
    this.#table = table;
    this.#pick = pick;
  }

  draw(assessment: Assessment, units: Units): void {
    const { length, diameterCell } = SCALES[units];
    const heads = [
      ['Tree', ''],
      ['Species', ''],
      [`Trunk (${diameterCell.title})`, 'n'],
      [`Zone radius (${length.title})`, 'n'],
      ['Overlap', 'n'],
      ['Severed', 'n'],
      [`Nearest works (${length.title})`, 'n'],
      ['Verdict', ''],
      ['Lot', ''],
    ] as const;
    const head = document.createElement('tr');
    for (const [title, kind] of heads) {
      const th = document.createElement('th');
      th.scope = 'col';
      th.className = kind;
      th.textContent = title;
      head.append(th);
    }
    this.#table.tHead?.replaceChildren(head);
    const worst = (tree: TreeResult): number => RANK[tree.verdict ?? 'untouched'];
    const shown = [...assessment.trees]
      .sort((a, b) => worst(a) - worst(b) || (b.affectedPct ?? 0) - (a.affectedPct ?? 0) || a.row - b.row)
      .slice(0, MOST_ROWS);
    this.#rows.clear();
    const scaled = (value: number | null, factor: number, digits: number): string =>
      value === null ? '' : (value * factor).toFixed(digits);
    const body = document.createDocumentFragment();
    for (const tree of shown) {
      const tr = document.createElement('tr');
      const th = document.createElement('th');
      th.scope = 'row';
      const show = document.createElement('button');
      show.type = 'button';
      show.textContent = tree.key;
      show.setAttribute('aria-label', `${tree.key}: show on the plan`);
      show.addEventListener('click', () => this.#pick(tree.row));
      th.append(show);
      tr.append(th);
      const cells = [
        ['species', assessment.job.trees.species[tree.row] ?? ''],
        ['n', scaled(tree.dbhM, diameterCell.factor, 1)],
        ['n', scaled(tree.zoneRadiusM, length.factor, 1)],
        ['n', percent(tree.overlapPct)],
        ['n', percent(tree.severedPct)],
        ['n', scaled(tree.nearestM, length.factor, 1)],
        ['', VERDICT_STYLES[markOf(tree.verdict)].title],
        ['', tree.lot ?? ''],
      ].map(([kind, text]) => {
        const td = document.createElement('td');
        td.className = kind as string;
        td.textContent = text as string;
        tr.append(td);
        return td;
      });
      mark(tr, tree.verdict);
      this.#rows.set(tree.row, { tr, cells });
      body.append(tr);
    }
    this.#table.tBodies[0]?.replaceChildren(body);
    const caption = this.#table.caption as HTMLTableCaptionElement;
    const { length: all } = assessment.trees;
    caption.textContent = `Trees, worst first${all > MOST_ROWS ? ` (${MOST_ROWS} of ${all}; all are in the CSV)` : ''}`;
  }

  /** A tree's figures of this moment; `moving` while the piece is in the hand. */
  tree(
    {
      row,
      overlapPct,
      severedPct,
      verdict,
    }: Pick<MovedTree, 'row' | 'verdict'> & {
      readonly overlapPct: number | null;
      readonly severedPct: number | null;
    },
    moving: boolean,
  ): void {
    const shown = this.#rows.get(row);
    if (shown === undefined) return;
    const texts = [percent(overlapPct), percent(severedPct), null, VERDICT_STYLES[markOf(verdict)].title];
    let changed = false;
    texts.forEach((text, i) => {
      const cell = shown.cells[i + 3];
      if (text === null || cell === undefined || cell.textContent === text) return;
      cell.textContent = text;
      changed = true;
    });
    if (changed) mark(shown.tr, verdict);
    if (changed || !moving) shown.tr.classList.toggle('changed', moving);
  }

  focus(row: number): void {
    const shown = this.#rows.get(row);
    shown?.tr.querySelector('button')?.focus();
    shown?.tr.scrollIntoView({ block: 'nearest' });
  }
}

function mark(tr: HTMLTableRowElement, verdict: Verdict | null): void {
  tr.classList.toggle('bad', verdict === 'over-limit' || verdict === 'stem-in-works');
}
